"""Passphrases asked at the terminal or read from a file, and registers' files that need one."""

import os
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.errors import InputRefused
from appreg.given_files import begins_with

if TYPE_CHECKING:
    from appreg.register.engine.places import Place

VARIABLE: Final = "APPREG_PASSPHRASE_FROM"
_MOST_BYTES: Final = 4000
_HEAD: Final = b"age-encryption.org/v1\n"
"""As of the format's files; what reads and writes them is loaded where one stands."""


@contextmanager
def readable(place: "Place") -> "Iterator[Place]":
    """The place itself, or where an encrypted file stands, the passphrase once asked, what is in it."""
    if not isinstance(place, Path) or not begins_with(place, _HEAD):
        yield place
        return
    from appreg.tasks.keeping.seal_with_passphrase import decrypted  # noqa: PLC0415 - few files are encrypted

    with decrypted(place, _known_passphrase(place)) as file:
        yield file


def passphrase_in(path: Path) -> str:
    """The first line of a file; raises InputRefused where it is empty, GivenFileRefused where it cannot be read."""
    from appreg.given_files import read_text  # noqa: PLC0415 - few files are encrypted

    words = read_text(path, what="passphrases", most_bytes=_MOST_BYTES).partition("\n")[0]
    if not words:
        raise InputRefused(f"The first line of {path} is empty; write the passphrase there.", field="passphrase_from")
    return words


def new_passphrase() -> str:
    """Ask twice; raises InputRefused where nobody answers, or differently."""
    from appreg.tasks.keeping.seal_with_passphrase import refuse_weak  # noqa: PLC0415 - few files are encrypted

    words = _asked("Passphrase: ")
    refuse_weak(words)
    if _asked("The same once more: ") != words:
        raise InputRefused("The two passphrases differ; nothing was written, so begin anew.", field="passphrase")
    return words


def _known_passphrase(place: Path) -> str:
    if named := os.environ.get(VARIABLE, ""):
        return passphrase_in(Path(named))
    return _asked(f"Passphrase of {place.name}: ")


def _asked(prompt: str) -> str:
    if sys.stdin is None or not sys.stdin.isatty():
        raise InputRefused(
            f"A passphrase is needed and nobody can be asked here; name a file that holds it with --passphrase-from or ${VARIABLE}.",
            field="passphrase",
        )
    from getpass import getpass  # noqa: PLC0415 - few files are encrypted

    try:
        return getpass(prompt, stream=sys.stderr)
    except EOFError:
        return ""
