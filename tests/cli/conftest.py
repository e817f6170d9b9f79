"""What the tests of the command line share: a register with one passed and one failed item, and a way to call it."""

import json
from collections.abc import Callable, Iterator
from datetime import date
from pathlib import Path

import pytest
from msgspec import Struct

from appreg.cli import opening, screen_terminal
from appreg.cli.main import main
from tests.tasks.worked_site import WorkedSite, combined, worked_site


class Answer(Struct, frozen=True):
    """What a command told its caller."""

    code: int
    out: str
    err: str

    @property
    def json(self) -> object:
        """The output as JSON."""
        return json.loads(self.out)


Call = Callable[..., Answer]


@pytest.fixture
def no_terminal() -> None:
    """Ask for this in a test that is about a terminal that is missing."""


@pytest.fixture(autouse=True)
def terminal_there(request: pytest.FixtureRequest, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every test that does not ask for no_terminal starts as on a terminal."""
    if "no_terminal" not in request.fixturenames:
        monkeypatch.setattr(screen_terminal, "need_terminal", lambda _environ: None)


@pytest.fixture
def call(capsys: pytest.CaptureFixture[str]) -> Call:
    """Run a command in this process."""

    def called(*words: str | Path) -> Answer:
        code = main([str(word) for word in words])
        out, err = capsys.readouterr()
        return Answer(code, out, err)

    return called


@pytest.fixture
def row(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[WorkedSite]:
    """A site with an item that passed in 2025, one that failed, one never inspected; $APPREG_REGISTER names it."""
    with worked_site(tmp_path) as site:
        passed, failed = site.kettle(), site.kettle()
        site.record(passed, combined(), site.visit(date(2025, 11, 24)))
        site.record(failed, combined(earth="0.52"), site.visit(date(2026, 11, 24)))
        site.kettle()
        monkeypatch.setenv("APPREG_REGISTER", str(site.register.path))
        monkeypatch.setenv("APPREG_WHO", "tester")
        # The clock of the tests of that register: nothing is said of the machine's own.
        monkeypatch.setattr(opening, "system_clock", site.register.last_instant)
        yield site
