"""The completion scripts: the Tab key in a real shell offers what can be typed there."""

import os
import shutil
import subprocess

import pytest
from hosts.conftest import not_here
from tarecell.cli import completion
from tarecell.cli.options import parser

SHELLS = ("bash", "zsh", "fish", "powershell")
ASK = """
complete -p tarecell >/dev/null
COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=()
$(complete -p tarecell | sed -E 's/.*-F ([^ ]+).*/\\1/')
printf '%s\\n' "${COMPREPLY[@]}"
"""


@pytest.fixture(scope="module")
def bash(tmp_path_factory):
    """What the Tab key offers after some words, in Bash."""
    if shutil.which("bash") is None:
        not_here("completion in bash", "no bash")
    script = tmp_path_factory.mktemp("completion") / "tarecell.bash"
    script.write_text(completion.script(parser(), "bash") + ASK, encoding="utf-8")

    def offered(*words: str, folder=None) -> list[str]:
        ended = subprocess.run(
            ["bash", str(script), *words], capture_output=True, text=True, cwd=folder, timeout=30, check=True
        )
        return ended.stdout.split()

    return offered


def test_commands_and_their_steps(bash):
    assert bash("tarecell", "li") == ["libreoffice"]
    assert {"tour", "calc", "check", "share"} <= set(bash("tarecell", ""))
    assert {"build", "install", "remove"} <= set(bash("tarecell", "libreoffice", ""))


def test_options(bash):
    assert bash("tarecell", "check", "--j") == ["--json"]
    assert "--workers" in bash("tarecell", "calc", "--")


def test_functions_templates_and_choices_by_name(bash):
    assert bash("tarecell", "functions", "TC_LY") == ["TC_LYE", "TC_LYE_WATER"]
    assert bash("tarecell", "new", "bar") == ["bar_soap"]
    assert "fragrance" in bash("tarecell", "add", "")


def test_files_and_folders(bash, tmp_path):
    (tmp_path / "recipes.xlsx").touch()
    (tmp_path / "books").mkdir()
    assert bash("tarecell", "calc", "rec", folder=tmp_path) == ["recipes.xlsx"]
    assert [name.rstrip("/") for name in bash("tarecell", "tour", "", folder=tmp_path)] == ["books"]


@pytest.mark.parametrize("shell", SHELLS)
def test_every_shell_has_a_script_that_knows_the_functions(shell):
    text = completion.script(parser(), shell)
    assert "TC_LYE" in text and "bar_soap" in text


@pytest.mark.parametrize("shell", ["zsh", "fish"])
def test_the_script_is_sound(shell, tmp_path):
    """Read, not run, by the shell itself; Bash is asked above."""
    if shutil.which(shell) is None:
        not_here(f"completion in {shell}", f"no {shell} (package {shell})")
    script = tmp_path / "script"
    script.write_text(completion.script(parser(), shell), encoding="utf-8")
    subprocess.run([shell, "-n", str(script)], check=True, timeout=30, env={**os.environ, "HOME": str(tmp_path)})
