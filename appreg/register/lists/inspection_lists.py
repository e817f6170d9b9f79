"""Inspections and their findings, listed; and which of them still count."""

from bisect import bisect_left
from collections.abc import Collection, Iterator, Sequence
from itertools import groupby
from typing import Any, Final

from msgspec import Struct

from appreg.core.records.kept_records import FindingRecord, Inspection, StatedInspection
from appreg.core.values.uids import Uid
from appreg.register.journal.journal_ends import place_column
from appreg.register.lists.counting_inspections import INSPECTION_PLACE, STANDING
from appreg.register.lists.sight import Sight
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import Damaged
from appreg.register.schema.record_kinds import kind_of

_INSPECTION: Final = kind_of(Inspection)
_FINDING: Final = kind_of(FindingRecord)
_INSPECTION_COLUMNS: Final = ", ".join(f'i."{name}"' for name in _INSPECTION.codec.names)
_STATED: Final = kind_of(StatedInspection)
_APPLIANCE: Final = _INSPECTION.codec.names.index("appliance")
_DATE: Final = _INSPECTION.codec.names.index("date")
_STATED_OF: Final = _STATED.codec.names.index("appliance")
_STATED_PLACE: Final = (
    f"coalesce({place_column('stated_inspection', 's.uid')}, CASE s.outcome WHEN 'stated failure' THEN '~' ELSE '' END)"
)
_STATED_COLUMNS: Final = ", ".join(f's."{name}"' for name in _STATED.codec.names)
_STATED_ROWS: Final = f"SELECT {_STATED_COLUMNS}, {_STATED_PLACE} FROM stated_inspection s"
"""What somebody else states, s, each with its place likewise."""


class Stated(Struct, frozen=True, kw_only=True):
    """What somebody else states of an item, and when it was recorded beside the inspections of it."""

    record: StatedInspection
    after: int
    """How many of the item's inspections, all that were saved counted, were in the journal before it."""


class SavedInspections(Struct, frozen=True, kw_only=True):
    """All inspections of one item."""

    saved: tuple[Inspection, ...]
    """In the journal's order, oldest first; those taken back or superseded among them."""
    counting: tuple[Inspection, ...]
    """Those of them that count."""
    stated: tuple[Stated, ...] = ()
    """What somebody else states of it without readings, in the journal's order; none of them is an inspection."""
    sight: Sight
    """Tells what whoever recorded one of them could see."""

    @property
    def newest_first(self) -> tuple[Inspection, ...]:
        """All by their dates, newest first; within a day the journal tells which was saved later."""
        places = {each.uid: place for place, each in enumerate(self.saved)}
        return tuple(sorted(self.saved, key=lambda each: (each.date, places[each.uid]), reverse=True))

    @staticmethod
    def read(
        sight: Sight, rows: Sequence[tuple[Any, ...]], stated: Sequence[tuple[Any, ...]] = ()
    ) -> "SavedInspections":
        """Those of one item in rows of saved_inspections_among() and stated_among(); raises RecordDamaged."""
        return _saved(sight, rows, stated)


def saved_inspections_among(register: Register, items: Collection[Uid]) -> dict[str, list[tuple[Any, ...]]]:
    """Rows of all inspections of some items, by item, to be read one item after the other."""
    test, parameters = register.dialect.among("i.appliance", items)
    rows = register.rows(
        f"SELECT {_INSPECTION_COLUMNS}, {INSPECTION_PLACE}, {STANDING} FROM inspection i WHERE {test}", parameters
    )
    by_item: dict[str, list[tuple[Any, ...]]] = {}
    for row in rows:
        by_item.setdefault(row[_APPLIANCE], []).append(row)
    return by_item


def stated_among(register: Register, items: Collection[Uid]) -> dict[str, list[tuple[Any, ...]]]:
    """Rows of what others state of some items, by item, likewise."""
    test, parameters = register.dialect.among("s.appliance", items)
    by_item: dict[str, list[tuple[Any, ...]]] = {}
    for row in register.rows(f"{_STATED_ROWS} WHERE {test}", parameters):
        by_item.setdefault(row[_STATED_OF], []).append(row)
    return by_item


def stated_of(register: Register, appliance: Uid) -> tuple[StatedInspection, ...]:
    """What others state of an item that can be read, newest first."""
    rows = register.rows(f"{_STATED_ROWS} WHERE s.appliance = ?", (appliance,))
    told = _saved(Sight(register), (), rows, damaged=register.damage.note_record).stated
    return tuple(each.record for each in sorted(told, key=lambda each: (each.record.on, each.after), reverse=True))


def saved_inspections(
    register: Register, appliance: Uid, *, readable: bool = False, sight: Sight | None = None
) -> SavedInspections:
    """All inspections of an appliance in the order in which they were saved, and which of them count.

    `readable` as in inspections_of; one `sight` serves for many items.
    """
    rows = register.rows(
        f"SELECT {_INSPECTION_COLUMNS}, {INSPECTION_PLACE}, {STANDING} FROM inspection i WHERE i.appliance = ?",
        (appliance,),
    )
    stated = register.rows(f"{_STATED_ROWS} WHERE s.appliance = ?", (appliance,))
    damaged = register.damage.note_record if readable else None
    return _saved(sight or Sight(register), rows, stated, damaged=damaged)


def saved_inspections_by_item(register: Register) -> Iterator[tuple[Uid, SavedInspections]]:
    """The same of every item that was ever inspected, or of which anything is stated, one after the other."""
    sight = Sight(register)
    stated: dict[str, list[tuple[Any, ...]]] = {}
    for row in register.rows(_STATED_ROWS):
        stated.setdefault(row[_STATED_OF], []).append(row)
    rows = register.stream(
        f"SELECT {_INSPECTION_COLUMNS}, {INSPECTION_PLACE}, {STANDING} FROM inspection i ORDER BY i.appliance"
    )
    for appliance, own in groupby(rows, key=lambda row: row[_APPLIANCE]):
        yield Uid(appliance), _saved(sight, list(own), stated.pop(appliance, ()))
    for appliance, told in stated.items():
        yield Uid(appliance), _saved(sight, (), told)


def inspections_of(register: Register, appliance: Uid, *, readable: bool = False) -> list[Inspection]:
    """All inspections of an appliance, newest first; those taken back or superseded among them.

    With `readable`, one that cannot be read is noted as damaged instead of ending it: for looking only, never to judge by.
    """
    rows = register.rows(
        f"SELECT {_INSPECTION_COLUMNS}, {INSPECTION_PLACE} FROM inspection i WHERE i.appliance = ?", (appliance,)
    )
    return _newest_first(rows, register.damage.note_record if readable else None)


def effective_inspections(register: Register, appliance: Uid, *, readable: bool = False) -> list[Inspection]:
    """The inspections of an appliance that count, newest first; `readable` as in inspections_of."""
    rows = register.rows(
        f"SELECT {_INSPECTION_COLUMNS}, {INSPECTION_PLACE} FROM inspection i WHERE i.appliance = ? AND {STANDING}",
        (appliance,),
    )
    return _newest_first(rows, register.damage.note_record if readable else None)


def inspections_of_visit(register: Register, visit: Uid, *, effective: bool = True) -> list[Inspection]:
    """The inspections of a visit in the order in which they were saved; by default only those that count."""
    test = f" AND {STANDING}" if effective else ""
    rows = register.rows(
        f"SELECT {_INSPECTION_COLUMNS}, {INSPECTION_PLACE} FROM inspection i WHERE i.visit = ?{test}", (visit,)
    )
    return [_INSPECTION.codec.decode(cells) for *cells, _ in sorted(rows, key=_place)]


def _saved(
    sight: Sight,
    rows: Sequence[tuple[Any, ...]],
    stated: Sequence[tuple[Any, ...]] = (),
    *,
    damaged: Damaged | None = None,
) -> SavedInspections:
    decoded = [
        (inspection, bool(counts), place)
        for *cells, place, counts in sorted(rows, key=_saved_place)
        for inspection in _INSPECTION.codec.decode_all([cells], damaged)
    ]
    places = [place for _, _, place in decoded]
    return SavedInspections(
        sight=sight,
        saved=tuple(each for each, _, _ in decoded),
        counting=tuple(each for each, counts, _ in decoded if counts),
        stated=tuple(
            Stated(record=record, after=bisect_left(places, place))
            for *cells, place in sorted(stated, key=_place)
            for record in _STATED.codec.decode_all([cells], damaged)
        ),
    )


def _newest_first(rows: list[tuple[Any, ...]], damaged: Damaged | None = None) -> list[Inspection]:
    """By their dates; within a day the journal tells which was saved later."""
    ordered = sorted(rows, key=lambda row: (str(row[_DATE]), *_place(row)), reverse=True)
    return _INSPECTION.codec.decode_all([cells for *cells, _ in ordered], damaged)


def _saved_place(row: tuple[Any, ...]) -> tuple[str, str]:
    return _place(row[:-1])


def _place(row: tuple[Any, ...]) -> tuple[str, str]:
    return row[-1], row[0]


def is_withdrawn(register: Register, inspection: Uid) -> bool:
    """Tell whether an inspection has been taken back."""
    return bool(register.rows("SELECT 1 FROM inspection_withdrawal WHERE inspection = ?", (inspection,)))


def successor_of(register: Register, inspection: Uid) -> Uid | None:
    """The inspection that supersedes this one and was not taken back itself."""
    rows = register.rows(
        "SELECT s.uid FROM inspection s WHERE s.supersedes = ? "
        "AND NOT EXISTS (SELECT 1 FROM inspection_withdrawal v WHERE v.inspection = s.uid)",
        (inspection,),
    )
    return Uid(rows[0][0]) if rows else None


def findings_of(register: Register, inspection: Uid, *, readable: bool = False) -> list[FindingRecord]:
    """The findings of an inspection in the order of the checks; `readable` as in inspections_of."""
    rows = register.rows(
        f"SELECT {_FINDING.columns} FROM finding WHERE inspection = ? ORDER BY position", (inspection,)
    )
    return _FINDING.codec.decode_all(rows, register.damage.note_record if readable else None)
