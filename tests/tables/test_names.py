"""Names match whatever the case, spacing and accents; two names that a list keeps apart stay apart."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from tarecell.errors import NotFound, WrongValue
from tarecell.tables import Names, fold, shortened, squeeze


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Crème  Brûlée", " creme brulee "),
        ("STRASSE", "straße"),
        ("oat\u00a0milk", "Oat Milk"),
        ("ﬁg", "Fig"),
        ("cafe\u0301", "café"),
        ("Ｗax", "wax"),
        ("İris", "iris"),
    ],
)
def test_fold(one, other):
    assert fold(one) == fold(other)


def test_fold_keeps_what_differs():
    assert len({fold(n) for n in ("Fig", "Fig 2", "Fig & Oat", "Figs", "F-ig")}) == 5
    assert squeeze("Leave-on") == squeeze("leave on") == squeeze("LEAVEON") == "leaveon"


@settings(max_examples=60, deadline=None)
@given(st.text(max_size=20))
def test_folding_twice_changes_nothing(name):
    assert fold(fold(name)) == fold(name)
    assert squeeze(squeeze(name)) == squeeze(name)
    assert fold(f"  {name} ") == fold(name)


@settings(max_examples=60, deadline=None)
@given(st.lists(st.text(min_size=1, max_size=8).filter(fold), min_size=1, max_size=8, unique_by=fold))
def test_every_listed_name_finds_itself(names):
    listed = Names(names, "wax")
    assert [listed.position(name) for name in names] == list(range(len(names)))


def test_spacing_is_forgiven_where_it_is_not_ambiguous():
    assert Names(["Bees wax", "Soy"], "wax").position("beeswax") == 0
    jars = Names(["Jar 1 20", "Jar 12 0"], "jar")
    assert (jars.position("jar 1 20"), jars.position("jar 12 0")) == (0, 1)
    with pytest.raises(NotFound):
        jars.position("jar120")


def test_doubles_are_told_with_their_rows():
    with pytest.raises(WrongValue, match=r"rows 1 and 3"):
        Names(["Fig", "Oat", "FIG"], "fragrance").position("fig")
    with pytest.raises(WrongValue, match=r"rows 2 and 4"):
        Names(["Fig", "Oat", "FIG"], "fragrance", first=2).position("fig")


def test_blank_rows_have_no_name():
    names = Names(["", "Fig", ""], "fragrance")
    assert names.position("Fig") == 1
    assert names.positions("") == []
    with pytest.raises(NotFound):
        names.position("")


def test_a_miss_names_the_nearest():
    names = Names(["Harbour Fig", "Oat & Honey", "Sea Salt"], "fragrance")
    assert names.miss("Harbor Fig") == "no fragrance “Harbor Fig”; nearest: Harbour Fig"
    assert "Oat & Honey" in names.miss("honey")
    assert names.miss("zzz") == "no fragrance “zzz”"
    assert len(names.miss("x" * 100_000)) < 200
    assert len(Names(["y" * 5000 + str(i) for i in range(3)], "wax").miss("y" * 5000)) < 400


def test_a_name_of_two_letters_is_no_hint_for_a_long_one():
    assert Names(["MI", "phenoxyethanol"], "substance").miss("hexamidine") == "no substance “hexamidine”"
    assert Names(["olive oil"], "fat").miss("olive") == "no fat “olive”; nearest: olive oil"


def test_shortened():
    assert shortened("wax") == "wax"
    assert len(shortened("w" * 500)) == 58 and shortened("w" * 500).endswith("…")
