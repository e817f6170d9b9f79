"""Every example of README, help and manual page does what it says, in the order it stands, on the demo."""

import io
import re
import shlex
import sys
from pathlib import Path

import pytest

from appreg.cli.examples import EXAMPLES
from appreg.cli.main import main
from tests.cli.conftest import Call

README = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")
README_LINES = re.findall(r"^appreg .*$", README, re.MULTILINE)
HELP_LINES = [line for examples in EXAMPLES.values() for line, _ in examples]
FOUND_WRONG = {"appreg verify --seal"}
"""The seal of an example belongs to no register."""
INCOMPLETE = (
    "judge --class 1 --cord-csa",
    "judge --type movable",
    "judge --class 2 --functional-earth",
    "scope --compare",
)
"""Something is missing in these; so the code says."""
ANSWERS = "yes\n1\n1\nok\n0.05\n>299\nok\nyes\n"
"""To an inspection: the cautions, person and instrument of a visit, then a kettle's lines; keep it."""


@pytest.fixture(scope="module")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("demo") / "demo.sqlite"
    assert main(["demo", "--no-ui", "--register", str(path)]) == 0
    return path


def expected(line: str) -> set[int]:
    if any(line.startswith(each) for each in FOUND_WRONG):
        return {1}
    if line.removeprefix("appreg ").startswith(INCOMPLETE):
        return {3}
    if line == "appreg inspect HR-007 --look":
        return {3}  # it was inspected on this visit just before, and stays as it was kept
    return {0}


@pytest.mark.usefixtures("stand_in")
@pytest.mark.parametrize("lines", [README_LINES, HELP_LINES], ids=["README", "help"])
def test_every_example_does_what_it_says(
    demo: Path, call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, lines: list[str]
) -> None:
    assert len(lines) > 10
    register = tmp_path / "register.sqlite"
    assert call("--register", demo, "backup", register).code == 0
    monkeypatch.chdir(tmp_path)
    monkeypatch.setenv("APPREG_REGISTER", str(register))
    monkeypatch.setenv("APPREG_WHO", "tester")
    (tmp_path / "list.csv").write_text("Asset tag,Description,Room\nHR-700,Kettle,Kitchen\nHR-701,Toaster,Kitchen\n")
    (tmp_path / "results.csv").write_text(
        "Asset tag,Date,Tested by,Visual,Result\nHR-700,2026-01-05,Ola Quist,pass,pass\n"
    )
    for line in lines:
        monkeypatch.setattr(sys, "stdin", io.StringIO(ANSWERS))
        answer = call(*shlex.split(line)[1:])
        assert answer.code in expected(line), f"{line}: {answer.err}"


def test_a_line_of_an_example_is_one_that_a_shell_takes_as_it_stands() -> None:
    for line in (*README_LINES, *HELP_LINES):
        assert shlex.split(line)[0] == "appreg"
        assert not {"|", "$(", "&&"} & {*line.split()}, line
