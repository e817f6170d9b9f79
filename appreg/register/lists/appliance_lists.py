"""Appliances looked up by tag and listed by place; and what people call the sites by."""

from collections.abc import Collection
from typing import TYPE_CHECKING, Final, NamedTuple

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.searched_words import small_ascii
from appreg.core.values.uids import LENGTH, Uid
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

if TYPE_CHECKING:
    from appreg.register.engine.engine import Dialect


_KIND: Final = kind_of(Appliance)
_SEPARATOR: Final = "-"
_LOOK: Final = 50
"""Tags looked at in one reading."""
_MOST_DIGITS: Final = 6
"""A longer figure was printed elsewhere and counts nothing here."""


def appliance_by_tag(register: Register, tag: str) -> Appliance | None:
    """The appliance with a tag, typed in capitals or not; None when there is none."""
    if "\0" in tag:  # which no database can be asked for
        return None
    own = register.dialect.folded("tag")
    rows = register.rows(f"SELECT {_KIND.columns} FROM appliance WHERE {own} = ?", (small_ascii(tag),))
    return _KIND.codec.decode(rows[0]) if rows else None


def keys_marked(register: Register, mark: str) -> list[Uid]:
    """The keys of appliances that end with a label's mark; looks at every key."""
    rows = register.rows("SELECT uid FROM appliance WHERE substr(uid, ?) = ?", (1 + LENGTH - len(mark), mark))
    return [Uid(uid) for (uid,) in rows]


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
    tests, parameters = place_tests(register.dialect, site=site, location=location, states=states)
    where = f" WHERE {' AND '.join(tests)}" if tests else ""
    rows = register.rows(
        f"SELECT {_KIND.columns} FROM appliance{where} ORDER BY tag_key",
        parameters,
    )
    return _KIND.codec.decode_all(rows, register.damage.note_record if readable else None)


def place_tests(
    dialect: "Dialect",
    *,
    site: Uid | None,
    location: Uid | None,
    states: Collection[ServiceState] | None,
    alias: str = "appliance",
) -> tuple[list[str], list[str]]:
    """The conditions, and their parameters, that keep a list to a place and to states."""
    tests: list[str] = []
    parameters: list[str] = []
    if location is not None:
        tests.append(f"{alias}.location = ?")
        parameters.append(location)
    if site is not None:
        # With a location given, its own index is the shorter way.
        own = f"{alias}.site"
        tests.append(f"{own if location is None else dialect.unindexed(own)} = ?")
        parameters.append(site)
    if states is not None:
        listed = ", ".join("?" * len(states))
        tests.append(f"{dialect.unindexed(f'{alias}.state')} IN ({listed})" if states else "1 = 0")
        parameters.extend(state.value for state in states)
    return tests, parameters


def seats_taken(register: Register) -> int:
    """At least as many as there are appliances, those long gone among them; read in one look, however many."""
    seats: int = register.rows("SELECT coalesce(max(ordinal), 0) FROM appliance")[0][0]
    return seats


def last_number(register: Register, prefix: str) -> int:
    """The highest number of at most six figures among the tags of a prefix (17 for KL-017); 0 when there is none."""
    before = prefix + _SEPARATOR
    beginning = tag_order(before).partition("\t")[0]
    # The one order of tags goes by how many figures a number has, so the highest of so many comes last below this.
    above = f"{beginning}{_MOST_DIGITS + 1}"
    while rows := register.rows(
        "SELECT tag, tag_key FROM appliance WHERE tag_key >= ? AND tag_key < ? ORDER BY tag_key DESC LIMIT ?",
        (beginning + "0", above, _LOOK),
    ):
        above = rows[-1][1]
        for tag, _ in rows:
            number = tag[len(before) :]
            if number.isascii() and number.isdigit() and len(number) <= _MOST_DIGITS:
                return int(number)
    return 0


def tags_taken(register: Register, tags: Collection[str]) -> set[str]:
    """Which of some tags are in the register already, as they were asked for."""
    wanted, own = list(tags), register.dialect.folded("tag")
    taken: set[str] = set()
    for start in range(0, len(wanted), 500):
        part = wanted[start : start + 500]
        test, parameters = register.dialect.among(own, [small_ascii(tag) for tag in part])
        rows = register.rows(f"SELECT tag FROM appliance WHERE {test}", parameters)
        found = {small_ascii(tag) for (tag,) in rows}
        taken.update(tag for tag in part if small_ascii(tag) in found)
    return taken


_ALL: Final = "SELECT uid, name, prefix FROM site ORDER BY uid"


class SiteKey(NamedTuple):
    """What a site can be named by."""

    uid: Uid
    name: str
    prefix: str
    """Of its tags."""


def site_keys(register: Register) -> list[SiteKey]:
    """Those of all sites, oldest key first; of hundreds of sites, whole records would take longer than what is asked of one."""
    return [SiteKey(Uid(uid), name, prefix) for uid, name, prefix in register.rows(_ALL)]
