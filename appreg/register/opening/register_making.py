"""A register made where nothing is, or put in the place of one that may go; whole or not at all."""

import os
import sqlite3
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path
from typing import Final

from appreg.clock import Clock, system_clock
from appreg.errors import InputRefused, RegisterKept
from appreg.files import make_durable
from appreg.left_drafts import draft_beside
from appreg.register.engine.places import Place
from appreg.register.engine.register_errors import sentences
from appreg.register.journal.uid_source import Entropy, random_bits
from appreg.register.opening.file_making import OWN, make_file, write_new
from appreg.register.opening.register_file import Register, open_register, refuse_without_driver

Fill = Callable[[Register], object]
"""Puts the first records into a register that nobody else can see yet."""

_WAIT_MILLISECONDS: Final = 200


def make_register(
    path: Path, *, clock: Clock = system_clock, entropy: Entropy = random_bits, fill: Fill | None = None
) -> None:
    """Make a register that only its owner may read; raises InputRefused or RegisterUnusable where anything is."""
    make_file(path, clock=clock, entropy=entropy, fill=_filled(clock, entropy, fill))


def make_anywhere(
    place: Place, *, clock: Clock = system_clock, entropy: Entropy = random_bits, fill: Fill | None = None
) -> None:
    """The same in a file or in a database, which is to be empty."""
    if isinstance(place, Path):
        make_register(place, clock=clock, entropy=entropy, fill=fill)
        return
    refuse_without_driver()
    from appreg.register.opening.server_opening import make_on_server  # noqa: PLC0415 - files need no driver

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
        draft.touch(mode=OWN, exist_ok=False)
        write_new(draft, clock, entropy, _filled(clock, entropy, fill))
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


def _filled(clock: Clock, entropy: Entropy, fill: Fill | None) -> Callable[[Path], object] | None:
    if fill is None:
        return None

    def filled(draft: Path) -> None:
        with open_register(draft, clock=clock, create=False, entropy=entropy) as register:
            fill(register)

    return filled
