"""Remember which chain of a register's journal this machine writes: one line for each file, in a small file of its own."""

import json
import os
from collections.abc import Callable, Mapping
from contextlib import suppress
from pathlib import Path
from threading import Lock
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.values.uids import Uid
from appreg.errors import AppregError
from appreg.tasks.desk.own_folders import state_folder
from appreg.tasks.keeping.keep_seals import alone

if TYPE_CHECKING:
    from appreg.register.opening.register_file import Register

FILE_NAME: Final = "chains.txt"
_MOST: Final = 300
_MOST_BYTES: Final = 500_000
_HEAD: Final = "# Which chains this machine writes: register, device and number of the file, chain, its last line, the hash of that.\n"


class OwnChain(Struct, frozen=True, kw_only=True):
    """The chain that this machine writes in one file."""

    register: str
    """The origin that the register was made with."""
    device: int
    number: int
    """Of the file on its device."""
    origin: str
    line: int
    hash: str


class OwnChains:
    """Says which chain of a register this machine goes on with, for all connections of one program."""

    def __init__(self, environ: Mapping[str, str]) -> None:
        self._environ = environ
        self._chosen: dict[tuple[object, ...], Uid] = {}
        self._lock = Lock()

    def origin_of(self, register: "Register") -> Uid | None:
        """The chain remembered of this very file, where it still holds the line that was seen last; else None."""
        if not register.in_file:
            from appreg.register.journal.server_chain import chain_here  # noqa: PLC0415 - files need no server

            return chain_here(register)
        place = _place(register)
        with self._lock:
            if place in self._chosen:
                return self._chosen[place]
        known = next((each for each in reversed(load_chains(self._environ)) if _of(each) == place), None)
        return Uid(known.origin) if known is not None and _still_holds(register, known) else None

    def wrote(self, register: "Register", origin: Uid) -> None:
        """Remember the chain as far as it goes; trouble with that is no trouble, for then another one is begun."""
        if not register.in_file:
            from appreg.register.journal.server_chain import note_chain_here  # noqa: PLC0415 - files need no server

            note_chain_here(register, origin)
            return
        from appreg.register.journal.journal_ends import last_line_of  # noqa: PLC0415 - only after writing

        with suppress(OSError, AppregError):
            place, last = _place(register), last_line_of(register, origin)
            with self._lock:
                self._chosen[place] = origin
            if last is not None:
                own = OwnChain(
                    register=register.origin,
                    device=place[1],
                    number=place[2],
                    origin=origin,
                    line=last[0],
                    hash=last[1],
                )
                _change(self._environ, lambda known: (*(each for each in known if _of(each) != place), own))


def note_made_here(register: "Register", environ: Mapping[str, str]) -> None:
    """Go on with the chain that a register was made with: it was made on this machine."""
    OwnChains(environ).wrote(register, register.origin)


def note_file_made_here(path: Path, environ: Mapping[str, str]) -> None:
    """The same, of a file; where it cannot be opened whoever opens it next is told."""
    from appreg.tasks.desk.locate_register import open_existing  # noqa: PLC0415 - only after making one

    with suppress(AppregError), open_existing(path) as register:
        note_made_here(register, environ)


def load_chains(environ: Mapping[str, str]) -> tuple[OwnChain, ...]:
    """What is remembered; nothing of what cannot be read."""
    try:
        with (state_folder(environ) / FILE_NAME).open("rb") as file:
            content = file.read(_MOST_BYTES)
    except OSError:
        return ()
    read = (_chain_in(line) for line in content.split(b"\n") if line and not line.startswith(b"#"))
    return tuple(each for each in read if each is not None)


def _change(environ: Mapping[str, str], change: Callable[[tuple[OwnChain, ...]], tuple[OwnChain, ...]]) -> None:
    # A query from the command line must not wait for what only writing needs.
    from appreg.files import write_whole  # noqa: PLC0415

    folder = state_folder(environ)
    folder.mkdir(mode=0o700, parents=True, exist_ok=True)
    with alone(folder / f"{FILE_NAME}.lock"):
        known = load_chains(environ)
        changed = change(known)[-_MOST:]
        if changed != known:
            write_whole(folder / FILE_NAME, (_HEAD + "".join(map(_line_of, changed))).encode(), replace=True)


def _chain_in(line: bytes) -> OwnChain | None:
    try:
        register, device, number, origin, last, own_hash = json.loads(line)
    except (ValueError, TypeError, RecursionError):
        return None
    if not all(type(each) is str for each in (register, origin, own_hash)):
        return None
    if not all(type(each) is int for each in (device, number, last)):
        return None
    return OwnChain(register=register, device=device, number=number, origin=origin, line=last, hash=own_hash)


def _line_of(own: OwnChain) -> str:
    return json.dumps([own.register, own.device, own.number, own.origin, own.line, own.hash]) + "\n"


def _of(own: OwnChain) -> tuple[str, int, int]:
    return own.register, own.device, own.number


def _place(register: "Register") -> tuple[str, int, int]:
    """What tells this very file from a copy of it."""
    stands = Path(os.path.realpath(register.path)).stat()
    return register.origin, stands.st_dev, stands.st_ino


def _still_holds(register: "Register", known: OwnChain) -> bool:
    from appreg.register.journal.journal_ends import holds_line  # noqa: PLC0415 - only before writing

    return holds_line(register, known.origin, known.line, known.hash)
