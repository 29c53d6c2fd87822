"""Every function with arguments of every kind: a value or one of the error kinds, and the working or the reason."""

import datetime
import math
import time
from random import Random
from typing import Any

import tarecell
from fuzz import values
from tarecell.errors import SPREADSHEET_KINDS, CellError, Fault
from tarecell.functions import REGISTRY, Host, explain, run
from tarecell.functions.cells import EPOCH_1904
from tarecell.functions.records import COLUMN, DATE, FLAG, NUMBER, ROW, SHARE, TABLE, TEXT, Record
from tarecell.hosts.embedded import values as engine_values

tarecell.call("TC_CONVERT", 1.0, "lb", "g")  # the units take a moment at first
SLOW = 5.0  # seconds of the processor
HOSTS = (Host("Python"), Host("Python", epoch=EPOCH_1904))
_SINGLE = {NUMBER: (int, float), SHARE: (int, float), TEXT: str, FLAG: bool, DATE: (datetime.date, int, float)}


def case(rng: Random) -> None:
    """One call. Raises AssertionError for all that must not be."""
    record = REGISTRY[rng.choice(sorted(REGISTRY))]
    arguments = _arguments(rng, record)
    _check(record, arguments, rng.choice(HOSTS))


def _arguments(rng: Random, record: Record) -> list[Any]:
    if rng.random() < 0.2:
        return [values.raw(rng) for _ in range(rng.randrange(len(record.arguments) + 2))]
    arguments = list(rng.choice(record.examples).args)
    while len(arguments) < len(record.arguments) and rng.random() < 0.5:
        other = rng.choice(record.examples).args
        arguments.append(other[len(arguments)] if len(other) > len(arguments) else None)
    for _ in range(rng.choice((1, 1, 1, 2, 3))):
        if arguments:
            place = rng.randrange(len(arguments))
            arguments[place] = values.spoilt(rng, arguments[place])
    return arguments


def _check(record: Record, arguments: list[Any], host: Host) -> None:
    told = f"{record.name}({', '.join(_short(a) for a in arguments)})"
    before = time.process_time()
    try:
        result = run(record.name, arguments, host)
    except Fault as fault:
        raise AssertionError(f"{told}: {fault.reason}") from fault
    except CellError as error:
        assert error.kind in SPREADSHEET_KINDS, f"{told}: {error.kind}"
        assert error.reason.strip(), f"{told}: {error.kind} without a reason"
        assert len(error.reason) < 3000, f"{told}: a reason of {len(error.reason)} characters"
    else:
        _check_value(told, record.result, result)
        engine_values.result(result, record.result)
        assert _same(run(record.name, arguments, host), result), f"{told}: another result the second time"
    line = explain(record.name, arguments, host)
    assert isinstance(line, str) and line.strip() and len(line) <= 2000, f"{told}: explained as {line!r}"
    assert "please report it" not in line, f"{told}: {line}"
    took = time.process_time() - before
    assert took < SLOW, f"{told}: took {took:.1f} s"


def _check_value(told: str, kind: str, result: Any) -> None:
    if kind in _SINGLE and not isinstance(result, (list, tuple)):
        assert isinstance(result, _SINGLE[kind]), f"{told}: {kind} expected, got {result!r}"
    if kind in (ROW, TABLE):
        assert isinstance(result, (list, tuple)) and result, f"{told}: {kind} expected, got {result!r}"
    for item in _items(result):
        assert item is None and kind == COLUMN or isinstance(item, (int, float, str, datetime.date)), (
            f"{told}: {item!r}"
        )
        assert not isinstance(item, float) or math.isfinite(item), f"{told}: gives {item!r}"


def _items(result: Any):
    if isinstance(result, (list, tuple)):
        for item in result:
            yield from _items(item)
    else:
        yield result


def _same(one: Any, other: Any) -> bool:
    return repr(one) == repr(other)


def _short(argument: Any) -> str:
    text = repr(argument)
    return text if len(text) < 300 else f"{text[:200]}… ({len(text)} characters)"
