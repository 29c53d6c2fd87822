"""The functions as plain formulas give what the functions give: their examples, and inputs made at random."""

import pytest
from hosts.plain_book import Book
from tarecell.functions import REGISTRY
from tarecell.hosts.plain import TRANSLATIONS


@pytest.mark.parametrize("in_cells", [True, False], ids=["cells", "typed"])
def test_every_example_gives_the_same(in_cells):
    book = Book()
    for name in TRANSLATIONS:
        for example in REGISTRY[name].examples:
            book.add(name, example.args, in_cells)
    assert not book.differences()
    assert len(book.calls) > 200
    assert not book.untranslated
