"""Keep a half-filled bench, so that a crash or a closed lid loses nothing, and find it again.

It is no evidence and stands outside the journal; what stood on the bench when an inspection was kept is in it.
"""

from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from appreg.core.records.work_records import BenchDraft
from appreg.core.values.uids import Uid
from appreg.register.history.journal import entries_of, history_of
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_kinds import kind_of

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

REASON: Final = "half-filled bench"
_TABLE: Final = kind_of(BenchDraft).table


def keep_bench_draft(register: Register, who: str, *, visit: Uid, appliance: Uid, at: str, body: str) -> BenchDraft:
    """Keep what has been entered of an item so far; `at` is the time of day as the bench shows it."""
    known = bench_draft(register, visit=visit, appliance=appliance)
    if known is not None and known.body == body:
        return known
    with register.change(who, REASON) as change:
        # Another desk may have begun or ended it meanwhile.
        known = bench_draft(register, visit=visit, appliance=appliance)
        if known is None:
            known = BenchDraft(
                uid=change.new_uid(), appliance=appliance, visit=visit, saved_at=at, body=body, place=_next(register)
            )
        draft = replace(known, saved_at=at, body=body)
        _put_anew(change, draft)
    return draft


def drop_bench_draft(register: Register, who: str, *, visit: Uid, appliance: Uid) -> None:
    """Forget what has been entered of an item, where anything is kept."""
    if register.has(BenchDraft, visit=visit, appliance=appliance):
        with register.change(who, REASON) as change:
            change.clear(BenchDraft, visit=visit, appliance=appliance)


def end_bench_draft(register: Register, who: str, *, visit: Uid, appliance: Uid) -> None:
    """As drop_bench_draft(), as an inspection came of it: the journal notes what stood on the bench, beside that."""
    known = bench_draft(register, visit=visit, appliance=appliance)
    if known is None:
        drop_bench_draft(register, who, visit=visit, appliance=appliance)
        return
    with register.change(who, REASON) as change:
        _put_anew(change, known)
        change.remove(known, noted=True)


def bench_draft(register: Register, *, visit: Uid, appliance: Uid) -> BenchDraft | None:
    """What has been entered of an item on a visit and not yet kept as an inspection; None too where it is damaged."""
    return next(iter(register.find_readable(BenchDraft, visit=visit, appliance=appliance)), None)


def bench_as_kept(register: Register, inspection: Uid) -> str:
    """What stood on the bench when an inspection was kept, by the journal; empty where it does not tell."""
    history = history_of(register, inspection)
    lines = entries_of(register, history[0].change) if history else []
    cleared = [each.before for each in lines if each.entity == _TABLE and each.before and each.after is None]
    return str(cleared[-1].get("body", "")) if cleared else ""


def drafts_of_visit(register: Register, visit: Uid) -> tuple[BenchDraft, ...]:
    """The half-filled benches of a visit that can be read, the latest first."""
    return _latest_first(register.find_readable(BenchDraft, visit=visit))


def drafts_left(register: Register) -> tuple[BenchDraft, ...]:
    """The half-filled benches of all visits that can be read, the latest first."""
    return _latest_first(register.find_readable(BenchDraft))


def _put_anew(change: "Change", draft: BenchDraft) -> None:
    """Put it in place of what stands there: what cannot be read of that must keep nobody from going on."""
    change.clear(BenchDraft, visit=draft.visit, appliance=draft.appliance)
    change.put(draft)


def _latest_first(drafts: list[BenchDraft]) -> tuple[BenchDraft, ...]:
    return tuple(sorted(drafts, key=lambda draft: (draft.place, draft.uid), reverse=True))


def _next(register: Register) -> int:
    return max((draft.place for draft in register.find_readable(BenchDraft)), default=0) + 1
