"""What whoever recorded an inspection could see: of several places each may not have known what the others found."""

from typing import TYPE_CHECKING

from appreg.core.records.kept_records import Record
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from appreg.register.journal.seen_lines import Mark

Recorded = tuple[type[Record], Uid]
_FIRST_LINE = "SELECT origin, sequence FROM journal WHERE entity = ? AND uid = ? ORDER BY time LIMIT 1"


class Sight:
    """Tells of two records whether the one was put in by somebody who could see the other; asks only when it is asked."""

    def __init__(self, register: Register) -> None:
        """Of a register as it is when it is first asked."""
        self._register = register
        self._has_seen: Callable[[Mark, Mark], bool] | None = None
        self._several: bool | None = None
        self._marks: dict[Uid, Mark | None] = {}

    @property
    def is_one(self) -> bool:
        """All was recorded in one place, so that whatever was recorded later has seen what was there."""
        if self._several is None:
            from appreg.register.journal.seen_lines import has_several  # noqa: PLC0415 - it is seldom asked

            self._several = has_several(self._register.rows)
        return not self._several

    def saw(self, later: Record, earlier: Record) -> bool:
        """Tell whether the later one's line has seen the earlier one's; what is only being recorded sees all that is here."""
        return self.saw_line((type(later), later.uid), (type(earlier), earlier.uid))

    def saw_line(self, later: Recorded, earlier: Recorded) -> bool:
        """The same, of records by their kinds and keys."""
        if self.is_one:
            return True
        mine, other = self._mark(*later), self._mark(*earlier)
        if mine is None or other is None:
            return True
        if self._has_seen is None:
            from appreg.register.journal.seen_lines import SeenLines  # noqa: PLC0415 - it is seldom asked

            self._has_seen = SeenLines(self._register.rows).has_seen
        return self._has_seen(mine, other)

    def _mark(self, kind: type[Record], uid: Uid) -> "Mark | None":
        from appreg.register.journal.seen_lines import Mark  # noqa: PLC0415 - it is seldom asked

        if uid not in self._marks:
            rows = self._register.rows(_FIRST_LINE, (kind_of(kind).table, uid))
            self._marks[uid] = Mark(str(rows[0][0]), int(rows[0][1])) if rows else None
        return self._marks[uid]
