"""Disks that fill up, power that fails, two people at once, clocks that jump: the original is always whole."""

import os
import shutil
import subprocess
import time
import zipfile
from pathlib import Path
from random import Random

import openpyxl
import pytest
from apart import Apart
from tarecell.workbooks.recalculate import recalculate
from workbooks.add_books import RECIPE, recipe

KILLS = int(os.environ.get("FAULT_KILLS", 20))
RANDOM = Random(20)
STEPS = ("tempfile.mkstemp", "os.fdopen", "os.fsync", "os.chmod", "os.replace", "os.open")


@pytest.fixture(scope="module")
def apart():
    with Apart() as running:
        yield running


def whole(file: Path) -> bool:
    """A package without a broken part, with the recipe in it as it was typed."""
    with zipfile.ZipFile(file) as archive:
        assert archive.testzip() is None
    sheet = openpyxl.load_workbook(file)["Cream"]
    return [[c.value for c in row] for row in sheet["A1:D5"]] == RECIPE


def commands(path: Path) -> dict[str, list[str]]:
    add = ["add", "scale", str(path), "--target", "500", "--recipe", "1"]
    return {
        "calc": ["calc", str(path)],
        "calc in place": ["calc", str(path), "--in-place"],
        "add": add,
        "add in place": [*add, "--in-place"],
        "new": ["new", "cream_batch", str(path.with_name("mine.xlsx"))],
    }


def refused(apart: Apart, path: Path, reason: str, **limits) -> None:
    """Every command refuses in one line, and everything in the folder stays as it was."""
    before = {p.name: p.read_bytes() for p in path.parent.iterdir()}
    for name, command in commands(path).items():
        outcome = apart.tarecell(*command, folder="/", **limits)
        assert not outcome.crashed, f"{name}: {outcome.crashed}"
        assert outcome.status == 2 and reason in outcome.err and outcome.err.count("\n") == 1, f"{name}: {outcome}"
        assert {p.name: p.read_bytes() for p in path.parent.iterdir()} == before, name


# -- no room, no permission --------------------------------------------------------------------------------------------


@pytest.mark.parametrize("room", [0, 1, 4096])
def test_no_room_for_the_new_file(apart, tmp_path, room):
    path = recipe(tmp_path)
    assert path.stat().st_size > room
    refused(apart, path, "the disk is full", file_bytes=room)
    assert whole(path)


def test_a_disk_that_is_really_full(apart, tmp_path):
    """A file system of 64 kB, filled up but for a few bytes. Needs the right to mount one."""
    disk = tmp_path / "disk"
    disk.mkdir()
    if subprocess.run(["mount", "-t", "tmpfs", "-o", "size=64k", "tmpfs", disk], capture_output=True).returncode:
        pytest.skip("no right to mount a small file system here")
    try:
        path = recipe(disk)
        with pytest.raises(OSError, match="No space"), open(disk / "photos", "wb", buffering=0) as photos:
            while True:
                photos.write(bytes(512))
        refused(apart, path, "the disk is full")
        assert whole(path)
        (disk / "photos").unlink()
        assert apart.tarecell(*commands(path)["add in place"]).status == 0
        assert whole(path)
    finally:
        subprocess.run(["umount", disk], check=True)


@pytest.fixture
def everybodys():
    """A folder that an unprivileged person can reach, as root may write anywhere."""
    folder = Path("/tmp") / f"faults-{os.getpid()}-{time.monotonic_ns()}"
    folder.mkdir(mode=0o755)
    yield folder
    folder.chmod(0o755)
    shutil.rmtree(folder)


def test_a_folder_that_may_not_be_written_to(apart, everybodys):
    path = recipe(everybodys)
    path.chmod(0o444)
    everybodys.chmod(0o555)
    person = {"person": "nobody"} if os.geteuid() == 0 else {}
    refused(apart, path, "cannot be written to", **person)
    assert apart.tarecell("find", path, **person).status == 0
    assert apart.tarecell("check", path, **person).status in (0, 1)
    assert whole(path)


def test_a_file_that_may_not_be_read(apart, everybodys):
    path = recipe(everybodys)
    path.chmod(0)
    person = {"person": "nobody"} if os.geteuid() == 0 else {}
    for command in ("find", "check", "calc"):
        outcome = apart.tarecell(command, path, **person)
        assert outcome.status == 2 and "permissions" in outcome.err and not outcome.crashed, outcome
    path.chmod(0o644)


# -- killed in the middle ----------------------------------------------------------------------------------------------


def _survived(path: Path) -> None:
    """The workbook and its backups are whole; what else was left is ours, hidden, and in nobody's way."""
    assert whole(path)
    for other in path.parent.iterdir():
        if ".backup" in other.name:
            assert whole(other)
        elif other != path:
            assert other.name.startswith(".tarecell-") and other.name.endswith(".tmp"), other.name


def test_killed_at_any_moment(apart, tmp_path):
    path, written = recipe(tmp_path), 0
    for _ in range(KILLS):
        before = path.read_bytes()
        moment = RANDOM.uniform(0.02, 0.2)
        outcome = apart.call("faults.loops:change_for_ever", str(path), killed_after=moment)
        assert outcome.status == -9, outcome
        _survived(path)
        written += path.read_bytes() != before
        for left in tmp_path.iterdir():
            if left != path:
                left.unlink()
    assert written > KILLS / 2, "most were killed before they wrote anything: the test says little"
    assert apart.tarecell(*commands(path)["calc in place"]).status == 0


@pytest.mark.parametrize("step", STEPS)
@pytest.mark.parametrize("spared", [0, 1])
def test_killed_at_every_step_of_writing(apart, tmp_path, step, spared):
    """The first of the two writes is the backup, the second the workbook."""
    path = recipe(tmp_path)
    before = path.read_bytes()
    for name in ("calc in place", "add in place", "add"):
        outcome = apart.tarecell(*commands(path)[name], killed_at=(step, spared))
        assert outcome.status == -9 or spared and name == "add" or step == "os.open", f"{name}: {outcome}"
        if outcome.status == -9 and step != "os.open" or name == "add":
            assert path.read_bytes() == before or spared, name
        assert whole(path)
        path.write_bytes(before)
        for left in tmp_path.glob("recipe.*"):
            if left != path:
                assert whole(left)
                left.unlink()
        for left in tmp_path.glob(".tarecell-*"):
            left.unlink()
    assert apart.tarecell(*commands(path)["add in place"]).status == 0  # nothing that was left stands in the way


# -- open elsewhere, two at once ---------------------------------------------------------------------------------------


@pytest.mark.parametrize("lock", ["~${}", ".~lock.{}#"])
def test_the_new_file_is_open_in_a_spreadsheet_program(apart, tmp_path, lock):
    path = recipe(tmp_path)
    out = shutil.copy(path, tmp_path / "out.xlsx")
    (tmp_path / lock.format("out.xlsx")).write_text("somebody")
    before = {p.name: p.read_bytes() for p in tmp_path.iterdir()}
    for command in (["calc", path, out], ["add", "scale", path, out, "--target", "500", "--recipe", "1"]):
        outcome = apart.tarecell(*command)
        assert outcome.status == 2 and "out.xlsx is open" in outcome.err, outcome
    assert {p.name: p.read_bytes() for p in tmp_path.iterdir()} == before


def test_two_writers_at_once(apart, tmp_path):
    """Whoever comes second is refused, or comes after: no change is lost without a word, every backup is whole."""
    for attempt in range(8):
        folder = tmp_path / str(attempt)
        folder.mkdir()
        path = recipe(folder)
        original, starts = path.read_bytes(), time.time() + 0.4
        outcomes = apart.together(
            [
                ("faults.loops:change", [str(path), what, at, starts], {})
                for what, at in (("scale", "H1"), ("shares", "J1"))
            ]
        )
        assert not any(o.crashed for o in outcomes), outcomes
        assert whole(path) and {o.status for o in outcomes} <= {0, 1}
        text = b"".join(zipfile.ZipFile(path).read(n) for n in zipfile.ZipFile(path).namelist() if "worksheets" in n)
        done = [name for name, o in zip((b"TC_SCALE", b"TC_SHARES"), outcomes, strict=True) if o.status == 0]
        assert done and all(name in text for name in done), f"a change was lost: {outcomes}"
        backups = list(folder.glob("*.backup*"))
        assert any(b.read_bytes() == original for b in backups) and all(map(whole, backups))
        for outcome in outcomes:
            assert outcome.status == 0 or "changed by another program" in outcome.out, outcome


def test_many_writers_of_one_new_file(apart, tmp_path):
    path, out = recipe(tmp_path), tmp_path / "out.xlsx"
    outcomes = apart.together([("tarecell.cli:main", [["calc", str(path), str(out)]], {})] * 4)
    assert [o.status for o in outcomes] == [0] * 4 and whole(out) and whole(path)
    assert {p.name for p in tmp_path.iterdir()} == {"recipe.xlsx", "out.xlsx"}


# -- clocks ------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("seconds", [-2_000_000_000, 0, 1, 315_532_799, 2**31, 2**32, 2**33])
def test_a_clock_that_is_wrong(apart, tmp_path, seconds):
    """A file from before 1970, of 1979, of 2038, of 2106: read, written and backed up like any other."""
    path = recipe(tmp_path)
    os.utime(path, (seconds, seconds))
    before = path.read_bytes()
    assert apart.tarecell(*commands(path)["add in place"]).status == 0
    assert (tmp_path / "recipe.backup.xlsx").read_bytes() == before and whole(path)


@pytest.mark.parametrize("seconds", [0, 4_000_000_000])
def test_a_clock_that_jumps_between_reading_and_writing(apart, tmp_path, seconds):
    path = recipe(tmp_path)
    outcome = apart.call("faults.loops:touch_while_planning", str(path), seconds)
    assert outcome.status == 0 and whole(path), outcome


def test_another_program_writes_at_the_same_time_by_the_clock(apart, tmp_path):
    """Same size, same time stamp, other content: the clock cannot tell, the content does."""
    path = recipe(tmp_path)
    (tmp_path / "other").mkdir()
    other = tmp_path / "other" / "other.xlsx"
    other.write_bytes(path.read_bytes()[:-40] + bytes(40))
    outcome = apart.call("faults.loops:replaced_while_planning", str(path), str(other))
    assert outcome.status == 1 and "changed by another program" in outcome.out, outcome
    assert path.read_bytes() == other.read_bytes()


def test_entries_from_impossible_days(apart, tmp_path):
    """Parts dated to month 0, as some programs write them."""
    path = recipe(tmp_path)
    content = bytearray(path.read_bytes())
    for mark, offset in ((b"PK\x03\x04", 10), (b"PK\x01\x02", 12)):
        at = -1
        while (at := content.find(mark, at + 1)) >= 0:
            content[at + offset : at + offset + 4] = bytes(4) if at % 2 else b"\xff\xff\xff\xff"
    path.write_bytes(content)
    assert apart.tarecell(*commands(path)["add"]).status == 0
    made = tmp_path / "recipe.scale.xlsx"
    assert whole(made) and recalculate(made).out.exists()
