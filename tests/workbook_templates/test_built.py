"""Every template and every example is the one that its script builds, and can be printed as it is."""

import importlib

import pytest
from tarecell import examples, workbook_templates
from tarecell.workbooks.new import TEMPLATES
from template_checks import check_printable, structure

FOLDER = {"template": workbook_templates, "example": examples}
CASES = [("template", name) for name in TEMPLATES]
CASES += [("example", name) for name in TEMPLATES if name != "function_tests"]


@pytest.mark.parametrize(("kind", "name"), CASES)
def test_rebuilt_as_committed(kind, name, tmp_path):
    template = importlib.import_module(f"tarecell.workbook_templates.{name}")
    rebuilt, committed = tmp_path / f"{name}.xlsx", FOLDER[kind].__path__[0] + f"/{name}.xlsx"
    if kind == "template":
        template.build(rebuilt)
    else:
        template.build(rebuilt, importlib.import_module(f"tarecell.examples.build_{name}").DATA)
    assert structure(rebuilt) == structure(committed)
    check_printable(committed)
