"""A folder of workbooks at once: the same report however the work is spread, and nothing lost when a process dies."""

import json
import os
import signal
import subprocess
import sys
from pathlib import Path

import pytest
from openpyxl import load_workbook
from tarecell.workbooks import many, many_run
from tarecell.workbooks.check import check_workbook
from tarecell.workbooks.many import calc_folder, check_folder
from tarecell.workbooks.many_report import Outcome
from tarecell.workbooks.many_run import Job
from tarecell.workbooks.problems import WorkbookProblem
from workbooks import poison
from workbooks.sheets import write

GOOD = [["Ingredient", "g"], ["Water", 70], ["Oil", 30], ["Total", "=SUM(B2:B3)"]]
FOUND = [["Ingredient", "g"], ["Water", 70], ["Oil", 30], ["Wax", 2], ["Total", "=SUM(B2:B3)"]]
ERROR = [["pot", 500, 540], ["put back", "=TC_TOP_UP(B1,C1)"], ["twice", "=B2*2"]]


def fill(root: Path, count: int = 8) -> Path:
    """A folder with good workbooks, workbooks with findings, and one that is cut short."""
    (root / "2025" / "spring").mkdir(parents=True)
    for number in range(count):
        rows = (GOOD, FOUND, ERROR)[number % 3]
        write(root / ("2025/spring" if number % 2 else ".") / f"batch {number:02}.xlsx", {"S": rows})
    (root / "2025" / "cut short.xlsx").write_bytes(b"PK\x03\x04 cut short")
    return root


@pytest.fixture
def folder(tmp_path):
    return fill(tmp_path / "books")


def names(report):
    return [outcome.name for outcome in report.files]


# -- which files ---------------------------------------------------------------------------------------------------


def test_lock_files_and_earlier_results_are_left_out_and_other_spreadsheets_told(tmp_path):
    write(tmp_path / "a.xlsx", {"S": GOOD})
    write(tmp_path / "B.XLSX.tmp.xlsm", {"S": GOOD})
    write(tmp_path / "a.calc.xlsx", {"S": FOUND})
    for name in ("~$a.xlsx", "._a.xlsx", ".tarecell-1.xlsx", "notes.txt", "old.ods", "old.xls"):
        (tmp_path / name).write_text("x")
    (tmp_path / "folder.xlsx").mkdir()
    report = check_folder(tmp_path, workers=1)
    assert names(report) == ["B.XLSX.tmp.xlsm", "a.xlsx"]
    assert [one.name for one in report.left_out] == ["a.calc.xlsx", "old.ods", "old.xls"]
    assert "left out: a.calc.xlsx (an earlier result of calc)" in report.text()
    assert "old.ods and 1 more" in report.text()


def test_folders_that_hold_nothing_or_are_not_there(tmp_path):
    with pytest.raises(WorkbookProblem, match="there is no folder"):
        check_folder(tmp_path / "none")
    with pytest.raises(WorkbookProblem, match="holds no .xlsx or .xlsm workbook$"):
        check_folder(tmp_path)
    (tmp_path / "old.ods").write_text("x")
    with pytest.raises(WorkbookProblem, match="old.ods is not an .xlsx"):
        calc_folder(tmp_path)
    with pytest.raises(WorkbookProblem, match="1 or more"):
        check_folder(fill(tmp_path / "books"), workers=0)


def test_a_folder_that_cannot_be_opened_is_no_silent_gap(folder, monkeypatch):
    real = os.scandir

    def scandir(path):
        if Path(path).name == "spring":
            raise PermissionError(13, "Permission denied", str(path))
        return real(path)

    monkeypatch.setattr(os, "scandir", scandir)
    report = check_folder(folder, workers=1)
    outcome = next(outcome for outcome in report.files if outcome.name == "2025/spring")
    assert (outcome.status, report.exit_status) == (2, 2)
    assert "cannot be opened: Permission denied" in outcome.text


@pytest.mark.skipif(sys.platform == "win32", reason="links need rights there")
def test_links_to_folders_are_not_followed_and_broken_links_are_told(folder):
    (folder / "again").symlink_to(folder, target_is_directory=True)
    (folder / "gone.xlsx").symlink_to(folder / "nothing.xlsx")
    report = check_folder(folder, workers=1)
    assert not [name for name in names(report) if name.startswith("again")]
    assert [o.status for o in report.files if o.name == "gone.xlsx"] == [2]


# -- the report ----------------------------------------------------------------------------------------------------


def test_each_file_of_the_report_is_what_one_check_says(folder):
    report = check_folder(folder, workers=1)
    assert names(report) == sorted(names(report))
    assert report.counts == {0: 3, 1: 5, 2: 1}
    for outcome in report.files:
        one = check_workbook(folder / outcome.name)
        assert outcome.status == one.exit_status
        assert outcome.data["findings"] == one.as_dict()["findings"]
    text = report.text()
    assert text.startswith(f"{folder}: 9 workbooks checked: 3 good, 5 with findings, 1 could not be read")
    assert text.index("2025/cut short.xlsx: could not be read") < text.index("batch 02.xlsx")
    data = json.loads(report.as_json())
    assert list(data) == ["schema", "folder", "out", "status", "counts", "files", "left_out", "notes"]
    assert (data["schema"], data["status"]) == ("tarecell-check-folder-1", 2)
    assert data["counts"] == {"good": 3, "found": 5, "problem": 1}


@pytest.mark.parametrize(("rows", "status"), [([GOOD], 0), ([GOOD, FOUND], 1)])
def test_the_exit_status_is_the_worst_of_all(tmp_path, rows, status):
    for number, sheet in enumerate(rows):
        write(tmp_path / f"{number}.xlsx", {"S": sheet})
    assert check_folder(tmp_path, workers=1).exit_status == status


def test_calc_writes_beside_each_file_or_into_another_folder(folder, tmp_path):
    before = {path: path.read_bytes() for path in folder.rglob("*.xlsx")}
    report = calc_folder(folder, workers=1)
    assert {path: path.read_bytes() for path in before} == before
    assert load_workbook(folder / "batch 00.calc.xlsx", data_only=True)["S"]["B4"].value == 100
    assert load_workbook(folder / "2025/spring/batch 01.calc.xlsx", data_only=True)["S"]["B5"].value == 100
    assert not (folder / "2025/cut short.calc.xlsx").exists()
    assert report.counts == {0: 6, 1: 2, 2: 1}

    again = calc_folder(folder, tmp_path / "new" / "results", workers=1)
    assert names(again) == names(report)
    assert len(again.left_out) == 8
    written = sorted(path.relative_to(tmp_path / "new/results").as_posix() for path in tmp_path.glob("new/**/*.xlsx"))
    assert written == sorted(outcome.data["out"] for outcome in again.files if outcome.status < 2)


def test_calc_tells_the_cause_of_errors_and_counts_what_follows(folder):
    report = calc_folder(folder, workers=1)
    outcome = next(outcome for outcome in report.files if outcome.name == "batch 02.xlsx")
    assert "S!B2: #NUM! 540 g is 40 g more than the target" in outcome.text
    assert "1 more cells are errors because of these" in outcome.text
    assert [(e["cell"], e["kind"], e["follows"]) for e in outcome.data["errors"]] == [
        ("B2", "#NUM!", False),
        ("B3", "#NUM!", True),
    ]
    assert json.loads(report.as_json())["schema"] == "tarecell-calc-folder-1"
    assert "results: beside each file" in report.text()


def test_many_errors_in_one_workbook_do_not_flood_the_text(tmp_path):
    write(tmp_path / "a.xlsx", {"S": [["=TC_TOP_UP(500,540)"]] * 50})
    outcome = calc_folder(tmp_path, workers=1).files[0]
    assert len(outcome.data["errors"]) == 50
    assert len(outcome.text.splitlines()) == 22
    assert "… and 30 more" in outcome.text


def test_calc_refuses_a_file_for_the_results_and_tells_a_folder_that_cannot_be_made(folder, tmp_path):
    (tmp_path / "file").write_text("x")
    with pytest.raises(WorkbookProblem, match="is a file"):
        calc_folder(folder, tmp_path / "file")
    report = calc_folder(folder, tmp_path / "file" / "below", workers=1)
    assert report.counts[2] == len(report.files)
    assert "cannot be made" in report.files[0].text


# -- in several processes ------------------------------------------------------------------------------------------


def test_several_processes_give_the_report_of_one(folder):
    seen = []
    spread = check_folder(folder, workers=2, progress=lambda done, total: seen.append((done, total)))
    assert spread.as_json() == check_folder(folder, workers=1).as_json()
    assert spread.text() == check_folder(folder, workers=1).text()
    assert seen == [(done, 9) for done in range(1, 10)]
    assert calc_folder(folder, workers=2).as_dict()["files"] == calc_folder(folder, workers=1).as_dict()["files"]


@pytest.mark.skipif(sys.platform == "win32", reason="a process is ended in another way there")
def test_a_file_that_ends_its_process_is_told_and_no_other_is_lost(folder):
    for name in ("killer 1", "killer 2"):
        write(folder / f"{name}.xlsx", {"S": GOOD})
    jobs = [Job(path.name, str(path)) for path in sorted(folder.rglob("*.xlsx"))]
    seen = []
    outcomes = many_run.on_this_machine(jobs, 2, lambda done, total: seen.append(done), poison.run)
    by_name = {outcome.name: outcome for outcome in outcomes}
    assert len(outcomes) == len(jobs) == len(by_name)
    assert seen == list(range(1, len(jobs) + 1))
    for name, outcome in by_name.items():
        if name.startswith("killer"):
            assert "ended by the system" in outcome.text
        else:
            assert outcome.data == many_run.run_one(next(job for job in jobs if job.name == name)).data


@pytest.mark.parametrize("workers", [2, None], ids=["two", "as many as one processor wants"])
def test_a_file_that_takes_too_long_is_told_and_holds_up_no_other(folder, monkeypatch, workers):
    monkeypatch.setattr(many_run, "processors", lambda: 1)
    write(folder / "endless.xlsx", {"S": GOOD})
    jobs = [Job(path.name, str(path)) for path in sorted(folder.rglob("*.xlsx"))]
    monkeypatch.setattr(many_run, "_LIMIT", 3.0)
    outcomes = {outcome.name: outcome for outcome in many_run.on_this_machine(jobs, workers, run=poison.run)}
    assert len(outcomes) == len(jobs)
    assert "ended after 3 seconds" in outcomes["endless.xlsx"].text
    assert {name for name, outcome in outcomes.items() if outcome.status == 2} == {"endless.xlsx", "cut short.xlsx"}


def test_a_mistake_in_the_program_stops_one_file_only(folder, monkeypatch):
    class Panic(BaseException):
        """As the engine's own panics: no Exception."""

    def broken(path):
        if Path(path).name == "batch 00.xlsx":
            raise Panic("index out of bounds")
        return check_workbook(path)

    monkeypatch.setattr("tarecell.workbooks.check.check_workbook", broken)
    report = check_folder(folder, workers=1)
    outcome = next(outcome for outcome in report.files if outcome.name == "batch 00.xlsx")
    assert outcome.status == 2
    assert "a mistake in Tarecell itself" in outcome.text and "Panic: index out of bounds" in outcome.text
    assert report.counts == {0: 2, 1: 5, 2: 2}


def test_a_script_without_the_usual_guard_is_told_what_to_do(folder, tmp_path):
    script = tmp_path / "script.py"
    script.write_text(f"from tarecell.workbooks.many import check_folder\ncheck_folder({str(folder)!r}, workers=2)\n")
    ended = subprocess.run([sys.executable, str(script)], capture_output=True, text=True, timeout=120)
    assert ended.returncode == 1
    assert "WorkbookProblem: no further processes can be started" in ended.stderr


# -- on a Dask cluster ---------------------------------------------------------------------------------------------


@pytest.fixture(scope="module")
def cluster():
    """A scheduler with two worker processes on this machine."""
    from distributed import LocalCluster

    with LocalCluster(
        n_workers=2, threads_per_worker=2, processes=True, dashboard_address=":0", silence_logs="CRITICAL"
    ) as cluster:
        yield cluster


def pids(cluster):
    from distributed import Client

    with Client(cluster.scheduler_address, set_as_default=False) as client:
        client.wait_for_workers(2, timeout=60)
        return sorted(client.run(os.getpid).values())


@pytest.mark.xdist_group("dask")
def test_a_cluster_gives_the_report_of_one_process(folder, tmp_path, cluster):
    seen = []
    spread = check_folder(folder, cluster=cluster.scheduler_address, progress=lambda *now: seen.append(now))
    assert spread.as_json() == check_folder(folder, workers=1).as_json()
    assert seen == [(done, 9) for done in range(1, 10)]
    computed = calc_folder(folder, tmp_path / "out", cluster=cluster.scheduler_address)
    assert computed.as_dict()["files"] == calc_folder(folder, tmp_path / "one", workers=1).as_dict()["files"]
    results = {path.relative_to(tmp_path / "out"): path.read_bytes() for path in tmp_path.glob("out/**/*.xlsx")}
    assert results == {path.relative_to(tmp_path / "one"): path.read_bytes() for path in tmp_path.glob("one/**/*.xlsx")}


@pytest.mark.xdist_group("dask")
@pytest.mark.skipif(sys.platform == "win32", reason="a process is ended in another way there")
def test_a_worker_killed_half_way_loses_nothing(tmp_path, cluster):
    folder = fill(tmp_path / "books", 40)
    before = pids(cluster)
    killed = []

    def kill(done, total):
        if done == total // 2:
            os.kill(before[0], signal.SIGKILL)
            killed.append((done, total))

    report = calc_folder(folder, cluster=cluster.scheduler_address, progress=kill)
    assert killed == [(20, 41)]
    assert before[0] not in pids(cluster)
    assert report.notes == []
    one = calc_folder(folder, tmp_path / "one", workers=1)
    assert report.as_dict()["files"] == one.as_dict()["files"]


@pytest.mark.xdist_group("dask")
@pytest.mark.skipif(sys.platform == "win32", reason="a process is ended in another way there")
def test_what_the_cluster_gives_up_is_done_here(folder, cluster, monkeypatch):
    for name in ("killer", "tame"):
        write(folder / f"{name}.xlsx", {"S": GOOD})
    monkeypatch.setattr(many_run, "run_one", poison.run)
    report = check_folder(folder, cluster=cluster.scheduler_address)
    assert len(report.files) == 11
    assert "given up by the cluster and done on this machine" in report.notes[0]
    assert "ended by the system" in next(outcome.text for outcome in report.files if outcome.name == "killer.xlsx")
    monkeypatch.undo()
    (folder / "killer.xlsx").unlink()
    others = [outcome for outcome in report.files if outcome.name != "killer.xlsx"]
    assert [o.data for o in others] == [o.data for o in check_folder(folder, workers=1).files]


@pytest.mark.xdist_group("dask")
def test_a_worker_that_hangs_holds_up_no_other(folder, monkeypatch):
    from distributed import LocalCluster

    write(folder / "endless.xlsx", {"S": GOOD})
    monkeypatch.setattr(many_run, "run_one", poison.run)
    monkeypatch.setattr(many_run, "_LIMIT", 6.0)
    with LocalCluster(n_workers=2, threads_per_worker=1, dashboard_address=":0", silence_logs="CRITICAL") as hanging:
        report = check_folder(folder, cluster=hanging.scheduler_address)
    assert "done on this machine" in report.notes[0]
    outcomes = {outcome.name: outcome for outcome in report.files}
    assert "ended after 6 seconds" in outcomes.pop("endless.xlsx").text
    monkeypatch.undo()
    (folder / "endless.xlsx").unlink()
    assert [o.data for o in outcomes.values()] == [o.data for o in check_folder(folder, workers=1).files]


@pytest.mark.xdist_group("dask")
def test_workers_that_see_another_folder_or_version_are_refused(folder, cluster, monkeypatch):
    with pytest.raises(WorkbookProblem, match="does not see the folder"):
        many_run.on_cluster([], cluster.scheduler_address, folder / "elsewhere")
    monkeypatch.setattr(many_run, "__version__", "0.0")
    with pytest.raises(WorkbookProblem, match="this machine 0.0"):
        check_folder(folder, cluster=cluster.scheduler_address)


@pytest.mark.parametrize("address", ["tcp://127.0.0.1:9", "nonsense://x"])
def test_an_address_where_nobody_answers(folder, monkeypatch, address):
    monkeypatch.setattr(many_run, "_PATIENCE", 2)
    with pytest.raises(WorkbookProblem, match="no Dask scheduler answers at"):
        check_folder(folder, cluster=address)


def test_a_scheduler_without_workers(folder, monkeypatch):
    from distributed import LocalCluster

    monkeypatch.setattr(many_run, "_PATIENCE", 2)
    with LocalCluster(n_workers=0, processes=True, dashboard_address=":0", silence_logs="CRITICAL") as empty:
        with pytest.raises(WorkbookProblem, match="has no workers"):
            check_folder(folder, cluster=empty.scheduler_address)


def test_without_the_extra_the_error_says_how_to_get_it(folder, monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(WorkbookProblem, match=r"tarecell\[cluster\]"):
        check_folder(folder, cluster="tcp://127.0.0.1:9")


def test_outcomes_are_plain_values(folder):
    outcome = check_folder(folder, workers=1).files[0]
    assert isinstance(outcome, Outcome)
    assert json.loads(json.dumps(outcome.data)) == outcome.data
    assert sorted(many.__all__) == many.__all__
