"""One real Calc for all tests that ask for it, and the rule for a host that is not there."""

import os
from importlib.metadata import version

import pytest
from hosts.calc import Calc
from tarecell.hosts.libreoffice import OfficeProblem


def not_here(host: str, reason: object) -> None:
    """Fails under CI, where every host must be there; skips elsewhere, to be told at the end of the run."""
    line = f"NOT TESTED: {host} — {reason}"
    if os.environ.get("CI"):
        pytest.fail(line, pytrace=False)
    pytest.skip(line)


@pytest.fixture(scope="session")
def calc():
    """A running Calc with the extension in a fresh profile."""
    try:
        running = Calc()
    except OfficeProblem as problem:
        not_here("LibreOffice Calc", problem)
    with running:
        yield running


@pytest.fixture(autouse=True)
def _host(request, record_property):
    """Notes which host a test ran in, for the closing lines of the run."""
    if "calc" in request.fixturenames:
        record_property("host", f"LibreOffice Calc {request.getfixturevalue('calc').office.version_text}")
    elif "embedded" in request.path.name:
        record_property("host", f"embedded engine (formualizer {version('formualizer')})")
    elif "excel" in request.path.name:
        record_property("host", "Excel module (outside Excel)")
