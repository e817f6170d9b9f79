"""The file of a new register: written whole beside its place, then put there, or nothing at all."""

import os
from collections.abc import Callable
from contextlib import suppress
from pathlib import Path
from typing import Final

from appreg.clock import Clock, system_clock
from appreg.errors import RegisterUnusable
from appreg.files import BESIDE, placed
from appreg.register.engine.file_opening import connected, open_file
from appreg.register.engine.register_errors import sentences
from appreg.register.journal.uid_source import Entropy, UidSource, random_bits
from appreg.register.opening.migrations import make_tables

FillFile = Callable[[Path], object]
"""Puts the first records into the file before anybody else can see it."""

OWN: Final = 0o600
"""What a new register lets others do with it: nothing."""


def make_file(
    path: Path, *, clock: Clock = system_clock, entropy: Entropy = random_bits, fill: FillFile | None = None
) -> None:
    """Make the file of a register that only its owner may read; raises InputRefused or RegisterUnusable where anything is."""
    _refuse_left_over(path)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        raise RegisterUnusable(
            f"The folder {path.parent} cannot be made ({error.strerror}); choose another place for the register."
        ) from error
    with placed(path, mode=OWN) as draft:
        write_new(draft, clock, entropy, fill)
        _refuse_left_over(path)


def write_new(draft: Path, clock: Clock, entropy: Entropy, fill: FillFile | None) -> None:
    """Write tables and first records into a file that is there and empty; raises RegisterUnusable."""
    try:
        with sentences(draft):
            connection = connected(draft, "mode=rw")
            try:
                make_tables(draft, connection, clock, UidSource(clock, entropy).new_uid)
            finally:
                connection.close()
        if fill is not None:
            fill(draft)
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
