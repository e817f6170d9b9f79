"""Completion works in the shells that are there, and the manual page has every command, option and example."""

import shutil
import subprocess
from pathlib import Path

import pytest

from appreg.cli.commands import COMMANDS
from appreg.cli.completion import SHELLS
from appreg.cli.examples import EXAMPLES
from appreg.cli.manual_page import manual_page
from appreg.cli.whole_parser import commands_of, options_of, whole_parser
from tests.cli.conftest import Call

ROOT = Path(__file__).parents[2]
ASKED = {
    "bash": """
source "$1"
f=$(complete -p appreg | sed 's/.*-F \\([^ ]*\\).*/\\1/')
offer() { COMP_WORDS=("$@"); COMP_CWORD=$(($# - 1)); COMPREPLY=(); $f appreg "${@: -1}" "${@: -2:1}"; echo "${COMPREPLY[@]}"; }
offer appreg ins; offer appreg due --by ""; offer appreg list items --st
""",
    "fish": """
source $argv[1]
for typed in "appreg ins" "appreg due --by " "appreg list items --st"; complete -C $typed | string replace -r '\\t.*' '' | string join ' '; end; true
""",
}
"""By shell: a script that prints what is offered for three beginnings."""


def ran(shell: str, *words: str) -> str:
    found = shutil.which(shell)
    if found is None:
        pytest.skip(f"{shell} is not installed here")
    done = subprocess.run([found, *words], capture_output=True, text=True, check=True, timeout=60)
    return done.stdout


@pytest.mark.parametrize("shell", SHELLS)
def test_each_shell_reads_what_is_written_for_it(call: Call, tmp_path: Path, shell: str) -> None:
    file = tmp_path / f"appreg.{shell}"
    answer = call("completion", shell)
    assert answer.code == 0
    assert all(name in answer.out for name in COMMANDS)
    file.write_text(answer.out, encoding="utf-8")
    assert ran(shell, "-n", str(file)) == ""
    if shell in ASKED:
        script = tmp_path / "asked"
        script.write_text(ASKED[shell], encoding="utf-8")
        command, by, option = ran(shell, str(script), str(file)).splitlines()
        assert (command, option) == ("inspect", "--state")
        assert {*by.split()} >= {"site", "location", "environment", "category"}


def test_another_shell_is_refused(call: Call) -> None:
    assert call("completion", "csh").code == 2


def test_the_manual_page_has_every_command_option_and_example() -> None:
    page = manual_page()
    for name, command in commands_of(whole_parser()).items():
        heading = f".SS appreg {name}".replace("-", r"\-")
        part = page.partition(heading)[2].partition(".SS ")[0]
        options = [option for action in options_of(command) for option in action.option_strings]
        missing = [option for option in options if option.replace("-", r"\-") not in part]
        assert not missing, name
        assert all(line.replace("-", r"\-") in part for line, _ in EXAMPLES[name]), name


def test_the_page_that_is_installed_is_the_one_the_program_writes(call: Call) -> None:
    assert call("manual").out == manual_page()
    assert (ROOT / "appreg" / "cli" / "appreg.1").read_text(encoding="utf-8") == manual_page()


def test_the_page_is_roff_without_a_fault() -> None:
    if shutil.which("groff") is None:
        pytest.skip("groff is not installed here")
    words = ["groff", "-man", "-ww", "-z", "-Kutf8", "-Tutf8"]
    done = subprocess.run(words, input=manual_page(), capture_output=True, text=True, check=True)
    assert done.stderr == ""


def test_every_command_has_examples_and_help_shows_them(call: Call) -> None:
    assert {*EXAMPLES} == {*COMMANDS}
    for name, examples in EXAMPLES.items():
        told = call(name, "--help").out
        assert all(f"  {line}\n" in told for line, _ in examples), name
