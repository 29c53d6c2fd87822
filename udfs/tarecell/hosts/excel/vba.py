"""The VBA module: one function per record, which Excel shows, and which has xlwings compute.

Each function is built as xlwings' own generator would build it, with three differences: arguments are read as plain
values (`Value2`: dates stay numbers, and so do amounts of money), the mark of an error becomes a real error cell, and
so does a Python that cannot be reached, where xlwings would leave a text that a total passes over. Excel's version and
the workbook's date system come along by xlwings' own means, an argument that only VBA sees: Python asks Excel nothing
while Excel waits for it.
"""

from collections.abc import Iterable

from tarecell import __version__
from tarecell.functions import REGISTRY, Record
from tarecell.hosts.excel.calls import ERRORS, MARK
from tarecell.hosts.excel.names import HOST_IN_VBA, category, needs_host, parameters, summary

MODULE, PYTHON_MODULE = "Tarecell", "tarecell.hosts.excel"
_CONSTANTS = {
    "#N/A": "xlErrNA",
    "#NUM!": "xlErrNum",
    "#VALUE!": "xlErrValue",
    "#DIV/0!": "xlErrDiv0",
    "#NAME?": "xlErrName",
    "#NULL!": "xlErrNull",
    "#REF!": "xlErrRef",
}

_HEAD = """\
Attribute VB_Name = "{module}"
'Tarecell {version}, made from the functions' own records. Changes here are lost when it is made anew.
'It needs the xlwings add-in (Tools > References > xlwings) or xlwings' own module in the same project.
Option Explicit
Private problem As String

'An argument as a plain value; nothing for one that is left out.
Private Function TcValue(Optional ByVal given As Variant) As Variant
    If IsMissing(given) Then
        TcValue = Empty
    ElseIf IsObject(given) Then
        If given.Areas.Count > 1 Then
            TcValue = CVErr(xlErrValue)
        Else
            TcValue = given.Value2
        End If
    Else
        TcValue = given
    End If
End Function

'The version of Excel, and the date system of the workbook that the formula is in.
Private Function TcHost() As String
    Dim book As Object
    Set book = ThisWorkbook
    If TypeOf Application.Caller Is Range Then Set book = Application.Caller.Parent.Parent
    TcHost = Application.Version & " 1900"
    If book.Date1904 Then TcHost = Application.Version & " 1904"
End Function

'A result as the cell gets it: the mark of an error becomes that error.
Private Function TcResult(ByVal result As Variant) As Variant
    TcResult = result
    If VarType(result) <> vbString Then Exit Function
    Select Case result
{cases}
    End Select
End Function

'Python could not be reached: an error in the cell, and the reason for Tarecell_Problem.
Private Function TcFailed(ByVal reason As String) As Variant
    problem = reason
    TcFailed = CVErr(xlErrValue)
End Function

'Says why Python could not be reached (Alt+F8).
Public Sub Tarecell_Problem()
    If problem = "" Then
        MsgBox "Python was reached every time. Why a function is an error: =TC_EXPLAIN(""TC_NAME"", its arguments)"
    Else
        MsgBox problem
    End If
End Sub
"""

_DESCRIBE = """\
'A function works without its description too, so an Excel that refuses one is no problem.
Private Sub TcDescribe(ByVal name As String, ByVal category As String, ByVal text As String, ByVal docs As Variant)
    On Error Resume Next
    If UBound(docs) < 0 Then
        Application.MacroOptions Macro:="'" & ThisWorkbook.name & "'!" & name, Description:=text, category:=category
    Else
        Application.MacroOptions Macro:="'" & ThisWorkbook.name & "'!" & name, Description:=text, category:=category, _
            ArgumentDescriptions:=docs
    End If
End Sub
"""


def module_text(addin: bool = False, module: str = MODULE, records: Iterable[Record] | None = None) -> str:
    """The text of the module, lines ended by CRLF, ASCII only, as VBA's editor imports it.

    addin: for an add-in of its own (.xlam) instead of a module in the workbook itself.
    """
    records = sorted(REGISTRY.values() if records is None else records, key=lambda r: r.name)
    parts = [_head(module), *(function_text(r) for r in records), _descriptions(records)]
    if addin:
        parts.append("Public Sub Auto_Open()\n    Tarecell_Descriptions\nEnd Sub\n")
    return "\n".join(parts).replace("\n", "\r\n")


def _head(module: str) -> str:
    mark = f"Chr$({ord(MARK)})"
    cases = "\n".join(f'        Case {mark} & "{kind}": TcResult = CVErr({_CONSTANTS[kind]})' for kind in ERRORS)
    return _HEAD.format(module=module, version=__version__, cases=cases)


def function_text(record: Record) -> str:
    """The VBA function of one record."""
    known = parameters(record)
    fixed = [f"TcValue({p.name})" for p in known if not p.rest]
    if needs_host(record):
        fixed.insert(0, HOST_IN_VBA)
    rest = next((p.name for p in known if p.rest), None)
    lines = [
        f"Public Function {record.name}({', '.join(_declared(p) for p in known)})",
        "    If TypeOf Application.Caller Is Range Then On Error GoTo failed",
    ]
    array = f"Array({', '.join(fixed)})"
    if rest is not None:
        lines += _collected(array, len(fixed), rest)
        array = "argsArray"
    call = f'XLPy.CallUDF("{PYTHON_MODULE}", "{record.name}", {array}, ThisWorkbook, Application.Caller)'
    lines += [
        f"    {record.name} = TcResult({call})",
        "    Exit Function",
        "failed:",
        f"    {record.name} = TcFailed(Err.Description)",
        "End Function",
    ]
    return "\n".join(lines) + "\n"


def _declared(p) -> str:
    if p.rest:
        return f"ParamArray {p.name}()"
    return f"Optional {p.name}" if p.optional else p.name


def _collected(array: str, count: int, rest: str) -> list[str]:
    return [
        "    Dim argsArray() As Variant, k As Long",
        f"    argsArray = {array}",
        f"    ReDim Preserve argsArray(0 To UBound({rest}) - LBound({rest}) + {count})",
        f"    For k = LBound({rest}) To UBound({rest})",
        f"        argsArray({count} + k - LBound({rest})) = TcValue({rest}(k))",
        "    Next k",
    ]


def _descriptions(records: list[Record]) -> str:
    """Subs that give the function wizard its texts, one per family, as a VBA procedure must not grow too long."""
    families = list(dict.fromkeys(r.family for r in records))
    calls = "\n".join(f"    TcDescribe{i + 1}" for i in range(len(families)))
    parts = [_DESCRIBE, "'Describes the functions to the function wizard (Alt+F8).\nPublic Sub Tarecell_Descriptions()"]
    parts[-1] += f"\n{calls}\nEnd Sub\n"
    for i, family in enumerate(families):
        lines = "\n".join(_described(r) for r in records if r.family == family)
        parts.append(f"Private Sub TcDescribe{i + 1}()\n{lines}\nEnd Sub\n")
    return "\n".join(parts)


def _described(record: Record) -> str:
    docs = ", _\n        ".join(_text(p.doc) for p in parameters(record))
    head = (
        f"    TcDescribe {_text(record.name)}, {_text(category(record))}, _\n        {_text(summary(record))}, Array("
    )
    return f"{head} _\n        {docs})" if docs else f"{head})"


def _text(text: str) -> str:
    """A text as VBA writes it; other characters than ASCII by their number, as a module file has no encoding."""
    pieces, plain = [], ""
    for letter in text:
        if " " <= letter <= "~":
            plain += '""' if letter == '"' else letter
            continue
        if plain:
            pieces.append(f'"{plain}"')
        pieces.append(f"ChrW({ord(letter)})")
        plain = ""
    if plain or not pieces:
        pieces.append(f'"{plain}"')
    return " & ".join(pieces)
