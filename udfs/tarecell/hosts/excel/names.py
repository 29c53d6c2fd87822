"""What the arguments are called in Excel: the records' own names, but where Python or VBA keeps a word for itself."""

import keyword
from dataclasses import dataclass

from tarecell.functions.guide import when_left_out
from tarecell.functions.kinds import Argument, Rest
from tarecell.functions.records import DATE, Record

HOST, HOST_IN_VBA = "host", "TcHost()"  # a first argument that Excel does not show: what the VBA module says of itself
_TAKEN = ("caller", HOST)  # xlwings hands the calling cell to a parameter named caller
_LONGEST = 255  # characters that Excel keeps of a description
# The reserved identifiers of VBA ([MS-VBAL] 3.3.5.2), in lower case as VBA does not tell cases apart; and base and
# step, which it uses in statements and which another Basic (LibreOffice's) does not allow as names.
VBA_WORDS = frozenset(
    """
    abs addressof and any array as attribute base boolean byref byte byval call case cbool cbyte ccur cdate cdbl
    cdec cdecl cint circle clng clnglng clngptr close const csng cstr currency cvar cverr date debug decimal
    declare defbool defbyte defcur defdate defdbl defdec defint deflng deflnglng deflngptr defobj defsng defstr
    defvar dim do doevents double each else elseif empty end endif enum eqv erase event exit false fix for friend
    function get global gosub goto if imp implements in input inputb int integer is lbound len lenb let like
    lineinput lock long longlong longptr loop lset me mod new next not nothing null on open option optional or
    paramarray preserve print private pset public put raiseevent redim rem resume return rset scale seek select
    set sgn shared single spc static step stop string sub tab then to true type typeof ubound unlock until variant
    vb_base vb_control vb_creatable vb_customizable vb_description vb_exposed vb_ext_key vb_globalnamespace
    vb_helpid vb_invoke_func vb_invoke_property vb_invoke_propertyput vb_invoke_propertyputref vb_memberflags
    vb_name vb_predeclaredid vb_procdata vb_templatederived vb_usermemid vb_vardescription vb_varhelpid
    vb_varmemberflags vb_varprocdata vb_varusermemid wend while with withevents write xor
    """.split()
)


@dataclass(frozen=True)
class Parameter:
    """One argument as Excel has it."""

    name: str
    doc: str
    optional: bool
    rest: bool


def parameters(record: Record) -> list[Parameter]:
    """The arguments of a record, in order."""
    return [_parameter(argument) for argument in record.arguments]


def _parameter(argument: Argument) -> Parameter:
    name = argument.name
    if keyword.iskeyword(name) or name.lower() in VBA_WORDS or name in _TAKEN:
        name += "_"
    rest = isinstance(argument, Rest)
    optional = not (argument.required or rest)
    return Parameter(name, (argument.doc + when_left_out(argument))[:_LONGEST], optional, rest)


def category(record: Record) -> str:
    """The name under which Excel's function wizard lists a function."""
    return f"Tarecell - {record.family}"[:_LONGEST]


def summary(record: Record) -> str:
    """The description in Excel's function wizard."""
    return record.summary[:_LONGEST]


def needs_host(record: Record) -> bool:
    """Whether a function must be told the date system of the workbook, or the version of Excel."""
    dated = record.result == DATE or any(a.dated or isinstance(a, Rest) for a in record.arguments)
    return dated or record.needs_host
