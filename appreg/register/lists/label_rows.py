"""What many labels are made of, read in a few queries however many there are."""

from collections import defaultdict
from collections.abc import Collection, Iterator, Sequence
from typing import Any, Final, Self

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import SavedInspections, saved_inspections_among, stated_among
from appreg.register.lists.sight import Sight
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

_AT_ONCE: Final = 500
"""Keys named in one query."""
_Row = tuple[Any, ...]


class LabelRows(Struct, frozen=True, kw_only=True):
    """Rows by their keys; each is read where it is asked for, so that a damaged one is told of its own label alone."""

    _register: Register
    _appliances: dict[str, _Row]
    _inspections: dict[str, _Row]
    _saved: dict[str, Sequence[_Row]]
    _stated: dict[str, Sequence[_Row]]
    _findings: dict[str, list[_Row]]
    _sight: Sight

    @classmethod
    def of(cls, register: Register, *, items: Collection[Uid], inspections: Collection[Uid]) -> Self:
        """Read all that the labels of items, each of one inspection, are made of."""
        findings: defaultdict[str, list[_Row]] = defaultdict(list)
        place = kind_of(FindingRecord).codec.names.index("inspection")
        for row in _rows(register, FindingRecord, "inspection", inspections, order="position"):
            findings[row[place]].append(row)
        return cls(
            _register=register,
            _appliances={row[0]: row for row in _rows(register, Appliance, "uid", items)},
            _inspections={row[0]: row for row in _rows(register, Inspection, "uid", inspections)},
            _saved={
                key: rows for part in _parts(items) for key, rows in saved_inspections_among(register, part).items()
            },
            _stated={key: rows for part in _parts(items) for key, rows in stated_among(register, part).items()},
            _findings=findings,
            _sight=Sight(register),
        )

    def appliance(self, uid: Uid) -> Appliance:
        """One of the items; raises NotFound, RecordDamaged."""
        row = self._appliances.get(uid)
        return self._register.get(Appliance, uid) if row is None else kind_of(Appliance).codec.decode(row)

    def inspection(self, uid: Uid) -> Inspection:
        """One of the inspections; raises NotFound, RecordDamaged."""
        row = self._inspections.get(uid)
        return self._register.get(Inspection, uid) if row is None else kind_of(Inspection).codec.decode(row)

    def saved(self, item: Uid) -> SavedInspections:
        """All inspections of one of the items; raises RecordDamaged."""
        return SavedInspections.read(self._sight, self._saved.get(item, ()), self._stated.get(item, ()))

    def findings(self, inspection: Uid) -> list[FindingRecord]:
        """The findings of one of the inspections in the order of the checks; raises RecordDamaged."""
        return kind_of(FindingRecord).codec.decode_all(self._findings.get(inspection, []))


def _rows(
    register: Register, kind: type[Any], column: str, keys: Collection[Uid], *, order: str = "uid"
) -> Iterator[_Row]:
    """Rows of a kind whose first column is its key."""
    table = kind_of(kind)
    for part in _parts(keys):
        test, parameters = register.dialect.among(column, part)
        yield from register.rows(
            f'SELECT {table.columns} FROM "{table.table}" WHERE {test} ORDER BY {order}', parameters
        )


def _parts(keys: Collection[Uid]) -> Iterator[list[Uid]]:
    every = list(dict.fromkeys(keys))
    return (every[start : start + _AT_ONCE] for start in range(0, len(every), _AT_ONCE))
