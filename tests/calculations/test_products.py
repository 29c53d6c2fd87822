"""Product types and category codes."""

import pytest
from tarecell.calculations import products
from tarecell.errors import NotFound
from tarecell.tables import rows


@pytest.mark.parametrize(
    ("typed", "code"),
    [
        ("5A", "5A"), ("5a", "5A"), ("5 a", "5A"), ("cat. 5A", "5A"), ("Category 5 A", "5A"), ("IFRA 9", "9"),
        ("IFRA Cat 10B", "10B"), ("9.0", "9"), ("12", "12"), (" 4 ", "4"), ("cat9", "9"),
        ("11", "11"),
        ("13", None), ("9A", None), ("5E", None), ("9.5", None), ("-9", None), ("", None), ("٩", None), ("5A5", None),
    ],
)  # fmt: skip
def test_category_codes(typed, code):
    assert products.code(typed) == code


@pytest.mark.parametrize(
    ("undivided", "parts"),
    [
        ("5", "5A, 5B, 5C, 5D"), ("cat 5", "5A, 5B, 5C, 5D"), ("7", "7A, 7B"), ("10", "10A, 10B"), ("11", "11A, 11B"),
    ],
)  # fmt: skip
def test_a_divided_category_asks_which_of_its_own_parts(undivided, parts):
    with pytest.raises(NotFound) as caught:
        products.category(undivided)
    assert caught.value.reason.endswith(f"is divided: say which of {parts}")


def test_every_product_and_its_other_names_have_a_category_or_say_why_not():
    for row in rows("product_types"):
        for name in [row["product"], *filter(None, row["also"].split("|"))]:
            if row["category"]:
                assert products.category(f" {name.upper()} ") == row["category"]
                assert row["category"] in products.CODES
            else:
                with pytest.raises(NotFound, match="ask for the certificate"):
                    products.category(name)


def test_names_in_use_mean_one_product():
    names = [n for row in rows("product_types") for n in [row["product"], *filter(None, row["also"].split("|"))]]
    assert len(names) == len(set(names))


def test_a_product_that_is_not_listed_is_not_guessed():
    for name in ("lotion", "body lotions", "soap for dogs"):
        with pytest.raises(NotFound):
            products.category(name)
