"""The functions as plain formulas give what the functions give: their examples, and inputs made at random."""

import copy
import datetime

import pytest
from hosts.plain_book import Book
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st
from tarecell.functions import REGISTRY
from tarecell.hosts.plain import TRANSLATIONS, Given, Sheet, Untranslatable, translate_call
from tarecell.hosts.plain.workings import Step

WRONG = [None, 0.0, -1.0, 0.5, 1.5, 7.0, 250.0, "12", "x", "", " ", True, "no restriction", "not stated", "g", "Oil"]


@pytest.mark.parametrize("in_cells", [True, False], ids=["cells", "typed"])
def test_every_example_gives_the_same(in_cells):
    book = Book()
    for name in TRANSLATIONS:
        for example in REGISTRY[name].examples:
            book.add(name, example.args, in_cells)
    assert not book.differences()
    assert len(book.calls) > 300
    # Weights in one cell that may be blank; several pack sizes weighed against each other.
    assert set(book.untranslated) <= {"TC_LANDED", "TC_PACKS"}


def other(value, draw):
    """A value like this one, or a wrong one."""
    if isinstance(value, datetime.date) or not isinstance(value, (int, float)) or isinstance(value, bool):
        return draw(st.sampled_from(WRONG))
    if draw(st.integers(0, 2)):
        return round(value * draw(st.floats(0.5, 2.0)), 4)
    return draw(st.sampled_from(WRONG))


@st.composite
def calls(draw, record):
    """An example of a function with none, one or two of its values changed."""
    example = draw(st.sampled_from(list(record.examples)))
    args = copy.deepcopy(list(example.args))
    for _ in range(draw(st.integers(0, 2))):
        at = draw(st.integers(0, len(args) - 1)) if args else None
        if at is None:
            break
        if not isinstance(args[at], list):
            args[at] = other(args[at], draw)
        elif args[at]:
            row = draw(st.integers(0, len(args[at]) - 1))
            if isinstance(args[at][row], list):
                column = draw(st.integers(0, len(args[at][row]) - 1))
                args[at][row][column] = other(args[at][row][column], draw)
            else:
                args[at][row] = other(args[at][row], draw)
    return args


@pytest.mark.parametrize("name", sorted(TRANSLATIONS))
def test_inputs_at_random_give_the_same(name):
    """Numbers, blanks, negative ones, texts and truth values in every argument: the same number or the same error."""

    @settings(max_examples=2, deadline=None, derandomize=True, suppress_health_check=list(HealthCheck))
    @given(st.lists(calls(REGISTRY[name]), min_size=20, max_size=20))
    def check(made):
        book = Book()
        for args in made:
            book.add(name, args)
        assert not book.differences()

    check()


def steps(name, *given):
    work, reference = Sheet("Workings"), Sheet("Reference")
    result = translate_call(name, given, work, reference)
    return result, [c.text for sheet in (work, reference) for c in sheet.cells.values() if isinstance(c, Step)]


def test_a_call_of_typed_values_is_its_value():
    result, made = steps("TC_CONVERT", Given(1.0), Given("lb"), Given("g"))
    assert result.text == "453.59237" and not made


def test_a_literal_unit_is_a_factor():
    _, made = steps("TC_CONVERT", Given(cells=(("A!B2",),)), Given("lb"), Given("g"))
    assert any("453.59237" in text for text in made)


def test_a_function_without_an_ordinary_formula_says_so():
    with pytest.raises(Untranslatable, match="no ordinary formula for TC_CAUTIONS"):
        steps("TC_CAUTIONS", Given(cells=(("A!B2",),)))


@pytest.mark.parametrize("needed", [1300.0, 500.0, 500.0000000001, 0.3, -2.0, None, "12"])
@pytest.mark.parametrize("size", [500.0, 0.1, 453.59237, 0.0, "x"])
def test_packs_of_one_size_stay_live(needed, size):
    book = Book()
    assert book.add("TC_PACKS", [needed, [size], [12.0]])
    assert not book.differences()


LINE = ["jar", "lid", 1.0, 0.15, 0.05]


@pytest.mark.parametrize(
    "wrong",
    [
        {2: None, 4: 1.5},  # no quantity comes before a loss that cannot be
        {2: -1.0, 3: "x"},
        {2: "x", 4: -1.0},
        {3: "x", 4: 1.5},  # the loss comes before the cost
        {0: None, 2: -1.0},  # the names come first
        {1: "", 4: "x"},
        {0: None, 1: None, 2: None, 3: None, 4: 0.0},  # a 0 is something typed
        {0: None, 1: None, 2: None, 3: None, 4: None},
    ],
)
def test_a_wrong_line_of_a_parts_table_is_the_error_that_the_function_gives(wrong):
    line = [wrong.get(i, value) for i, value in enumerate(LINE)]
    book = Book()
    for width in (4, 5):
        assert book.add("TC_ROLLUP", ["jar", [LINE[:width], line[:width]]])
    assert not book.differences()


def test_too_many_rows_are_refused():
    column = Given(cells=tuple((f"A!B{i}",) for i in range(1, 2502)))
    with pytest.raises(Untranslatable, match="2501 rows"):
        steps("TC_SHARES", column)
