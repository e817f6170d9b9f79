"""Tags that items bore and gave up for others: read from the journal once, then only what is new in it."""

from collections.abc import Mapping
from collections.abc import Set as AbstractSet
from typing import Final
from weakref import WeakKeyDictionary

from appreg.core.records.kept_records import Appliance
from appreg.errors import RegisterUnusable
from appreg.register.history.journal import read_cells
from appreg.register.journal.journal_chain import line_of
from appreg.register.journal.journal_ends import heads
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

_NAMED: Final = '%"tag"%'
"""In what a line of the journal tells of a changed item."""


class GivenUpTags:
    """What is known of one open register."""

    def __init__(self) -> None:
        """Know nothing yet."""
        self._tags: frozenset[str] = frozenset()
        self._ends: dict[str, int] = {}
        """The last line of each chain that was looked at."""

    def now(self, register: Register) -> AbstractSet[str]:
        """All of them; what stands in a change that may still be undone is not remembered."""
        ends = {origin: line_of(str(end)) for origin, end in heads(register.rows).items()}
        if ends == self._ends and not register.is_changing:
            return self._tags
        tags = self._tags | given_up_since(register, self._ends)
        if not register.is_changing:
            self._tags, self._ends = tags, ends
        return tags


_KNOWN: Final = WeakKeyDictionary[Register, GivenUpTags]()


def tags_given_up(register: Register) -> AbstractSet[str]:
    """Every tag that an item bore before its present one; the first time all of the journal is looked through."""
    return _KNOWN.setdefault(register, GivenUpTags()).now(register)


def given_up_since(register: Register, since: Mapping[str, int]) -> frozenset[str]:
    """Those that lines after these tell of, by chain; with none named, all lines."""
    table = kind_of(Appliance).table
    statement = 'SELECT uid, "before" FROM journal WHERE entity = ? AND "before" LIKE ? AND "after" LIKE ?'
    parameters: list[object] = [table, _NAMED, _NAMED]
    rows = [] if since else register.rows(statement, parameters)
    for origin in {register.origin, *heads(register.rows)} if since else ():
        entity = register.dialect.unindexed("entity")
        statement = (
            f'SELECT uid, "before" FROM journal WHERE origin = ? AND sequence > ? AND {entity} = ? '
            'AND "before" LIKE ? AND "after" LIKE ?'
        )
        rows += register.rows(statement, [origin, since.get(origin, 0), *parameters])
    return frozenset(tag for uid, before in rows if (tag := _tag_in(table, uid, before)))


def _tag_in(table: str, uid: str, before: str) -> str:
    """The tag that a line tells; empty where it tells none or cannot be read, which `verify` says."""
    try:
        return str(read_cells(table, uid, before).get("tag") or "")
    except RegisterUnusable:
        return ""
