"""Files encrypted for a passphrase, in the open format `age` (age-encryption.org/v1), and read again."""

import os
import re
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any, Final

from appreg.errors import InputRefused, RegisterUnusable
from appreg.given_files import begins_with, size_words
from appreg.register.opening.copying import draft_in

HEAD: Final = b"age-encryption.org/v1\n"
"""What such a file begins with (https://age-encryption.org/v1, published)."""
_WORK: Final = re.compile(rb"age-encryption\.org/v1\n-> scrypt \S{1,64} (\d{1,9})\n")
_MOST_WORK: Final = 20
"""1 GB; files are written with what takes a second, 16 to 19."""
_MOST_BYTES: Final = 300_000_000
"""Of what is encrypted: pyrage takes files piece by piece for keys alone, for a passphrase it holds three times as much."""
_MOST_AROUND: Final = 2_000_000
"""What the format puts around so much: sixteen bytes for each 64 kB, and its head."""
SHORTEST: Final = 8
"""Characters of a passphrase; shorter ones are guessed."""


def is_encrypted(path: Path) -> bool:
    """Tell whether a file is encrypted so."""
    return begins_with(path, HEAD)


def refuse_weak(passphrase: str) -> None:
    """Raise InputRefused for one that anybody would guess."""
    if len(passphrase) < SHORTEST:
        raise InputRefused(
            f"The passphrase has {len(passphrase)} characters; take {SHORTEST} at least, some words say.",
            field="passphrase",
        )


def encrypted(source: Path, target: Path, passphrase: str) -> None:
    """Write a file anew, encrypted; raises InputRefused where that cannot be done here, as for one that is too long."""
    refuse_weak(passphrase)
    age = _age()
    whole = _within(source, _MOST_BYTES)
    if whole is None:
        raise InputRefused(
            f"With {size_words(source.stat().st_size)} it is too long to be encrypted here; hand it over without a "
            "passphrase, and encrypt that file with the program age.",
            field="passphrase",
        )
    target.write_bytes(age.passphrase.encrypt(whole, passphrase))


@contextmanager
def decrypted(path: Path, passphrase: str) -> Iterator[Path]:
    """A private file with what an encrypted one holds, gone at the end of the block.

    Raises InputRefused for another passphrase, RegisterUnusable where the file is damaged.
    """
    age = _age()
    try:
        whole = _within(path, _MOST_BYTES + _MOST_AROUND)
        if whole is None:
            raise RegisterUnusable(f"{path} is too long to be decrypted here; decrypt it with the program age.")
        _refuse_costly(path, whole)
        content = age.passphrase.decrypt(whole, passphrase)
    except OSError as problem:
        raise RegisterUnusable(f"{path} cannot be read ({problem.strerror}); choose another file.") from problem
    except age.DecryptError as problem:
        raise InputRefused(
            f"{path} does not open with this passphrase, or it was damaged; ask whoever handed it over.",
            field="passphrase",
        ) from problem
    with draft_in(Path(tempfile.gettempdir()), "handed-over") as draft:
        draft.write_bytes(content)
        yield draft


def _within(path: Path, most_bytes: int) -> bytes | None:
    """What a file holds; None where that is more."""
    with path.open("rb") as file:
        if os.fstat(file.fileno()).st_size > most_bytes:
            return None
        whole = file.read(most_bytes + 1)
    return whole if len(whole) <= most_bytes else None


def _refuse_costly(path: Path, whole: bytes) -> None:
    """The file itself says how much memory its key costs: 1 kB × 2 to the power of its work factor (RFC 7914, r = 8)."""
    found = _WORK.match(whole)
    if found and int(found[1]) > _MOST_WORK:
        raise RegisterUnusable(
            f"{path} asks for more memory than reading it can cost, so it was altered; ask for it to be handed over again."
        )


def _age() -> Any:
    from importlib import import_module  # noqa: PLC0415 - few files are encrypted
    from importlib.util import find_spec  # noqa: PLC0415 - the same

    if find_spec("pyrage") is None:
        raise InputRefused(
            "Files encrypted for a passphrase need pyrage; install it with `pip install 'appreg[encryption]'`."
        )
    return import_module("pyrage")  # it tells no types
