"""A change put back by a new change: the journal keeps both, and an inspection is taken back, never removed."""

from typing import Any

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, Record, Visit
from appreg.core.records.work_records import BenchDraft, InspectionWithdrawal
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused, NotFound
from appreg.progress import Progress, tell
from appreg.register.history.journal import JournalEntry, Row, entries_of, later_changes_of
from appreg.register.journal.changes import Change
from appreg.register.lists.inspection_lists import is_withdrawn, successor_of
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import KINDS_BY_TABLE, Kind

TAKEN_BACK = "taken back"
"""The reason noted on an inspection whose save was undone, unless another is given."""


def undo_change(
    register: Register, who: str, change: Uid, *, reason: str = TAKEN_BACK, progress: Progress | None = None
) -> Uid:
    """Put back what a change did and return the new change's key.

    Raises NotFound for an unknown change and InputRefused, naming the record, where it was changed again since,
    or would come back into service though something was noted of it.
    """
    entries = entries_of(register, change)
    if not entries:
        raise NotFound(f"The journal has no change {change}; nothing was undone.")
    with register.change(who, f"undo {change}") as undoing:
        for done, entry in enumerate(reversed(entries)):
            tell(progress, done, len(entries), "Stopped before all of it was put back; nothing was undone.")
            _put_back(register, undoing, entry, reason)
        return undoing.uid


def _put_back(register: Register, undoing: Change, entry: JournalEntry, reason: str) -> None:
    kind = KINDS_BY_TABLE.get(entry.entity)
    if kind is None:
        raise InputRefused("The making of the register's tables cannot be undone; start a new register instead.")
    if kind.append_only:
        if kind.record is Inspection:
            _take_back(register, undoing, Uid(entry.uid), reason)
        return
    current = register.find(kind.record, uid=entry.uid)
    if entry.after is None:
        _bring_back(register, undoing, kind, entry)
        return
    if not current or not _holds(kind, current[0], entry.after):
        if not kind.journalled:
            return  # what is typed may change at any time, and is no part of what was saved
        raise _changed_since(kind, current)
    _refuse_noted_since(register, entry)
    # An inspection that is taken back stays, and its visit with it.
    if entry.before is None:
        if not isinstance(current[0], Visit) or not register.has(Inspection, visit=current[0].uid):
            undoing.remove(current[0], noted=True)
    else:
        undoing.put(replace(current[0], **_values(kind, entry.before)), noted=True)


def _refuse_noted_since(register: Register, entry: JournalEntry) -> None:
    """Refuse to bring an item back into service of which something was noted, say a fault, while it was out of it."""
    if (entry.before or {}).get("state") != ServiceState.IN_SERVICE.value:
        return
    since = later_changes_of(register, entry, "notes")
    # What was noted and undone again is no longer said of it.
    if since and (since[0].before or {}).get("notes") != (since[-1].after or {}).get("notes"):
        noted = since[-1]
        tag = register.get(Appliance, Uid(entry.uid)).tag
        raise InputRefused(
            f"Of {tag} something was noted since it was taken out of service, by {noted.who}; nothing was undone: "
            "read its notes, and put it back into service by itself once nothing is wrong with it."
        )


def _take_back(register: Register, undoing: Change, inspection: Uid, reason: str) -> None:
    if is_withdrawn(register, inspection):
        raise InputRefused("That inspection has been taken back already; nothing is left to undo.")
    if successor_of(register, inspection) is not None:
        raise InputRefused("A later inspection corrects that one; undo the correction first.")
    undoing.put(InspectionWithdrawal(uid=undoing.new_uid(), inspection=inspection, reason=reason))


def _bring_back(register: Register, undoing: Change, kind: Kind[Any], entry: JournalEntry) -> None:
    if register.find(kind.record, uid=entry.uid):
        raise _changed_since(kind, [])
    was = {**kind.added, **(entry.before or {})}
    record = kind.codec.decode([entry.uid, *(was.get(name) for name in kind.codec.names[1:])])
    if isinstance(record, BenchDraft) and register.find(BenchDraft, visit=record.visit, appliance=record.appliance):
        return
    undoing.put(record, noted=True)


def _holds(kind: Kind[Any], record: Record, after: Row) -> bool:
    cells = dict(zip(kind.codec.names, kind.codec.encode(record), strict=True))
    return all(cells[name] == cell for name, cell in after.items())


def _values(kind: Kind[Any], before: Row) -> dict[str, Any]:
    return {name: kind.codec.decode_value(name, cell) for name, cell in before.items()}


def _changed_since(kind: Kind[Any], current: list[Any]) -> InputRefused:
    named = getattr(current[0], "tag", getattr(current[0], "name", "")) if current else ""
    subject = f"The {kind.caption} {named}".rstrip()
    return InputRefused(f"{subject} has been changed since; undo the later change first.")
