"""Seals: how far a register's journal goes and what it has told up to there, short enough to be noted on paper."""

import re
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


def seal_in(words: str) -> Seal:
    """Read a seal as people copy it: any case, spaces and hyphens; raises InputRefused for anything else."""
    position, *groups = re.split(_BETWEEN, words.strip().upper().translate(_ALIKE))
    digest = "".join(groups)
    if not (re.fullmatch(_POSITION, position) and re.fullmatch(_DIGEST, digest)):
        raise InputRefused(
            f"“{words[:_SHOWN]}” is no seal; copy it whole, a line's number and {DIGITS} digits and letters from A to F, "
            "as in 3490 7F3A-91C2-04BE-66D1-0B9E."
        )
    return Seal(position=int(position), digest=digest)
