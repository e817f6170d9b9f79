"""A register's file opened: written to where that may be, else read leaving nothing beside it; and whether it still stands there."""

import os
import sqlite3
import stat
from pathlib import Path
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.errors import RegisterUnusable
from appreg.register.engine.register_errors import sentences
from appreg.register.schema.file_marks import HANDED_NOTE, INSTEAD

if TYPE_CHECKING:
    from appreg.register.engine.read_only_copy import PrivateCopy


_BESIDE: Final = ("-wal", "-shm")
_Mark = tuple[int, int]
"""Device and number of a file: no two files have the same while one of them is open."""
_NONE: Final = (-1, -1)
_EMPTY: Final = bytes(4)
"""What no -wal begins with (https://www.sqlite.org/fileformat2.html, 4.1, published)."""


class FileStanding:
    """What stood at the path when it was opened; look() tells what has come of it."""

    def __init__(self, path: Path) -> None:
        """Note the file at the path; raises OSError where none can be reached."""
        self.path = path
        found = path.stat()
        self.mark = _mark(found)
        self._size = found.st_size
        real = os.path.realpath(path)
        # SQLite keeps them beside the file itself, where the path is a link.
        self._names = tuple(Path(real + end) for end in _BESIDE)
        self._beside: dict[Path, _Mark] = {}
        self._has_log = self._names[0].exists() and self._names[0].stat().st_size > 0
        self._wal_size = 0

    def note_beside(self) -> None:
        """Note what a writer has beside it: the same two files from its first reading until it closes."""
        for name in self._names:
            try:
                self._beside[name] = _mark(name.stat())
            except OSError:
                self._beside[name] = _NONE

    def is_cut(self, page: int) -> bool:
        """Tell whether a part of a page is missing at its end, and nothing beside it could make up for that."""
        return self._size % page > 0 and not self._has_log

    def look(self) -> str:
        """One sentence on what has come of the file, empty where it stands as it was opened."""
        try:
            found = self.path.stat()
        except FileNotFoundError:
            return f"The register {self.path} was moved or removed while it was open."
        except OSError as problem:
            return f"The register {self.path} can no longer be reached ({problem.strerror})."
        if _mark(found) != self.mark:
            return f"Another file was put in the place of the register {self.path} while it was open."
        if found.st_size < self._size:
            return f"The register {self.path} was cut short by another program while it was open."
        self._size = found.st_size
        return self._look_beside()

    def _look_beside(self) -> str:
        for name, mark in self._beside.items():
            try:
                found = name.stat()
            except OSError:
                return f"The file {name.name} beside the register {self.path} was removed while the register was open."
            if _mark(found) != mark:
                return f"Another file was put in the place of {name.name} while its register {self.path} was open."
            if name == self._names[0]:
                if found.st_size < self._wal_size or _has_hole(name, found.st_size):
                    return f"The file {name.name} was cut short while its register {self.path} was open."
                self._wal_size = found.st_size
        return ""


def _mark(found: os.stat_result) -> _Mark:
    return found.st_dev, found.st_ino


def _has_hole(path: Path, size: int) -> bool:
    """Tell whether a -wal was cut short and then written on where its end had been."""
    if size == 0:
        return False
    try:
        # SQLite locks no bytes of it, so closing it here gives up no lock of this process.
        handle = os.open(path, os.O_RDONLY)
    except OSError:
        return True
    try:
        return os.read(handle, len(_EMPTY)) == _EMPTY or _first_hole(handle, size) < size
    finally:
        os.close(handle)


def _first_hole(handle: int, size: int) -> int:
    """Where the first part stands that was never written; the end where systems do not say."""
    try:
        return os.lseek(handle, 0, os.SEEK_HOLE)
    except (AttributeError, OSError):
        return size


_WAIT_SECONDS: Final = 5
_PRAGMAS: Final = (
    "PRAGMA foreign_keys = ON",
    "PRAGMA synchronous = FULL",
    "PRAGMA recursive_triggers = ON",
    "PRAGMA cache_size = -8000",
    # Some builds cut the -wal short now and then, which must stay a sign of harm.
    "PRAGMA journal_size_limit = -1",
)
HANDED_OVER: Final = "it holds what was handed over of one site"
_HANDED_OVER: Final = f"SELECT 1 FROM register_meta WHERE key = '{HANDED_NOTE}'"
_LEAST_SIZE: Final = 512
"""The smallest page an SQLite file may have (https://www.sqlite.org/fileformat2.html, published)."""


class OpenedFile(Struct, frozen=True, kw_only=True):
    """A connection to a register's file, and how it was come by."""

    connection: sqlite3.Connection
    standing: FileStanding
    read_only: str = ""
    """Why nothing can be saved into it; empty: it can."""
    still: bool = False
    """It is read as if nobody could change it; whether somebody did has to be looked at."""
    copy: "PrivateCopy | None" = None

    def close(self) -> None:
        """Close the connection and remove the copy."""
        self.connection.close()
        if self.copy is not None:
            self.copy.remove()


def open_file(path: Path, *, copied: bool = False) -> OpenedFile:
    """Open what is there, never making anything; raises RegisterUnusable.

    `copied`: a private copy of it, in which nothing that is written lasts.
    """
    standing = _standing(path)
    read_only = why_read_only(path)
    with sentences(path):
        if copied or (read_only and _left_alone(path)):
            return _open_copy(path, standing, read_only)
        if not read_only:
            connection = connected(path, "mode=rw")
            read_only = _handed_over(connection)
            if not read_only:
                return OpenedFile(connection=connection, standing=standing)
            connection.close()
        # While another program has it open, SQLite reads it through the files that program keeps beside it.
        shared = _size(path, "-wal") > 0
        connection = connected(path, "mode=ro&readonly_shm=1" if shared else "mode=ro&immutable=1")
        return OpenedFile(connection=connection, standing=standing, read_only=read_only, still=not shared)


def _handed_over(connection: sqlite3.Connection) -> str:
    """Why nothing is saved into a file that holds what was handed over; empty where it is a register of its own."""
    try:
        found = connection.execute(_HANDED_OVER).fetchone()
    except sqlite3.DatabaseError:
        return ""  # said where it is looked at
    return HANDED_OVER if found is not None else ""


def why_read_only(path: Path) -> str:
    """Why a register may not be written to by this person; empty where it may."""
    if not _may_write(path):
        return "the file may not be written to"
    real = Path(os.path.realpath(path))
    if not _may_write(real.parent):
        return f"nothing may be written to its folder {real.parent}"
    for end in ("-wal", "-shm"):
        beside = Path(f"{real}{end}")
        if beside.exists() and not _may_write(beside):
            return f"the file {beside.name} beside it may not be written to"
    return ""


def _standing(path: Path) -> FileStanding:
    try:
        found = path.stat()
        if stat.S_ISDIR(found.st_mode):
            raise RegisterUnusable(f"{path} is a folder; name the register's file.")
        if not stat.S_ISREG(found.st_mode):
            raise RegisterUnusable(f"{path} is no file but a device, a pipe or the like; name the register's file.")
        if found.st_size == 0:
            raise RegisterUnusable(f"{path} is an empty file and no register; {INSTEAD}.")
        if found.st_size < _LEAST_SIZE:
            raise RegisterUnusable(
                f"{path} is too short to be a register ({found.st_size} of at least {_LEAST_SIZE} bytes); {INSTEAD}."
            )
        if not _may_read(path):
            raise RegisterUnusable(f"The register {path} may not be read by you; change its permissions.")
        return FileStanding(path)
    except FileNotFoundError as error:
        if path.is_symlink():
            raise RegisterUnusable(
                f"{path} is a link to {path.readlink()}, where nothing is; put the register back, or remove the link."
            ) from error
        raise RegisterUnusable(
            f"There is no register at {path}; `appreg new FILE` makes one, `appreg demo` makes one to try."
        ) from error
    except OSError as error:
        raise RegisterUnusable(
            f"The register {path} cannot be reached ({error.strerror}); choose another place."
        ) from error


def connected(path: Path, mode: str) -> sqlite3.Connection:
    """A connection to a file, set up as all of them are; `mode` as SQLite's URIs name it."""
    # A name in the form of a URI: SQLite makes no file that has gone since it was looked at.
    uri = path.absolute().as_uri()
    if not uri.startswith("file:///"):  # a share on Windows, whose server SQLite wants in the path
        uri = uri.replace("file://", "file:////", 1)
    connection = sqlite3.connect(f"{uri}?{mode}", uri=True, timeout=_WAIT_SECONDS, isolation_level=None)
    try:
        for pragma in _PRAGMAS:
            connection.execute(pragma)
    except BaseException:
        connection.close()
        raise
    return connection


def _open_copy(path: Path, standing: FileStanding, read_only: str) -> OpenedFile:
    from appreg.register.engine.read_only_copy import PrivateCopy  # noqa: PLC0415 - few ever need one

    copy = PrivateCopy(path)
    try:
        connection = connected(copy.path, "mode=rw")
    except BaseException:
        copy.remove()
        raise
    return OpenedFile(
        connection=connection, standing=standing, read_only=read_only or "it is a copy", still=True, copy=copy
    )


def _left_alone(path: Path) -> bool:
    """Tell whether there is something beside it that SQLite could take in only by writing."""
    wal, index = _size(path, "-wal"), _size(path, "-shm")
    real = os.path.realpath(path)
    unread = index > 0 and not (_may_read(Path(f"{real}-shm")) and _may_read(Path(f"{real}-wal")))
    return _size(path, "-journal") > 0 or (wal > 0 and (index == 0 or unread))


def _size(path: Path, end: str) -> int:
    try:
        return Path(os.path.realpath(path) + end).stat().st_size
    except FileNotFoundError:
        return 0


def _may_write(path: Path) -> bool:
    return _may(path, os.W_OK)


def _may_read(path: Path) -> bool:
    return _may(path, os.R_OK)


def _may(path: Path, what: int) -> bool:
    return os.access(path, what, effective_ids=os.access in os.supports_effective_ids)
