"""Lines of a journal known only by number and hash, and the line that says which lines were handed over beside them."""

import json
from collections.abc import Iterable, Iterator, Mapping
from hashlib import sha256
from typing import TYPE_CHECKING, Final

from msgspec import Struct

from appreg.core.values.uids import Uid
from appreg.register.schema.file_marks import HANDED_NOTE

if TYPE_CHECKING:
    from appreg.register.engine.engine import Ask
    from appreg.register.opening.register_file import Register

SEALED: Final = "sealed"
"""What a line tells of whose contents are not here: its number and hash are true, and also stand for those left out before it."""
HANDED: Final = "handed over"
"""What a line tells of that notes which lines went into a site's file."""
LEFT: Final = "left site"
"""What a line tells of that notes that an item is no longer at the site that was handed over; its key is the item's."""
HAND_OVER: Final = "hand-over"
"""The reason of such a change."""
FORM: Final = 1
"""The form of such a file."""
_LAST_NUMBER: Final = (1 << 63) - 1
"""Of a line: the highest that a table holds."""

Ranges = Mapping[str, tuple[tuple[int, int], ...]]
"""By chain, the first and last number of lines that follow one another."""


class Handed(Struct, frozen=True, kw_only=True):
    """What such a line says."""

    lines: Ranges
    digest: str
    """SHA-256 over chain, number and hash of each of them."""


def handed_cell(handed: Handed) -> str:
    """As the line holds it."""
    return json.dumps({"digest": handed.digest, "lines": handed.lines}, sort_keys=True, separators=(",", ":"))


def read_handed(cell: object) -> Handed | None:
    """What the line holds; None where it cannot be read."""
    try:
        told = json.loads(cell) if isinstance(cell, str) else None
        lines = {
            str(chain): tuple((int(first), int(last)) for first, last in ranges)
            for chain, ranges in (told or {})["lines"].items()
        }
        if any(not 0 < first <= last <= _LAST_NUMBER for ranges in lines.values() for first, last in ranges):
            return None
        return Handed(lines=lines, digest=str((told or {})["digest"]))
    except (ValueError, TypeError, KeyError, AttributeError, OverflowError, RecursionError):
        return None


def digest_of(lines: Iterable[tuple[str, int, str]]) -> str:
    """SHA-256 over chain, number and hash of lines in the order of their chains and numbers."""
    digest = sha256()
    for chain, number, own_hash in lines:
        digest.update(f"{chain} {number} {own_hash}\n".encode("utf-8", "surrogatepass"))
    return digest.hexdigest()


def digest_here(ask: "Ask", lines: Ranges) -> str:
    """The same of those lines as they are here, told or sealed."""
    return digest_of(_lines_here(ask, lines))


def _lines_here(ask: "Ask", lines: Ranges) -> Iterator[tuple[str, int, str]]:
    for chain in sorted(lines):
        for first, last in lines[chain]:
            for number, own_hash in ask(
                "SELECT sequence, hash FROM journal WHERE origin = ? AND sequence BETWEEN ? AND ? ORDER BY sequence",
                (chain, first, last),
            ):
                yield chain, number, str(own_hash)


def sealed_chains(ask: "Ask") -> dict[str, int]:
    """By chain, how many of its lines are sealed."""
    return {
        str(chain): int(count)
        for chain, count in ask("SELECT origin, count(*) FROM journal WHERE entity = ? GROUP BY origin", (SEALED,))
    }


def handed_over(register: "Register") -> tuple[Uid, str] | None:
    """The site that a file was handed over for, and when; None where it is a register of its own."""
    site = handed_site(register.rows)
    if site is None:
        return None
    found = register.rows("SELECT max(time) FROM journal WHERE entity = ? AND uid = ?", (HANDED, site))
    return site, str(found[0][0] or "")


def handed_site(ask: "Ask") -> Uid | None:
    """The site that a file was handed over for; None where it is a register of its own."""
    found = ask("SELECT value FROM register_meta WHERE key = ?", (HANDED_NOTE,))
    try:
        return Uid(json.loads(found[0][0])["site"]) if found else None
    except (ValueError, TypeError, KeyError):
        return None
