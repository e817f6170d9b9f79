"""Keep the seals that this machine has seen, in a small file of its own: a line for each register and place."""

import json
import os
import sys
import time
from collections.abc import Callable, Iterator, Mapping
from contextlib import contextmanager, suppress
from itertools import pairwise
from pathlib import Path
from typing import Any, Final

from msgspec import Struct

from appreg.core.records.seals import DIGITS, Seal
from appreg.errors import AppregError
from appreg.tasks.desk.own_folders import state_folder

FILE_NAME: Final = "seals.txt"
MOST_SEALS: Final = 20
"""Kept of one register; the newest stand closest together."""
MOST_REGISTERS: Final = 300
_MOST_BYTES: Final = 2_000_000
_HEAD: Final = (
    "# How far this machine has seen the journals of registers: place, key, whether it stands there now, seals.\n"
)
_PATIENCE: Final = 1.0
"""Seconds to wait for another program that is writing the file."""


class SeenRegister(Struct, frozen=True, kw_only=True):
    """A register as it was seen at one place."""

    path: str
    origin: str
    present: bool
    """It is what should stand there; False: it was put aside, by a restored backup say."""
    seals: tuple[Seal, ...]
    """By position, the last one newest."""


Seen = tuple[SeenRegister, ...]
"""What was seen, the place seen last at the end."""


def place_of(path: Path) -> str:
    """A register's path as it is kept."""
    return os.path.realpath(path)


def load_seen(environ: Mapping[str, str], *, about: tuple[str, ...] = ()) -> tuple[Seen, bool]:
    """What is kept, and whether all of it could be read; nothing where there is no file yet.

    With `about`, only what names one of those places or keys: the lines of the others are not looked at closely.
    """
    try:
        with _file(environ).open("rb") as file:
            content = file.read(_MOST_BYTES)
    except FileNotFoundError:
        return (), True
    except OSError:
        return (), False
    lines = [line for line in content.split(b"\n") if line and not line.startswith(b"#")]
    wanted = [json.dumps(word).encode() for word in about]
    seen, whole = [], content.startswith(b"#") and content.endswith(b"\n")
    for line in lines:
        if not about or any(word in line for word in wanted):
            register = _seen_in(line)
            if register is not None:
                seen.append(register)
            whole = whole and register is not None
        else:
            whole = whole and line.startswith(b'["') and line.endswith(b'"]]')
    return tuple(seen), whole


def change_seen(environ: Mapping[str, str], change: Callable[[Seen], Seen]) -> None:
    """Change what is kept, as it stands just now; where that is impossible everything stays as it was."""
    # A query from the command line must not wait for what only writing needs.
    from appreg.files import write_whole  # noqa: PLC0415

    with suppress(OSError, AppregError):
        folder = state_folder(environ)
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        with alone(folder / f"{FILE_NAME}.lock"):
            seen, whole = load_seen(environ)
            changed = change(seen)[-MOST_REGISTERS:]
            if changed != seen or not whole:
                lines = "".join(map(_line_of, changed))
                write_whole(_file(environ), (_HEAD + lines).encode(), replace=True)


def with_seal(seals: tuple[Seal, ...], seal: Seal) -> tuple[Seal, ...]:
    """The seals with one more at their end, thinned to MOST_SEALS: the older, the further apart."""
    kept = [*seals, seal]
    while len(kept) > MOST_SEALS:
        # Of all but the first and the last, the one goes whose neighbours are close for their age.
        ages = [kept[-1].position - each.position for each in kept]
        place = min(range(1, len(kept) - 1), key=lambda at: (ages[at - 1] - ages[at + 1]) / (1 + ages[at - 1]))
        del kept[place]
    return tuple(kept)


def _file(environ: Mapping[str, str]) -> Path:
    return state_folder(environ) / FILE_NAME


def _seen_in(line: bytes) -> SeenRegister | None:
    try:
        path, origin, present, seals = json.loads(line)
        read = tuple(map(_seal_in, seals))
    except (ValueError, TypeError, RecursionError, AttributeError):
        return None
    if not (isinstance(path, str) and isinstance(origin, str) and isinstance(present, bool)):
        return None
    if not read or any(one.position >= other.position for one, other in pairwise(read)):
        return None
    return SeenRegister(path=path, origin=origin, present=present, seals=read)


def _seal_in(words: str) -> Seal:
    """A seal as this file has it; raises ValueError for anything else."""
    position, _, groups = words.partition(" ")
    seal = Seal(position=int(position), digest=groups.replace("-", ""))
    if str(seal) != words or len(seal.digest) != DIGITS or seal.position < 1:
        raise ValueError(words)
    return seal


def _line_of(seen: SeenRegister) -> str:
    return json.dumps([seen.path, seen.origin, seen.present, [str(seal) for seal in seen.seals]]) + "\n"


@contextmanager
def alone(lock: Path) -> Iterator[None]:
    """Hold a lock while the block runs; after some waiting, go on without it."""
    with lock.open("ab") as file:
        until = time.monotonic() + _PATIENCE
        while not _locked(file) and time.monotonic() < until:
            time.sleep(_PATIENCE / 50)
        yield


def _locked(file: Any) -> bool:
    """Try to lock a file until it is closed."""
    try:
        if sys.platform == "win32":
            import msvcrt  # noqa: PLC0415 - each system has its own

            msvcrt.locking(file.fileno(), msvcrt.LK_NBLCK, 1)
        else:
            import fcntl  # noqa: PLC0415

            fcntl.flock(file, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except OSError:
        return False
    return True
