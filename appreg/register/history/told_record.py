"""One record as all lines of the journal tell it, whichever chains they stand in: the same from the same lines in any order."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby
from typing import Any, Final, NamedTuple

from appreg.register.history.journal import Row, read_cells
from appreg.register.journal.journal_chain import MERGED
from appreg.register.journal.seen_lines import Mark, SeenLines
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import Cell
from appreg.register.schema.record_kinds import Kind

FOLLOWING: Final[Mapping[str, frozenset[str]]] = {
    "appliance": frozenset({"last_inspection", "last_date", "last_outcome", "next_visual", "next_test"}),
    "remedial_action": frozenset({"closed_by"}),
    "migration": frozenset({"applied", "name"}),
    "register_meta": frozenset({"value"}),
    "queued_label": frozenset({"printed_on"}),
}
"""Fields that follow from other records: nobody has to say which of two values is meant."""
HELD: Final[Mapping[str, frozenset[str]]] = {"appliance": frozenset({"state", "site"})}
"""Fields that people decide on and a merge may set to what fits: a state as long as a failure stands, the site to that of
the location. Its lines are no decision."""


class ToldLine(NamedTuple):
    """A line that tells of the record."""

    mark: Mark
    time: str
    who: str
    before: Row | None
    after: Row | None
    merged: bool = False
    """A merge wrote it."""

    @property
    def turn(self) -> tuple[str, str, int]:
        """Its place among the lines: whoever had seen a line wrote later than it."""
        return self.time, self.mark.chain, self.mark.line


class Write(NamedTuple):
    """A value that a line put into a field."""

    line: ToldLine
    value: Cell


class ToldRecord:
    """A record, line by line in their order (ToldLine.turn)."""

    def __init__(self, seen: SeenLines, added: Row, table: str = "") -> None:
        """`added` holds what a row has in columns that came after it was written."""
        self._seen = seen
        self._held = HELD.get(table, frozenset())
        self._following = FOLLOWING.get(table, frozenset())
        self._added = added
        self._lines: list[ToldLine] = []
        self._last: list[ToldLine] = []
        """Those that no other has seen."""
        self._fields: dict[str, list[Write]] = {}
        """Of each field the writes that no later one has seen, the latest at the end."""
        self._decided: dict[str, list[Write]] = {name: [] for name in self._held}
        """The same of what people decided, of those fields that a merge may hold back."""
        self._kept: list[Write] = []
        """What people decided of whether there is such a record at all."""
        self._standing: list[Write] = []
        """The same of whether there is such a record at all."""

    def add(self, line: ToldLine) -> None:
        """Take the next line."""
        is_there = int(line.after is not None)
        self._standing = self._left(self._standing, line, is_there)
        if not line.merged:
            self._kept = self._left(self._kept, line, is_there)
        if line.after is not None:
            self._put(line, line.after)
        self._last = [*(each for each in self._last if not self._has_seen(line, each)), line]
        self._lines.append(line)

    def _put(self, line: ToldLine, after: Row) -> None:
        if line.before is None:
            whole = {**self._added, **after}
            for name in self._fields.keys() - whole.keys():
                self._fields[name] = [each for each in self._fields[name] if not self._has_seen(line, each.line)]
            after = whole
        for name, value in after.items():
            self._fields[name] = self._left(self._fields.get(name, ()), line, value)
            if name in self._held and not line.merged:
                self._decided[name] = self._left(self._decided[name], line, value)

    def _left(self, writes: Iterable[Write], line: ToldLine, value: Cell) -> list[Write]:
        return [*(each for each in writes if not self._has_seen(line, each.line)), Write(line, value)]

    def _has_seen(self, later: ToldLine, earlier: ToldLine) -> bool:
        return self._seen.has_seen(later.mark, earlier.mark)

    @property
    def exists(self) -> bool:
        """Somebody put it in or changed it who had not seen it removed, or nobody removed it."""
        return any(each.value for each in self._standing)

    @property
    def is_kept(self) -> bool:
        """The same of what people did, as if no merge had taken it out."""
        return any(each.value for each in self._kept)

    @property
    def came_back(self) -> bool:
        """It was removed in one place and changed in another."""
        return self.exists and any(not each.value for each in self._standing)

    @property
    def row(self) -> Row | None:
        """Its fields without the key; None where it is not there."""
        return self.last_row if self.exists else None

    @property
    def last_row(self) -> Row:
        """Its fields as they were last, also where it was removed."""
        return {name: writes[-1].value for name, writes in self._fields.items() if writes}

    def decided(self, name: str) -> Cell:
        """What people made of a field that a merge may hold back."""
        writes = self._decided[name] or self._fields[name]
        return writes[-1].value

    def row_before(self, line: ToldLine) -> Row | None:
        """What stood there for whoever wrote the next line."""
        if all(self._has_seen(line, each) for each in self._last):
            return self.row
        own = ToldRecord(self._seen, self._added)  # what a merge held back stood there as well
        for each in self._lines:
            if self._has_seen(line, each):
                own.add(each)
        return own.row

    def contests(self) -> Iterator[tuple[str, tuple[Write, ...]]]:
        """The fields that people in several places left at different values, each with those."""
        if not self.exists:
            return
        for name, writes in (self._fields | self._decided).items():
            if name not in self._following and len({each.value for each in writes}) > 1:
                yield name, tuple(writes)


def told_of(
    register: Register, seen: SeenLines, kind: Kind[Any], uids: Sequence[str]
) -> Iterator[tuple[str, ToldRecord]]:
    """Records of a kind as all lines of the journal tell them."""
    test, parameters = register.dialect.among("uid", uids)
    rows = register.rows(
        f'SELECT uid, origin, sequence, time, who, "before", "after", reason FROM journal WHERE entity = ? AND {test} '
        "ORDER BY uid, time, origin, sequence",
        [kind.table, *parameters],
    )
    for uid, lines in groupby(rows, key=lambda row: str(row[0])):
        record = ToldRecord(seen, dict(kind.added), kind.table)
        for _, origin, sequence, time, who, before, after, reason in lines:
            was, became = (None if cell is None else read_cells(kind.table, uid, cell) for cell in (before, after))
            record.add(ToldLine(Mark(origin, sequence), time, who, was, became, merged=reason == MERGED))
        yield uid, record
