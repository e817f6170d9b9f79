"""Another file put in the place of a register: what stood there is moved aside whole, and one or the other always stands."""

import os
import sqlite3
import sys
from collections.abc import Iterator
from contextlib import closing, contextmanager, suppress
from pathlib import Path
from typing import Final

from appreg.clock import Instant
from appreg.errors import RegisterUnusable
from appreg.files import BESIDE, make_durable, write_whole
from appreg.register.copies.copy_checking import as_it_stands
from appreg.register.engine.register_errors import sentences
from appreg.register.opening.copying import aside_parts, copies_folder, free_place, read_name
from appreg.register.schema.file_marks import half_done_note

_WHOLE: Final = ("", *BESIDE)
"""Endings of a register's own file and of all that SQLite keeps beside it."""
_LOCKED_FROM: Final = 0x40000002
_LOCKED_BYTES: Final = 510
"""The bytes that SQLite locks while a file is open (https://www.sqlite.org/fileformat2.html, the lock-byte page)."""


def ready_to_stand(incoming: Path) -> None:
    """Give a copy that stands alone the journal mode of a register; raises RegisterUnusable."""
    with closing(sqlite3.connect(incoming, isolation_level=None)) as connection:
        connection.execute("PRAGMA journal_mode = WAL")
    left = [end for end in BESIDE if incoming.with_name(incoming.name + end).exists()]
    if left:
        raise RegisterUnusable(f"{incoming} did not close ({', '.join(left)} is left); try again.")
    make_durable(incoming)


def put_in_place(incoming: Path, path: Path, now: Instant) -> Path | None:
    """Move what stands at `path` among its kept copies, all that belongs to it too, and `incoming` to `path`.

    Returns where it is now, None where nothing stood. `incoming` is on the same disk, and the caller's own
    connections are closed. Raises RegisterUnusable, with the register as it was, where another program uses
    it or it cannot be moved.
    """
    aside = free_place(copies_folder(path), aside_parts(now))
    stood = any(os.path.lexists(path.with_name(path.name + end)) for end in _WHOLE)
    try:
        with _alone_with(path) as alone_and_whole:
            if not (alone_and_whole and _second_name(path, aside)):
                _exchange_by_steps(incoming, path, aside)
            else:
                make_durable(aside.parent)
                incoming.replace(path)
            make_durable(path.parent)
    except OSError as problem:
        settle(path)
        forget_second_name(path, aside)
        raise RegisterUnusable(
            f"The register {path} cannot be moved aside ({problem.strerror or problem}), and stands as it was; "
            "close what uses it, or make its folder writable."
        ) from problem
    return aside if stood else None


def settle(path: Path) -> bool:
    """Put back what a restore that was cut short had moved aside; tell whether anything had to be moved."""
    note = half_done_note(path)
    try:
        named = note.read_text(encoding="utf-8").strip()
    except (FileNotFoundError, UnicodeDecodeError):
        return False
    told = read_name(named)
    back = told is not None and told.set_aside and not os.path.lexists(path)
    if back:
        # The register itself comes last: it never stands without what belongs to it.
        for end in reversed(_WHOLE):
            moved = copies_folder(path) / f"{named}{end}"
            if os.path.lexists(moved):
                moved.replace(path.with_name(path.name + end))
        make_durable(path.parent)
    note.unlink()
    return back


def refuse_in_use(path: Path) -> None:
    """Raise RegisterUnusable where another program has the register open.

    Not to be called while this one has: the system would forget its locks. Windows tells when files are moved.
    """
    if sys.platform == "win32" or not path.is_file():
        return
    try:
        with _system_lock(path):
            pass
    except OSError as problem:
        raise RegisterUnusable(
            f"The register {path} cannot be written to ({problem.strerror}), nor moved aside; change its permissions."
        ) from problem


@contextmanager
def _alone_with(path: Path) -> Iterator[bool]:
    """Hold a register against every other program; True where it is one whole file with nothing beside it now."""
    if not path.is_file():
        yield False
    elif _reads_well(path):
        connection = sqlite3.connect(path, isolation_level=None, timeout=0)
        try:
            _hold(path, connection)
            # An index of the -wal, which stands in the register now.
            path.with_name(f"{path.name}-shm").unlink(missing_ok=True)
            if sys.platform == "win32":  # an open file is not moved there
                connection.close()
            yield not any(path.with_name(path.name + end).exists() for end in BESIDE)
        finally:
            connection.close()
    elif sys.platform == "win32":
        yield False
    else:
        # SQLite is not let near a damaged file: it would write what stands beside it into it.
        with _system_lock(path):
            yield False


def _hold(path: Path, connection: sqlite3.Connection) -> None:
    with sentences(path):
        connection.execute("PRAGMA locking_mode = EXCLUSIVE")
        connection.execute("BEGIN EXCLUSIVE")
        connection.execute("COMMIT")
        # As DELETE, but the hold would let that keep its file beside the register.
        connection.execute("PRAGMA journal_mode = MEMORY")
        connection.execute("BEGIN EXCLUSIVE")


def _reads_well(path: Path) -> bool:
    try:
        with as_it_stands(path) as connection:
            (found,) = connection.execute("PRAGMA quick_check(1)").fetchone()
            return bool(found == "ok")
    except RegisterUnusable:
        return False


@contextmanager
def _system_lock(path: Path) -> Iterator[None]:
    """Hold the bytes that SQLite locks; raises RegisterUnusable where another program does."""
    import fcntl  # noqa: PLC0415 - not on every system

    with path.open("r+b") as file:
        try:
            fcntl.lockf(file, fcntl.LOCK_EX | fcntl.LOCK_NB, _LOCKED_BYTES, _LOCKED_FROM)
        except (BlockingIOError, PermissionError) as taken:
            raise RegisterUnusable(
                f"The register {path} is in use by another program; close that and try again."
            ) from taken
        yield


def _second_name(path: Path, aside: Path) -> bool:
    """Let the register stand at both places; False where the file system knows no second names."""
    try:
        os.link(path, aside)
    except FileExistsError:
        raise
    except OSError:
        return False
    return True


def forget_second_name(path: Path, aside: Path) -> None:
    """Take a second name of the register that still stands off it: it holds nothing of its own."""
    with suppress(OSError):
        if aside.samefile(path):
            aside.unlink()


def _exchange_by_steps(incoming: Path, path: Path, aside: Path) -> None:
    """One after the other, with a note beside the register from which settle() finds back."""
    note = half_done_note(path)
    write_whole(note, f"{aside.name}\n".encode())
    for end in _WHOLE:
        if os.path.lexists(path.with_name(path.name + end)):
            path.with_name(path.name + end).rename(aside.with_name(aside.name + end))
    make_durable(aside.parent)
    make_durable(path.parent)
    incoming.replace(path)
    make_durable(path.parent)
    with suppress(FileNotFoundError):
        note.unlink()
