"""The arguments of an ordinary call, read in one expression that is made for each function once.

Ten thousand rows are ten thousand calls. Asking each argument in turn, through a method that is another one for each
kind, takes longer than all the rest of a call, and a loop over them still half of that.
"""

from collections.abc import Callable, Sequence
from typing import Any

from tarecell.functions.kinds import Argument


def ordinary_reader(arguments: Sequence[Argument]) -> Callable[..., list[Any] | None] | None:
    """A function that gives the values of a call, or None where one of them needs a closer look.

    None where every call needs it, as with columns. What an argument takes as it is, it says itself: `ordinary` and
    `any_text`.
    """
    scope: dict[str, Any] = {}
    tests, values = [], []
    for i, argument in enumerate(arguments):
        (scope[f"low{i}"], scope[f"high{i}"]), scope[f"default{i}"] = argument.ordinary, argument.default
        if argument.any_text:
            test, value = f"a{i}.__class__ is str and (t{i} := a{i}.strip()) and t{i}[0] != '#'", f"t{i}"
        elif argument.ordinary[0] <= argument.ordinary[1]:
            test, value = f"a{i}.__class__ is float and low{i} <= a{i} <= high{i}", f"a{i}"
        elif argument.required:
            return None
        else:
            test, value = "False", f"a{i}"
        if not argument.required:
            test, value = f"(a{i} is None or {test})", f"default{i} if a{i} is None else {value}"
        tests.append(test)
        values.append(value)
    given = ", ".join(f"a{i}=None" for i in range(len(arguments)))
    # Nothing of a workbook gets into this text: it is made of the numbers of the arguments.
    return eval(f"lambda {given}: [{', '.join(values)}] if {' and '.join(tests) or 'True'} else None", scope)
