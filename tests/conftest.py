"""What holds for every test: how many run side by side, and which come first."""

import ast
import gc
import os
import shutil
import sys
import tempfile
from collections.abc import Generator, Iterator
from itertools import count
from pathlib import Path
from typing import Final

import pytest
from _pytest.assertion import rewrite
from hypothesis import HealthCheck, settings

from tests.own_homes import away_from_home, homes_in

# How long an example takes says how busy the machine is: nothing is measured by it here.
settings.register_profile("busy", deadline=None, suppress_health_check=[HealthCheck.too_slow])
settings.load_profile("busy")

# Copying the place of an assertion to all that it is made into takes half of reading the tests anew; in any order does.
rewrite.traverse_node = ast.walk

pytest_plugins = (
    "tests.server_fixtures",
    "tests.printer_fixtures",
    "tests.shared_reading",
    "tests.laid_tables",
    "tests.unsynced_disk",
    "tests.ui.quick_pilots",
    "tests.ui.quick_styles",
)

_WAITING = 2
"""Tests of the screens sleep for half of their time, until the program stands still; so each processor runs two."""
_LONGEST: Final = "terminal"
"""The folder whose tests take long: they come first."""
_SHORT: Final = "ui"
"""The one with many short tests: they come last, and keep every processor at work until the end."""


def pytest_xdist_auto_num_workers() -> int:
    """Answer `-n auto`."""
    return _WAITING * (os.cpu_count() or 1)


def pytest_configure(config: pytest.Config) -> None:
    """Where nothing compiled may be left beside the sources, leave it in a folder that goes with this run.

    The program is started hundreds of times, and each start would compile all of it.
    """
    if sys.dont_write_bytecode and not hasattr(config, "workerinput"):
        compiled = tempfile.mkdtemp(prefix="appreg-compiled-")
        config.add_cleanup(lambda: shutil.rmtree(compiled, ignore_errors=True))
        os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
        os.environ["PYTHONPYCACHEPREFIX"] = sys.pycache_prefix = compiled
        sys.dont_write_bytecode = False


_NUMBERS: Final = count()
_HERE: Final = Path(__file__).parent
_MORE_OBJECTS: Final = 200_000
"""So many more than before let Python search for garbage: every app leaves thousands that are no garbage yet."""
_LEFT_OVER: Final = 30_000
"""So many let it search between two tests, where hardly anything of the one before is no garbage."""


@pytest.fixture(scope="session", autouse=True)
def _away_from_home() -> Iterator[Path]:
    """Nothing that is tested, in this process or another, keeps anything where this person's programs do."""
    with tempfile.TemporaryDirectory(prefix="appreg-home-") as folder, away_from_home(Path(folder, "shared")):
        yield Path(folder)


@pytest.fixture(autouse=True)
def _on_a_new_machine(_away_from_home: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Every test begins on a machine that remembers nothing and has no printer; the folder is made by what writes first."""
    folder = _away_from_home / str(next(_NUMBERS))
    for home, own in homes_in(folder).items():
        monkeypatch.setenv(home, own)
    monkeypatch.setenv("CUPS_SERVER", str(folder / "no-printer"))


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(items: list[pytest.Item]) -> None:
    """Let one process run a whole file outside those two folders: what the tests of a file share is made once, not in each."""
    items.sort(key=lambda item: _turn(_folder(item)))
    for item in items:
        if _folder(item) not in {_LONGEST, _SHORT}:
            item.add_marker(pytest.mark.xdist_group(item.path.relative_to(_HERE).as_posix()))


def _folder(item: pytest.Item) -> str:
    return item.path.relative_to(_HERE).parts[0]


def _turn(folder: str) -> int:
    return 0 if folder == _LONGEST else 2 if folder == _SHORT else 1


def pytest_collection_finish() -> None:
    """Leave what was imported and collected to itself: nothing of it becomes garbage, and each search would look through it."""
    gc.collect()
    gc.freeze()
    gc.set_threshold(_MORE_OBJECTS, 20, 20)


@pytest.hookimpl(wrapper=True)
def pytest_runtest_protocol() -> Generator[None, object, object]:
    """Give back what a test has left when it is done with: each search in the midst of one looks through its whole app."""
    ran = yield
    if gc.get_count()[0] > _LEFT_OVER:
        gc.collect(0)
    return ran
