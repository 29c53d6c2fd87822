"""The VBA module: built as xlwings' own generator builds it, but for what is meant to differ; and what VBA allows."""

import importlib
import io
import re
from types import SimpleNamespace

import pytest
import tarecell.hosts.excel
from hosts.windows_parts import xlwings_for_windows
from tarecell.errors import SPREADSHEET_KINDS
from tarecell.functions import REGISTRY
from tarecell.hosts.excel import names, vba
from tarecell.hosts.excel.calls import ERRORS, MARK


@pytest.fixture(scope="module")
def theirs():
    """What xlwings' generator writes for our functions."""
    text = io.StringIO()
    with xlwings_for_windows() as windows:
        module = importlib.reload(tarecell.hosts.excel)
        windows.udfs.generate_vba_wrapper(vba.PYTHON_MODULE, module, text, SimpleNamespace(Name="Soap.xlsm"))
    importlib.reload(tarecell.hosts.excel)
    return text.getvalue()


@pytest.fixture(scope="module")
def ours():
    return vba.module_text().replace("\r\n", "\n")


def functions(text):
    """The text of every TC_ function, without its indents."""
    found = re.findall(r"^(?:Public )?(Function (TC_\w+)\(.*?^End Function)$", text, re.M | re.S)
    return {name: [line.strip() for line in body.splitlines()] for body, name in found}


def for_excel(lines):
    """xlwings writes one branch for Excel and one for other programs: what remains for Excel."""
    start, other, end = (lines.index(part) for part in ('#If App = "Microsoft Excel" Then', "#Else", "#End If"))
    return lines[:start] + lines[start + 1 : other] + lines[end + 1 :]


def joined(lines):
    """xlwings breaks long lines."""
    return "\n".join(lines).replace(" _\n", " ").split("\n")


def as_xlwings_has_it(lines):
    """Our lines with all that is meant to differ turned back, each by its own rule."""
    text = "\n".join(lines)
    text = re.sub(r"TcValue\((\w+(?:\(k\))?)\)", r"\1", text)  # arguments as plain values
    text = re.sub(r"= TcResult\((XLPy\.CallUDF\(.*\))\)$", r"= \1", text, flags=re.M)  # marks become errors
    text = text.replace("TcFailed(Err.Description)", "Err.Description")  # an error instead of a text
    text = text.replace("Dim argsArray() As Variant, k As Long", "Dim argsArray() As Variant")  # Option Explicit
    text = text.replace("(0 To UBound", "(0 to UBound")
    return text.split("\n")


def test_every_function_is_there_once(theirs, ours):
    assert sorted(functions(ours)) == sorted(REGISTRY)
    assert sorted(functions(theirs)) == sorted(REGISTRY)
    assert len(re.findall(r"^Public Function ", ours, re.M)) == len(REGISTRY)


@pytest.mark.parametrize("name", REGISTRY)
def test_a_function_is_built_as_xlwings_builds_it(theirs, ours, name):
    """Line by line. The one line that we put earlier is the trap for errors, so that it covers the arguments too."""
    wanted = joined(for_excel(functions(theirs)[name]))
    trap = "If TypeOf Application.Caller Is Range Then On Error GoTo failed"
    wanted.insert(1, wanted.pop(wanted.index(trap)))
    assert as_xlwings_has_it(functions(ours)[name]) == wanted


def test_arguments_collected_at_the_end(ours):
    assert functions(ours)["TC_EXPLAIN"] == [
        "Function TC_EXPLAIN(function_, ParamArray arguments())",
        "If TypeOf Application.Caller Is Range Then On Error GoTo failed",
        "Dim argsArray() As Variant, k As Long",
        "argsArray = Array(TcHost(), TcValue(function_))",
        "ReDim Preserve argsArray(0 To UBound(arguments) - LBound(arguments) + 2)",
        "For k = LBound(arguments) To UBound(arguments)",
        "argsArray(2 + k - LBound(arguments)) = TcValue(arguments(k))",
        "Next k",
        'TC_EXPLAIN = TcResult(XLPy.CallUDF("tarecell.hosts.excel", "TC_EXPLAIN", argsArray, ThisWorkbook, '
        "Application.Caller))",
        "Exit Function",
        "failed:",
        "TC_EXPLAIN = TcFailed(Err.Description)",
        "End Function",
    ]


def test_every_mark_of_an_error_becomes_an_error(ours):
    cases = dict(re.findall(r'Case Chr\$\(26\) & "(.+?)": TcResult = CVErr\((xlErr\w+)\)', ours))
    assert MARK == chr(26)
    assert list(cases) == list(ERRORS) and set(ERRORS) <= set(SPREADSHEET_KINDS)
    assert cases == {
        "#N/A": "xlErrNA",
        "#NUM!": "xlErrNum",
        "#VALUE!": "xlErrValue",
        "#DIV/0!": "xlErrDiv0",
        "#NAME?": "xlErrName",
        "#NULL!": "xlErrNull",
        "#REF!": "xlErrRef",
    }


def test_the_text_is_one_that_the_editor_can_import():
    """A module file has no encoding, its lines end with CRLF, and a line holds at most 1023 characters."""
    for addin in (False, True):
        text = vba.module_text(addin)
        assert text.isascii() and text.startswith('Attribute VB_Name = "Tarecell"\r\n')
        assert "\n" not in text.replace("\r\n", "") and "\r" not in text.replace("\r\n", "")
        assert max(map(len, text.split("\r\n"))) < 1023
    assert "Auto_Open" not in vba.module_text() and "Auto_Open" in vba.module_text(addin=True)


def test_no_statement_has_more_lines_than_vba_allows(ours):
    longest = max(run.count(" _\n") for run in re.findall(r"(?:.* _\n)+", ours))
    assert 1 <= longest <= 24


def test_what_begins_also_ends(ours):
    for begin, end in (
        (r"^(?:Public|Private) Function", "^End Function"),
        (r"^(?:Public|Private) Sub", "^End Sub"),
        (r"^ *If .* Then$", "^ *End If"),
        (r"^ *Select Case", "^ *End Select"),
        (r"^ *For ", "^ *Next"),
    ):
        assert len(re.findall(begin, ours, re.M)) == len(re.findall(end, ours, re.M)) > 0


@pytest.mark.parametrize("record", REGISTRY.values(), ids=list(REGISTRY))
def test_argument_names_are_free_in_vba_and_python(record):
    found = [p.name for p in names.parameters(record)]
    assert len({name.lower() for name in found}) == len(found)
    for name in found:
        assert name.isidentifier() and name.isascii() and name[0] != "_" and len(name) <= 255
        assert name.lower() not in names.VBA_WORDS
        assert name.lower() != record.name.lower() and name not in ("k", "argsArray", "failed", "problem")


def spoken(expression):
    """What a VBA text expression says."""
    said = ""
    for piece in re.findall(r'"(?:[^"]|"")*"|ChrW\(\d+\)', expression):
        said += chr(int(piece[5:-1])) if piece.startswith("ChrW") else piece[1:-1].replace('""', '"')
    return said


@pytest.mark.parametrize("record", REGISTRY.values(), ids=list(REGISTRY))
def test_the_function_wizard_gets_every_text(ours, record):
    found = re.search(
        rf'^    TcDescribe "{record.name}", (.*?), _\n +(.*?), Array\((?: _\n(.*?))?\)$', ours, re.M | re.S
    )
    category, summary, docs = found.groups()
    assert spoken(category) == f"Tarecell - {record.family}"
    assert spoken(summary) == record.summary
    told = [spoken(line) for line in docs.split(", _\n")] if docs else []
    assert told == [p.doc for p in names.parameters(record)]
    for argument, doc in zip(record.arguments, told, strict=True):
        assert doc.startswith(argument.doc)


def test_every_describing_sub_is_called(ours):
    body = re.search(r"Public Sub Tarecell_Descriptions\(\)\n(.*?)End Sub", ours, re.S)[1]
    assert body.split() == re.findall(r"^Private Sub (TcDescribe\d+)\(", ours, re.M)


def test_the_module_is_the_same_every_time():
    assert vba.module_text() == vba.module_text()


PROBES = """
Public Function ProbeResult(given) As Variant
    Dim found As Variant
    found = TcResult(given)
    If IsError(found) Then ProbeResult = CStr(found) Else ProbeResult = TypeName(found)
End Function
Public Function ProbeValue(Optional given) As Variant
    ProbeValue = TypeName(TcValue(given))
End Function
Public Function ProbePassedOn(Optional given) As Variant
    ProbePassedOn = TypeName(Array(TcValue(given))(0))
End Function
"""


@pytest.mark.xdist_group("calc")
def test_the_module_compiles_and_turns_marks_into_errors_in_another_vba(calc, ours):
    """In LibreOffice's Basic, which understands VBA. The numbers are those of Excel's error cells: xlErrNA = 2042."""
    code = "Option VBASupport 1\n" + ours.split("\n", 1)[1] + PROBES
    numbers = {
        "#N/A": 2042,
        "#NUM!": 2036,
        "#VALUE!": 2015,
        "#DIV/0!": 2007,
        "#NAME?": 2029,
        "#NULL!": 2000,
        "#REF!": 2023,
    }
    calls = [("Tarecell", "ProbeResult", [MARK + kind]) for kind in numbers]
    calls += [("Tarecell", "ProbeResult", [given]) for given in ("#N/A", 4.0, MARK + "else")]
    calls += [("Tarecell", name, given) for name in ("ProbeValue", "ProbePassedOn") for given in ([], [4.0])]
    assert calc.basic({"Tarecell": code}, calls) == [
        *(f"Error {number}" for number in numbers.values()),
        *("String", "Double", "String"),
        *("Empty", "Double", "Empty", "Double"),
    ]
    broken = code.replace("Exit Function", "Exit Functoin", 1)  # so the answers above mean that all of it is valid
    assert calc.basic({"Tarecell": broken}, calls[:1]) == [None]


XLPY = """Option VBASupport 1
Public Function CallUDF(module_, name_, args, book, caller) As Variant
    Dim k As Long, told As String
    told = module_ & "." & name_
    For k = LBound(args) To UBound(args)
        told = told & " " & TypeName(args(k))
    Next k
    CallUDF = told & " " & TypeName(book)
End Function
"""


def handed_over(record, args):
    """What the VBA function must pass on to Python: one kind a value, Empty for what is left out."""
    told = ["String"] if names.needs_host(record) else []
    told += ["Variant()" if isinstance(a, list) else "String" if isinstance(a, str) else "Double" for a in args]
    rest = any(p.rest for p in names.parameters(record))
    told += [] if rest else ["Empty"] * (len(record.arguments) - len(args))
    return " ".join([f"{vba.PYTHON_MODULE}.{record.name}", *told, "Workbook"])


@pytest.mark.xdist_group("calc")
def test_every_function_hands_its_arguments_over_in_another_vba(calc, ours):
    """Run in LibreOffice's Basic. It has no calling cell outside a cell, and its workbooks have no Date1904: both are
    written out here."""
    code = "Option VBASupport 1\n" + ours.split("\n", 1)[1].replace("Application.Caller)", "0)")
    code = code.replace("TypeOf Application.Caller Is Range", "False")
    code = code.replace("book.Date1904", "True")
    code += "Public Function ProbeHost() As Variant\n    ProbeHost = TcHost()\nEnd Function\n"
    calls, wanted = [], []
    for record in REGISTRY.values():
        rest = any(p.rest for p in names.parameters(record))
        for given in {record.least + rest, len(record.arguments) + rest}:
            kinds = [[[1.0], [2.0]], "text", 3.0]
            args = [kinds[i % 3] for i in range(given)]
            calls.append(("Tarecell", record.name, args))
            wanted.append(handed_over(record, args))
    assert calc.basic({"Tarecell": code, "XLPy": XLPY}, calls) == wanted
    assert len(calls) > len(REGISTRY)
    assert calc.basic({"Tarecell": code}, [("Tarecell", "ProbeHost", [])])[0].endswith(" 1904")
