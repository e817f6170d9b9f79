"""Seals: how far a register's journal goes and what it has told up to there, short enough to be noted on paper."""

import re
from collections.abc import Sequence
from typing import Final

from msgspec import Struct

from appreg.errors import InputRefused

DIGITS: Final = 20
"""Hexadecimal digits of the hash that a seal holds: 80 bits."""
_GROUP: Final = 4
_POSITION: Final = r"[1-9][0-9]{0,14}"
_DIGEST: Final = rf"[0-9A-F]{{{DIGITS}}}"
_BETWEEN: Final = r"[\s\-\u2010-\u2015\u2212_.,:]+"
"""Expressions are compiled when a seal is typed: every command knows seals, few are given one."""
_SHOWN: Final = 60
_ALIKE: Final = str.maketrans("OIL", "011")
"""Letters that are no hexadecimal digits, read for the digits they look like."""
REGISTER_END: Final = 6
"""Characters of a register's origin that tell it from another on paper, its last."""
_REGISTER: Final = rf"[0-9A-HJKMNP-TV-Z]{{{REGISTER_END}}}"


class Seal(Struct, frozen=True, kw_only=True):
    """A line of a register's own journal: its number, and the beginning of its hash, which covers every line before."""

    position: int
    """The line's number in the chain of the register that wrote it, 1 for the first."""
    digest: str
    """The first twenty hexadecimal digits of the line's hash, in capitals."""

    def __str__(self) -> str:
        groups = (self.digest[at : at + _GROUP] for at in range(0, DIGITS, _GROUP))
        return f"{self.position} {'-'.join(groups)}"


def seal_at(position: int, whole_hash: str) -> Seal:
    """The seal of a line with that number and SHA-256, in hexadecimal."""
    return Seal(position=position, digest=whole_hash[:DIGITS].upper())


class DocumentSeal(Struct, frozen=True, kw_only=True):
    """A seal as a document bears it, with the register that it is of."""

    register: str
    """The last characters of the register's origin; empty: not said."""
    seal: Seal

    def __str__(self) -> str:
        return f"{self.register} {self.seal}".lstrip()

    @property
    def scanned(self) -> str:
        """What the code on a document says: the same without hyphens."""
        return f"{self.register} {self.seal.position} {self.seal.digest}".lstrip()

    def is_of(self, origin: str) -> bool:
        """Tell whether it may be of the register with that origin."""
        return origin.endswith(self.register)


def document_seal(origin: str, seal: Seal) -> DocumentSeal:
    """A seal of the register with that origin."""
    return DocumentSeal(register=origin[-REGISTER_END:], seal=seal)


def seal_in(words: str) -> DocumentSeal:
    """Read a seal as people copy it, from a screen or a document: any case, spaces and hyphens.

    Raises InputRefused for anything else.
    """
    parts = re.split(_BETWEEN, words.strip().upper().translate(_ALIKE))
    seal = _seal_of(parts)
    if seal is not None:
        return DocumentSeal(register="", seal=seal)
    seal = _seal_of(parts[1:])
    if seal is None or not re.fullmatch(_REGISTER, parts[0]):
        raise InputRefused(
            f"“{words[:_SHOWN]}” is no seal; copy it whole, a line's number and {DIGITS} digits and letters from A to F, "
            "as in 3490 7F3A-91C2-04BE-66D1-0B9E."
        )
    return DocumentSeal(register=parts[0], seal=seal)


def _seal_of(parts: Sequence[str]) -> Seal | None:
    position, digest = (parts[0], "".join(parts[1:])) if parts else ("", "")
    if re.fullmatch(_POSITION, position) and re.fullmatch(_DIGEST, digest):
        return Seal(position=int(position), digest=digest)
    return None
