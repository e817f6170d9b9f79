"""A real PostgreSQL server on loopback, in a folder of its own that goes with it."""

import atexit
import os
import pwd
import shutil
import socket
import subprocess
import tempfile
from contextlib import suppress
from itertools import count
from pathlib import Path
from typing import Final
from urllib.parse import quote

import pytest

from appreg.register.engine.places import Place, ServerPlace
from appreg.register.opening.register_file import Register

_OWNER: Final = "postgres"
_SETTINGS: Final = (
    "listen_addresses = '127.0.0.1'", "fsync = off", "synchronous_commit = off", "full_page_writes = off",
    "max_connections = 60", "shared_buffers = 32MB", "autovacuum = off", "log_min_messages = fatal",
)  # fmt: skip


def why_no_server() -> str:
    """Why none can be started here; empty where one can."""
    if _programs() is None:
        return "PostgreSQL's server is not installed (Debian: apt-get install postgresql)"
    if os.geteuid() == 0 and not _has_owner():
        return f"a server refuses to run as root, and there is no user {_OWNER}"
    return ""


class PostgresServer:
    """One server; each register made in it has a schema of its own."""

    def __init__(self, follows: "PostgresServer | None" = None) -> None:
        """Make it and start it; one that follows another has what that one has, and takes nothing itself."""
        self._folder = Path(tempfile.mkdtemp(prefix="appreg-pg-"))
        self._user = _OWNER if os.geteuid() == 0 else None
        if self._user:
            shutil.chown(self._folder, self._user)
        self._data = self._folder / "data"
        self._registers = count(1)
        with socket.socket() as free:
            free.bind(("127.0.0.1", 0))
            self.port = free.getsockname()[1]
        if follows is None:
            self._run(
                "initdb", "-D", str(self._data), "-A", "trust", "-U", _OWNER, "-E", "UTF8", "--locale=C.UTF-8", "-N"
            )
        else:
            self._run("pg_basebackup", "-D", str(self._data), "-R", "-N", "-c", "fast", "-d", follows.address())
        settings = (*_SETTINGS, f"port = {self.port}", f"unix_socket_directories = '{self._folder}'")
        with (self._data / "postgresql.conf").open("a", encoding="utf-8") as file:
            file.write("\n".join(settings) + "\n")
        self.start()

    def start(self) -> None:
        """Start it, and wait until it answers."""
        self._run("pg_ctl", "-D", str(self._data), "-l", str(self._folder / "log"), "-w", "start")

    def stop(self, how: str = "fast") -> None:
        """Stop it; `immediate` as if it had lost its power."""
        self._run("pg_ctl", "-D", str(self._data), "-m", how, "-w", "stop")

    def remove(self) -> None:
        """Leave nothing of it."""
        with suppress(subprocess.CalledProcessError):  # a test that failed may have left it stopped
            self.stop("immediate")
        shutil.rmtree(self._folder)

    def new_place(self, beside: Path) -> ServerPlace:
        """The address of an empty schema."""
        import psycopg  # noqa: PLC0415 - where no server is, the driver may be missing too

        schema = f"r{next(self._registers)}"
        with psycopg.connect(self.address(), autocommit=True) as connection:
            connection.execute(f"CREATE SCHEMA {schema}".encode())
        return ServerPlace(self.address(schema), beside)

    def address(self, schema: str = "public") -> str:
        """How a register in a schema is named."""
        return f"postgresql://{_OWNER}@127.0.0.1:{self.port}/postgres?options={quote(f'-csearch_path={schema}')}"

    def _run(self, program: str, *words: str) -> None:
        folder = _programs()
        assert folder is not None
        with (self._folder / "said").open("ab") as said:
            subprocess.run(
                [str(folder / program), *words], check=True, user=self._user, cwd=self._folder, stdout=said, stderr=said
            )


ON_SERVER: Final = os.environ.get("APPREG_TESTS_ON") == "server"
"""The tests that can be run in a file or on a server are to be run on one."""


def of_a_file(because: str) -> pytest.MarkDecorator:
    """Marks a test that is about a register in a file, and says why."""
    return pytest.mark.skipif(ON_SERVER, reason=f"about a file: {because}")


def can_be_kept(text: str) -> bool:
    """Whether the register that a test is run on takes a text: in a database no text holds a character 0."""
    return not (ON_SERVER and "\0" in text)


def let_all_stand(register: Register) -> None:
    """From here on take through this connection what refers to nothing, as whoever owns the database can."""
    register.connection.execute(
        "PRAGMA foreign_keys = OFF" if register.in_file else b"SET session_replication_role = replica"
    )


def place_for(path: Path) -> Place:
    """A path as it is, or with APPREG_TESTS_ON=server a schema that stands for it, made where it is first asked for."""
    if not ON_SERVER:
        return path
    if path not in _STANDING_FOR:
        if not _RUNNING:
            _RUNNING.append(PostgresServer())
            atexit.register(_RUNNING[0].remove)
        _STANDING_FOR[path] = _RUNNING[0].new_place(path)
    return _STANDING_FOR[path]


_RUNNING: Final[list[PostgresServer]] = []
_STANDING_FOR: Final[dict[Path, ServerPlace]] = {}


def _programs() -> Path | None:
    for folder in (*Path("/usr/lib/postgresql").glob("*/bin"), *map(Path, os.get_exec_path())):
        if (folder / "initdb").exists() and (folder / "pg_ctl").exists():
            return folder
    return None


def _has_owner() -> bool:
    try:
        pwd.getpwnam(_OWNER)
    except KeyError:
        return False
    return True
