"""Appliances looked up by tag and listed by place."""

from collections.abc import Collection
from typing import Final

from appreg.core.appliances import ServiceState
from appreg.core.records import Appliance
from appreg.core.uids import Uid
from appreg.register.record_kinds import kind_of
from appreg.register.register_file import Register

_KIND: Final = kind_of(Appliance)
_SEPARATOR: Final = "-"
_MOST_DIGITS: Final = 6
"""A longer figure was printed elsewhere and counts nothing here."""


def appliance_by_tag(register: Register, tag: str) -> Appliance | None:
    """The appliance with a tag, typed in capitals or not; None when there is none."""
    rows = register.rows(f"SELECT {_KIND.columns} FROM appliance WHERE tag = ? COLLATE NOCASE", (tag,))
    return _KIND.codec.decode(rows[0]) if rows else None


def appliances_of(
    register: Register,
    site: Uid | None = None,
    location: Uid | None = None,
    states: Collection[ServiceState] | None = None,
    *,
    readable: bool = False,
) -> list[Appliance]:
    """The appliances of a site, a location or the whole register, by tag; of certain states where asked.

    With `readable`, one that cannot be read is noted as damaged instead of ending it.
    """
    tests, parameters = place_tests(site=site, location=location, states=states)
    where = f" WHERE {' AND '.join(tests)}" if tests else ""
    rows = register.rows(
        f"SELECT {_KIND.columns} FROM appliance{where} ORDER BY tag_key",
        parameters,
    )
    return _KIND.codec.decode_all(rows, register.damage.note_record if readable else None)


def place_tests(
    *, site: Uid | None, location: Uid | None, states: Collection[ServiceState] | None, alias: str = "appliance"
) -> tuple[list[str], list[str]]:
    """The conditions, and their parameters, that keep a list to a place and to states."""
    tests: list[str] = []
    parameters: list[str] = []
    if location is not None:
        tests.append(f"{alias}.location = ?")
        parameters.append(location)
    if site is not None:
        # With a location given, its own index is the shorter way.
        tests.append(f"{'+' if location is not None else ''}{alias}.site = ?")
        parameters.append(site)
    if states is not None:
        listed = ", ".join("?" * len(states))
        tests.append(f"+{alias}.state IN ({listed})")
        parameters.extend(state.value for state in states)
    return tests, parameters


def seats_taken(register: Register) -> int:
    """At least as many as there are appliances, those long gone among them; read in one look, however many."""
    seats: int = register.rows("SELECT coalesce(max(ordinal), 0) FROM appliance")[0][0]
    return seats


def last_number(register: Register, prefix: str) -> int:
    """The highest number of at most six figures among the tags of a prefix (17 for KL-017); 0 when there is none."""
    start = prefix + _SEPARATOR
    end = prefix + chr(ord(_SEPARATOR) + 1)
    rows = register.rows(
        "SELECT max(CAST(substr(tag, ?) AS INTEGER)) FROM appliance "
        "WHERE tag >= ? COLLATE NOCASE AND tag < ? COLLATE NOCASE "
        "AND substr(tag, ?) NOT GLOB '*[^0-9]*' AND length(tag) BETWEEN ? AND ?",
        (len(start) + 1, start, end, len(start) + 1, len(start) + 1, len(start) + _MOST_DIGITS),
    )
    return rows[0][0] or 0


def tags_taken(register: Register, tags: Collection[str]) -> set[str]:
    """Which of some tags are in the register already, as they were asked for."""
    wanted = list(tags)
    taken: set[str] = set()
    for start in range(0, len(wanted), 500):
        part = wanted[start : start + 500]
        rows = register.rows(
            f"SELECT tag FROM appliance WHERE tag COLLATE NOCASE IN ({', '.join('?' * len(part))})", part
        )
        found = {_folded(tag) for (tag,) in rows}
        taken.update(tag for tag in part if _folded(tag) in found)
    return taken


def _folded(tag: str) -> str:
    return "".join(c.lower() if c.isascii() else c for c in tag)
