"""A register made where nothing is, or put in the place of one that may go; whole or not at all."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from appreg.clock import Clock, system_clock
from appreg.errors import InputRefused, RegisterKept, RegisterUnusable
from appreg.files import BESIDE, make_durable, placed
from appreg.left_drafts import draft_beside
from appreg.register.file_opening import connected, open_file
from appreg.register.migrations import make_tables
from appreg.register.places import Place
from appreg.register.register_errors import sentences
from appreg.register.register_file import Register, open_register, refuse_without_driver
from appreg.register.uid_source import Entropy, UidSource, random_bits

Fill = Callable[[Register], object]
"""Puts the first records into a register that nobody else can see yet."""

_OWN: Final = 0o600
_WAIT_MILLISECONDS: Final = 200


def make_register(
    path: Path, *, clock: Clock = system_clock, entropy: Entropy = random_bits, fill: Fill | None = None
) -> None:
    """Make a register that only its owner may read; raises InputRefused or RegisterUnusable where anything is."""
    _refuse_left_over(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise RegisterUnusable(
            f"The folder {path.parent} cannot be made ({error.strerror}); choose another place for the register."
        ) from error
    with placed(path, mode=_OWN) as draft:
        _write(draft, clock, entropy, fill)
        _refuse_left_over(path)


def make_anywhere(
    place: Place, *, clock: Clock = system_clock, entropy: Entropy = random_bits, fill: Fill | None = None
) -> None:
    """The same in a file or in a database, which is to be empty."""
    if isinstance(place, Path):
        make_register(place, clock=clock, entropy=entropy, fill=fill)
        return
    refuse_without_driver()
    from appreg.register.server_opening import make_on_server  # noqa: PLC0415 - files need no driver

    make_on_server(place, clock=clock, entropy=entropy)
    if fill is not None:
        with open_register(place, clock=clock, create=False, entropy=entropy) as register:
            fill(register)


def replace_register(
    path: Path, may_go: Callable[[Register], None], *, clock: Clock, entropy: Entropy, fill: Fill
) -> None:
    """Put a new register in the place of one that nobody else has open and that `may_go` does not refuse.

    Raises what `may_go` does, RegisterKept where it is open elsewhere or may only be read, and InputRefused or
    RegisterUnusable where it cannot be done.
    """
    with open_register(path, create=False) as register:
        may_go(register)
    draft = draft_beside(path)
    try:
        draft.touch(mode=_OWN, exist_ok=False)
        _write(draft, clock, entropy, fill)
        make_durable(draft)
        with _alone_with(path) as register:
            may_go(register)
            if os.name == "nt":  # where no open file can be replaced
                register.close()
            draft.replace(path)
        make_durable(path.parent)
    except OSError as error:
        raise InputRefused(f"{path} cannot be replaced ({error.strerror}); name another file.") from error
    finally:
        with suppress(OSError):
            draft.unlink()


@contextmanager
def _alone_with(path: Path) -> Iterator[Register]:
    """Open a register that nobody else has open, and let nobody write into it; its last -wal is in it."""
    with open_register(path, create=False) as register, sentences(path):
        if register.read_only:
            raise RegisterKept(f"The register {path} cannot be built anew, as {register.read_only}.")
        connection = register.connection
        connection.execute(f"PRAGMA busy_timeout = {_WAIT_MILLISECONDS}")
        try:
            # Done only where no other connection is open; the last of the -wal is in the file then.
            connection.execute("PRAGMA journal_mode = DELETE")
            connection.execute("BEGIN EXCLUSIVE")
        except sqlite3.OperationalError as error:
            raise RegisterKept(
                f"The register {path} is open in another window, so it is kept as it is; close that to build it anew."
            ) from error
        try:
            yield register
        except BaseException:
            connection.execute("ROLLBACK")
            connection.execute("PRAGMA journal_mode = WAL")
            raise


def _write(draft: Path, clock: Clock, entropy: Entropy, fill: Fill | None) -> None:
    try:
        with sentences(draft):
            connection = connected(draft, "mode=rw")
            try:
                make_tables(connection, clock, UidSource(clock, entropy).new_uid)
            finally:
                connection.close()
        if fill is not None:
            with open_register(draft, clock=clock, create=False, entropy=entropy) as register:
                fill(register)
        _gather(draft)
    finally:
        for end in BESIDE:
            with suppress(OSError):
                draft.with_name(draft.name + end).unlink()


def _gather(draft: Path) -> None:
    """Have all of it in the one file: closing says nothing where the last of the -wal found no room."""
    with sentences(draft):
        opened = open_file(draft)
        try:
            opened.connection.execute("SELECT count(*) FROM journal").fetchone()
            (busy, *_) = opened.connection.execute("PRAGMA wal_checkpoint(TRUNCATE)").fetchone()
        finally:
            opened.close()
    wal = draft.with_name(draft.name + BESIDE[0])
    if busy or (wal.exists() and wal.stat().st_size):
        raise RegisterUnusable(f"The new register {draft} could not be written whole; make room and do it again.")


def _refuse_left_over(path: Path) -> None:
    for end in BESIDE:
        left = path.with_name(path.name + end)
        if os.path.lexists(left) and not os.path.lexists(path):
            raise RegisterUnusable(
                f"There is no register at {path}, but {left.name} of an earlier one is: it may hold records. "
                "Put the register back beside it, or move it away to begin anew."
            )
