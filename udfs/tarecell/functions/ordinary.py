"""An ordinary call at once: its arguments looked at and its number computed in one expression, made once per function.

Ten thousand rows are ten thousand calls. Asking each argument in turn, through a method that is another one for each
kind, takes longer than all the rest of a call.
"""

from collections.abc import Callable, Sequence
from typing import Any

from tarecell.functions.kinds import Argument


def ordinary_call(arguments: Sequence[Argument], calculation: Callable) -> Callable | None:
    """A function that gives the calculation's result, or None where an argument's value needs a closer look.

    None where every call needs it, as with columns. What an argument takes as it is, it says itself: `ordinary` and
    `any_text`.
    """
    scope: dict[str, Any] = {"calculation": calculation}
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
    code = f"lambda {given}: calculation({', '.join(values)}) if {' and '.join(tests) or 'True'} else None"
    return eval(code, scope)
