"""The conformance table in plain Python: every example of every record."""

import datetime

import pytest
import tarecell
from tarecell.errors import KINDS, Fault
from tarecell.functions import REGISTRY
from tarecell.functions.kinds import Rest
from tarecell.functions.records import PRACTICE

EXAMPLES = [(record, i) for record in REGISTRY.values() for i in range(len(record.examples))]


def same(found, wanted, within):
    """Equal, numbers within a relative tolerance, lists item by item."""
    if isinstance(wanted, (list, tuple)):
        return (
            isinstance(found, (list, tuple))
            and len(found) == len(wanted)
            and all(same(f, w, within) for f, w in zip(found, wanted, strict=True))
        )
    if isinstance(wanted, (int, float)) and not isinstance(wanted, bool):
        return isinstance(found, (int, float)) and abs(found - wanted) <= within * max(1.0, abs(wanted))
    return type(found) is type(wanted) and found == wanted


@pytest.mark.parametrize(("record", "index"), EXAMPLES, ids=[f"{r.name}-{i}" for r, i in EXAMPLES])
def test_example(record, index):
    example = record.examples[index]
    if example.fails:
        with pytest.raises(tarecell.CellError) as caught:
            tarecell.call(record.name, *example.args)
        assert not isinstance(caught.value, Fault), caught.value
        assert caught.value.kind == example.fails
        assert len(caught.value.reason) > 10
        return
    found = tarecell.call(record.name, *example.args)
    if example.starts is not None:
        assert found.startswith(example.starts)
    else:
        assert same(found, example.gives, example.within), f"{found!r} is not {example.gives!r}"


@pytest.mark.parametrize("record", REGISTRY.values(), ids=list(REGISTRY))
def test_record_is_complete(record):
    assert record.name.startswith("TC_") and record.name.isupper()
    assert 10 < len(record.summary) <= 255, "hosts cut descriptions at 255 characters"
    assert record.source and record.family
    assert len(record.examples) >= 3
    failing = {e.fails for e in record.examples if e.fails}
    assert failing and failing <= set(record.errors) <= set(KINDS)
    assert len(record.examples) > len(failing)
    names = [a.name for a in record.arguments]
    assert len(set(names)) == len(names)
    seen_optional = False
    for argument in record.arguments:
        assert argument.doc and len(argument.doc) <= 255 and argument.kind
        if not isinstance(argument, Rest):
            assert not (seen_optional and argument.required), "optional arguments come last"
            seen_optional = seen_optional or not argument.required


@pytest.mark.parametrize("record", REGISTRY.values(), ids=list(REGISTRY))
def test_every_good_example_explains_itself(record):
    """The working is one line, and says more than the result; an error gives its kind and reason."""
    if record.family.startswith("About"):
        return
    for example in record.examples:
        told = tarecell.call("TC_EXPLAIN", record.name, *example.args)
        assert "\n" not in told and len(told) > 8
        assert told.startswith(example.fails or "") and ("#" not in told[:1] or example.fails)


def test_dates_of_examples_are_dates():
    """Dates in examples are `datetime.date`, so that hosts can put real dates into cells."""
    for record in REGISTRY.values():
        for i, argument in enumerate(record.arguments):
            if argument.kind == "date":
                for example in record.examples:
                    if i < len(example.args) and example.fails is None and example.args[i] is not None:
                        assert isinstance(example.args[i], datetime.date), record.name


def test_practice_is_named_as_such():
    assert any(record.source == PRACTICE for record in REGISTRY.values())
