"""Let files grow no further at a random size: nothing confirmed is lost, the sentence is right, and with room work goes on."""

import re
import resource
import shutil
import signal
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path
from typing import Final
from unittest import mock

from appreg.core.records.kept_records import Client
from appreg.errors import AppregError
from appreg.register.checking.checking import problems
from appreg.register.opening import migrations
from appreg.register.opening.register_file import Register, open_register
from appreg.register.schema import file_marks
from appreg.register.schema.later_tables import MIGRATIONS
from appreg.tasks.keeping.build_demo import build_demo
from appreg.tasks.keeping.make_new_register import make_new_register
from tests.campaign.killed_child import Confirm, confirmed_by_its_end
from tests.campaign.trial import Trial
from tests.register.sample_register import build_register

_TODAY: Final = date(2026, 11, 24)
_TOLD: Final = re.compile(
    r"took nothing more|no room left|cannot be written|could not be written|cannot be replaced|can be written into"
)
_MISLEADING: Final = re.compile(r"restore|damage|Traceback|rollback")
_MANY: Final = 4000


def run(trial: Trial) -> None:
    """Fill the disk in one act after the other until the time is up."""
    acts = (_save, _load, _migrate, _build, _read, _make)
    stock = _Stock(trial.folder / "stock")
    while trial.goes_on():
        place = trial.folder / str(trial.rounds)
        place.mkdir()
        acts[trial.rounds % len(acts)](trial, stock, place)
        shutil.rmtree(place)


class _Stock:
    """Registers made once and copied for each round."""

    def __init__(self, folder: Path) -> None:
        folder.mkdir()
        self.worked = folder / "register.sqlite"
        with build_register(self.worked) as register:
            _put(register, "stock", 1500)
        self.old = folder / "old.sqlite"
        with (
            mock.patch.object(migrations, "MIGRATIONS", MIGRATIONS[:1]),
            mock.patch.object(migrations, "NEWEST", 1),
            mock.patch.object(file_marks, "NEWEST", 1),
            open_register(self.old) as register,
        ):
            _put(register, "old", 300)
        self.demo = folder / "demo.sqlite"
        build_demo(self.demo, today=_TODAY)


@contextmanager
def _files_no_longer_than(size: int) -> Iterator[None]:
    signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
    _, hard = resource.getrlimit(resource.RLIMIT_FSIZE)
    resource.setrlimit(resource.RLIMIT_FSIZE, (size, hard))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_FSIZE, (hard, hard))


def _put(register: Register, name: str, times: int) -> None:
    with register.change("Sam") as change:
        change.put_many(Client(uid=change.new_uid(), name=name, notes="n" * 300) for _ in range(times))


def _attempt(confirm: Confirm, what: str, call: Callable[[], object]) -> None:
    try:
        call()
    except AppregError as refusal:
        confirm(f"refused {refusal}")
    else:
        confirm(what)


def _save(trial: Trial, stock: _Stock, place: Path) -> None:
    _write(trial, stock, place, times=1, turns=200)


def _load(trial: Trial, stock: _Stock, place: Path) -> None:
    _write(trial, stock, place, times=_MANY, turns=2)


def _write(trial: Trial, stock: _Stock, place: Path, *, times: int, turns: int) -> None:
    path = Path(shutil.copy(stock.worked, place / "r.sqlite"))
    size = trial.random.randrange(int(1.5 * path.stat().st_size))

    def work(confirm: Confirm) -> None:
        with open_register(path) as register:
            with _files_no_longer_than(size):
                for turn in range(turns):
                    _attempt(confirm, f"saved-{turn}", lambda turn=turn: _put(register, f"saved-{turn}", times))  # type: ignore[misc]
            _put(register, "saved-with-room", times)
            confirm("saved-with-room")

    lines = _done(trial, "save", work)
    with open_register(path) as register:
        for name in (line for line in lines if line.startswith("saved-")):
            if len(register.find(Client, name=name)) != times:
                trial.fault(f"{name} was confirmed at a limit of {size} and is lost")
        found = {each.name for each in register.find(Client)}
        if stray := {each for each in found if each.startswith("saved-")} - {*lines}:
            trial.fault(f"{len(stray)} changes that were refused at a limit of {size} are in the register")
        _check(trial, register, f"a save at a limit of {size}")


def _migrate(trial: Trial, stock: _Stock, place: Path) -> None:
    path = Path(shutil.copy(stock.old, place / "r.sqlite"))
    size = trial.random.randrange(2 * path.stat().st_size)

    def work(confirm: Confirm) -> None:
        with _files_no_longer_than(size):
            _attempt(confirm, "migrated", lambda: open_register(path).close())

    _done(trial, "migration", work)
    with open_register(path) as register:
        if len(register.find(Client, name="old")) != 300:
            trial.fault(f"a migration at a limit of {size} lost clients")
        _check(trial, register, f"a migration at a limit of {size}")


def _build(trial: Trial, stock: _Stock, place: Path) -> None:
    path = place / "demo.sqlite"
    if trial.random.random() < 0.5:
        shutil.copy(stock.demo, path)
    had_one = path.exists()
    size = trial.random.randrange(int(1.3 * stock.demo.stat().st_size))

    def work(confirm: Confirm) -> None:
        with _files_no_longer_than(size):
            _attempt(confirm, "built", lambda: build_demo(path, today=_TODAY))

    lines = _done(trial, "build", work)
    if path.exists() != (had_one or "built" in lines):
        trial.fault(f"a build at a limit of {size} left a file, or took one away")
    if path.exists():
        with open_register(path, create=False) as register:
            _check(trial, register, f"a build at a limit of {size}")
    if {each.name for each in place.iterdir()} - {"demo.sqlite"}:
        trial.fault(f"a build at a limit of {size} left {sorted(each.name for each in place.iterdir())}")


def _read(trial: Trial, stock: _Stock, place: Path) -> None:
    path = Path(shutil.copy(stock.worked, place / "r.sqlite"))
    size = trial.random.randrange(200_000)

    def work(confirm: Confirm) -> None:
        with open_register(path) as register:
            register.rows("PRAGMA temp_store = FILE")
            register.rows("PRAGMA cache_size = 5")
            query = (
                "SELECT a.notes || b.name AS text FROM client a, client b WHERE b.name != 'stock' ORDER BY text, a.uid"
            )
            with _files_no_longer_than(size):
                _attempt(confirm, "read", lambda: register.rows(query))
            if len(register.rows(query)) < 1500:
                raise AssertionError("rows are missing")

    _done(trial, "reading", work)
    with open_register(path) as register:
        _check(trial, register, f"reading at a limit of {size}")


def _make(trial: Trial, _stock: _Stock, place: Path) -> None:
    path = place / "new.sqlite"
    size = trial.random.randrange(400_000)

    def work(confirm: Confirm) -> None:
        with _files_no_longer_than(size):
            _attempt(confirm, "made", lambda: make_new_register(path, "Sam"))

    lines = _done(trial, "making", work)
    if path.exists() != ("made" in lines) or (not path.exists() and [*place.iterdir()]):
        trial.fault(f"making a register at a limit of {size} left {[each.name for each in place.iterdir()]}")
    if path.exists():
        with open_register(path, create=False) as register:
            _check(trial, register, f"making at a limit of {size}")


def _done(trial: Trial, act: str, work: Callable[[Confirm], None]) -> list[str]:
    lines = confirmed_by_its_end(work)
    for line in lines:
        if line.startswith("raised"):
            trial.fault(f"{act}: {line}")
        elif line.startswith("refused"):
            trial.count(f"refusals in {act}")
            if not _TOLD.search(line) or _MISLEADING.search(line) or not line.endswith("."):
                trial.fault(f"{act}: {line}")
        else:
            trial.count(f"confirmed in {act}")
    return lines


def _check(trial: Trial, register: Register, after: str) -> None:
    for problem in problems(register):
        trial.fault(f"after {after}: {problem.sentence}")
