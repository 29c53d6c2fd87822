"""Getting the extension into LibreOffice and out again, and the reasons when that cannot be."""

import os
import subprocess
import time
from types import SimpleNamespace

import pytest
from hosts.conftest import not_here
from tarecell.hosts.libreoffice import OfficeProblem, find_office, install, installing, uninstall
from tarecell.hosts.libreoffice import office as office_module

pytestmark = pytest.mark.xdist_group("calc")


@pytest.fixture(scope="module")
def office():
    try:
        return find_office()
    except OfficeProblem as problem:
        not_here("LibreOffice Calc", problem)


def pretend_office(folder, version="25.2", python=b"libpython3.12"):
    """The few files by which a LibreOffice is known."""
    program = folder / "program"
    program.mkdir(parents=True)
    (program / "bootstraprc").write_text(
        f"[Bootstrap]\nProductKey=LibreOffice {version}\nUserInstallation=$SYSUSERCONFIG/libreoffice/4\n"
    )
    for name in ("soffice", "unopkg", "libpythonloaderlo.so"):
        (program / name).touch()
    (program / "libpyuno.so").write_bytes(b"\x7fELF" + python + b".so.1.0")
    return program


def answer(returncode=0, stdout="", stderr=""):
    return lambda command: subprocess.CompletedProcess(command, returncode, stdout, stderr)


@pytest.mark.skipif(not hasattr(os, "geteuid") or os.geteuid() != 0, reason="for root only")
def test_root_can_install_too(office, tmp_path):
    """LibreOffice's own tool refuses root; a LibreOffice without a window does it."""
    assert "is installed" in install(profile=tmp_path / "profile", office=office)
    packages = tmp_path / "profile" / "user" / "uno_packages" / "cache"
    assert len(list(packages.rglob("functions.xcu"))) == 1
    assert "is installed" in install(profile=tmp_path / "profile", office=office), "a second time"
    assert "no longer" in uninstall(profile=tmp_path / "profile", office=office)
    with pytest.raises(OfficeProblem, match="refused to remove"):
        uninstall(profile=tmp_path / "profile", office=office)


def test_an_office_that_is_too_old_is_refused(tmp_path):
    with pytest.raises(OfficeProblem, match=r"LibreOffice 24\.8 is too old: Tarecell needs 25\.2"):
        find_office(pretend_office(tmp_path, "24.8"))


def test_the_newest_of_several_is_taken(tmp_path, monkeypatch):
    places = [pretend_office(tmp_path / v, v) for v in ("25.8", "26.2", "24.2")]
    monkeypatch.setattr(office_module, "_places", lambda: iter(places))
    assert find_office().version == (26, 2)


def test_no_office_at_all(tmp_path, monkeypatch):
    monkeypatch.setattr(office_module, "_places", lambda: iter([tmp_path]))
    with pytest.raises(OfficeProblem, match=r"no LibreOffice found on this machine: install LibreOffice 25\.2"):
        find_office()
    with pytest.raises(OfficeProblem, match="no LibreOffice found at"):
        find_office(tmp_path / "nowhere")


def test_a_python_inside_that_is_too_old_is_refused(tmp_path, monkeypatch):
    found = find_office(pretend_office(tmp_path, python=b"libpython3.8"))
    assert found.python() == (3, 8)
    with pytest.raises(OfficeProblem, match=r"carries Python 3\.8"):
        install(profile=tmp_path, office=found, run=answer())


def test_an_office_without_python_is_refused(tmp_path):
    program = pretend_office(tmp_path)
    (program / "libpythonloaderlo.so").unlink()
    with pytest.raises(OfficeProblem, match="python3-uno"):
        install(profile=tmp_path, office=find_office(program), run=answer())


def test_an_open_office_is_told_instead_of_waited_for(tmp_path):
    found = find_office(pretend_office(tmp_path / "office"))
    (tmp_path / ".lock").touch()
    with pytest.raises(OfficeProblem, match="LibreOffice is open: close all its windows"):
        install(profile=tmp_path, office=found, run=answer())


def test_what_the_tool_says_is_passed_on_in_one_line(tmp_path):
    found = find_office(pretend_office(tmp_path))
    refusal = answer(
        1, stderr="Warning: failed to launch javaldx\n\nERROR: The disk is full\n\nERROR: unopkg failed.\n"
    )
    with pytest.raises(OfficeProblem, match="refused to add the extension: The disk is full$"):
        install(profile=tmp_path, office=found, run=refusal)


def test_a_tool_that_hangs_is_stopped(tmp_path):
    def hanging(command):
        raise subprocess.TimeoutExpired(command, 1)

    with pytest.raises(OfficeProblem, match="did not answer"):
        install(profile=tmp_path, office=find_office(pretend_office(tmp_path)), run=hanging)


def test_the_command_replaces_and_keeps_to_the_profile(tmp_path):
    commands = []

    def run(command):
        commands.append(command)
        return SimpleNamespace(returncode=0, stdout="", stderr="")

    found = find_office(pretend_office(tmp_path / "office"))
    (tmp_path / "given.oxt").touch()
    install(tmp_path / "given.oxt", profile=tmp_path / "my profile", office=found, run=run)
    install(tmp_path / "given.oxt", office=found, shared=True, run=run)
    tool, given = str(found.program / "unopkg"), str(tmp_path / "given.oxt")
    where = f"-env:UserInstallation={(tmp_path / 'my profile').as_uri()}"
    assert commands == [[tool, "add", "-f", given, where], [tool, "add", "--shared", "-f", given]]
    with pytest.raises(OfficeProblem, match="is missing"):
        install(tmp_path / "absent.oxt", profile=tmp_path, office=found, run=run)


@pytest.mark.skipif(not hasattr(os, "killpg"), reason="the pretended tool is a shell")
def test_what_a_hanging_tool_has_started_is_stopped_with_it(monkeypatch, tmp_path):
    monkeypatch.setattr(installing, "PATIENCE", 1)
    with pytest.raises(subprocess.TimeoutExpired):
        installing.run_tool(["sh", "-c", f"(sleep 2; touch {tmp_path}/late) & wait"])
    time.sleep(1.5)
    assert not (tmp_path / "late").exists()


def test_only_our_own_forgotten_copies_are_cleared_up(tmp_path):
    found = find_office(pretend_office(tmp_path / "office"))
    forgotten = tmp_path / "profile" / "user" / "extensions" / "tmp" / "extensions"
    for name, identifier in {"lu1.tmp": "tarecell", "lu2.tmp": "org.example.other"}.items():
        unpacked = forgotten / f"{name}_" / "given.oxt"
        unpacked.mkdir(parents=True)
        (forgotten / name).touch()
        (unpacked / "description.xml").write_text(f'<description><identifier value="{identifier}"/></description>')
    uninstall(profile=tmp_path / "profile", office=found, run=answer())
    assert sorted(path.name for path in forgotten.iterdir()) == ["lu2.tmp", "lu2.tmp_"]
