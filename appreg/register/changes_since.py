"""What was written into the journal since a moment: how a desk learns what another did meanwhile."""

from appreg.core.records import Record
from appreg.core.uids import Uid
from appreg.register.journal import JournalEntry, history_of, read_entry
from appreg.register.journal_chain import SELECT
from appreg.register.record_kinds import kind_of
from appreg.register.register_file import Register


def journal_end(register: Register) -> int:
    """The sequence of the last line; 0 before the first."""
    rows = register.rows("SELECT coalesce(max(sequence), 0) FROM journal WHERE origin = ?", (register.origin,))
    end: int = rows[0][0]
    return end


def changes_since(register: Register, end: int, kind: type[Record]) -> list[JournalEntry]:
    """What happened to records of a kind after that line, oldest first."""
    rows = register.rows(
        f"{SELECT} WHERE origin = ? AND sequence > ? AND entity = ? ORDER BY sequence",
        (register.origin, end, kind_of(kind).table),
    )
    return [read_entry(row) for row in rows]


def last_change_of(register: Register, uid: Uid, field: str) -> JournalEntry | None:
    """The line that last put a value into a field of a record."""
    entries = [each for each in history_of(register, uid) if each.after is not None and field in each.after]
    return entries[-1] if entries else None
