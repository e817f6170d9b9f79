"""Which interval set by hand stood before another took its place, as the journal has it."""

from appreg.core.records.work_records import IntervalOverride
from appreg.core.values.uids import Uid
from appreg.register.history.journal import JournalEntry, Row, entries_of, history_of
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of


class ReplacedOverrides:
    """Finds what stood before, reading each change of the journal once."""

    def __init__(self, register: Register) -> None:
        """Read this register's journal."""
        self._register = register
        self._gone: dict[Uid, list[JournalEntry]] = {}

    def before(self, override: IntervalOverride) -> IntervalOverride | None:
        """What gave way to an interval when it was first set, for the same target and kind; None: nothing did.

        One that was put back later is told by its first setting, or two would take turns.
        """
        first = next((each for each in history_of(self._register, override.uid) if each.before is None), None)
        if first is None:
            return None
        gone = [each for each in self._removed_by(first.change) if _is_for(each.before, override)]
        return _as_record(gone[-1]) if gone else None

    def _removed_by(self, change: Uid) -> list[JournalEntry]:
        if change not in self._gone:
            table = kind_of(IntervalOverride).table
            entries = entries_of(self._register, change)
            self._gone[change] = [each for each in entries if each.entity == table and each.after is None]
        return self._gone[change]


def _is_for(row: Row | None, override: IntervalOverride) -> bool:
    return row is not None and row.get("target") == override.target and row.get("what") == override.what


def _as_record(entry: JournalEntry) -> IntervalOverride:
    kind = kind_of(IntervalOverride)
    row = {**kind.added, **(entry.before or {})}
    return kind.codec.decode([entry.uid, *(row.get(name) for name in kind.codec.names[1:])])
