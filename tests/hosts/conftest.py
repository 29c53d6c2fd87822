"""One real Calc for all tests that ask for it, and the rule for a host that is not there."""

import os
from collections.abc import Iterator
from importlib.metadata import version

import pytest
from hosts import conformance
from hosts.calc import Calc
from tarecell.hosts.libreoffice import OfficeProblem


def not_here(host: str, reason: object) -> None:
    """Fails under CI, where every host must be there; skips elsewhere, to be told at the end of the run."""
    line = f"NOT TESTED: {host} — {reason}"
    if os.environ.get("CI"):
        pytest.fail(line, pytrace=False)
    pytest.skip(line)


def started(kind: type[Calc], host: str = "LibreOffice Calc", **options) -> Iterator[Calc]:
    """A Calc of this kind while it runs: for fixtures."""
    try:
        running = kind(**options)
    except OfficeProblem as problem:
        not_here(host, problem)
    with running:
        yield running


@pytest.fixture(scope="session")
def calc():
    """A running Calc with the extension in a fresh profile."""
    yield from started(Calc)


@pytest.fixture(scope="session")
def examples(calc, tmp_path_factory):
    """All examples, read once by Calc from an .xlsx, and saved again in both formats."""
    folder = tmp_path_factory.mktemp("examples")
    cases = conformance.write(folder / "examples.xlsx")
    saved = {ending: folder / f"saved{ending}" for ending in (".xlsx", ".ods")}
    sheets = calc.read(folder / "examples.xlsx", save_as=saved.values())
    return cases, conformance.values_of(sheets), saved


@pytest.fixture(scope="session")
def german_calc():
    """The same with a German interface and German numbers."""
    host = "LibreOffice Calc with a German interface"
    for running in started(Calc, host, language="de-DE"):
        if "de" not in running.languages():
            not_here(host, "LibreOffice's German language package (libreoffice-l10n-de) is not installed")
        yield running


@pytest.fixture(autouse=True)
def _host(request, record_property):
    """Notes which host a test ran in, for the closing lines of the run."""
    for fixture, language in {"calc": "", "german_calc": " in German"}.items():
        if fixture in request.fixturenames:
            office = request.getfixturevalue(fixture).office
            record_property("host", f"LibreOffice Calc {office.version_text}{language}")
    if "gnumeric" in request.fixturenames:
        record_property("host", f"Gnumeric {request.getfixturevalue('gnumeric').version}")
    if "embedded" in request.path.name:
        record_property("host", f"embedded engine (formualizer {version('formualizer')})")
    elif "excel" in request.path.name:
        record_property("host", "Excel module (outside Excel)")
