"""Registers in a file and in a database of a real server, from one fixture."""

from collections.abc import Callable, Iterator
from pathlib import Path

import pytest

from appreg.register.engine.places import Place
from tests.postgres_server import PostgresServer, why_no_server

BOTH = ("file", "server")
"""Where a register can be kept."""


@pytest.fixture(scope="session")
def server() -> Iterator[PostgresServer]:
    """One server for all tests of a process, started by the first that needs it."""
    if reason := why_no_server():
        pytest.skip(reason)
    pytest.importorskip("psycopg", reason="the extra [postgres] is not installed")
    running = PostgresServer()
    yield running
    running.remove()


@pytest.fixture(params=BOTH)
def place(request: pytest.FixtureRequest, tmp_path: Path) -> Place:
    """Where nothing is yet, and a register can be made: a path, then an empty schema of a database."""
    return _place(request, tmp_path)


@pytest.fixture(scope="module", params=BOTH)
def shared_place(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Place:
    """The same for all tests of a module."""
    return _place(request, tmp_path_factory.mktemp("register"))


@pytest.fixture(scope="module", params=BOTH)
def new_place(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Callable[[], Place]:
    """Makes such places, as many as a property is tried on."""
    return lambda: _place(request, tmp_path_factory.mktemp("register"))


def _place(request: pytest.FixtureRequest, folder: Path) -> Place:
    path = folder / "r.appreg"
    if request.param == "file":
        return path
    running: PostgresServer = request.getfixturevalue("server")
    return running.new_place(path)
