"""Keep a half-filled bench, so that a crash or a closed lid loses nothing, and find it again."""

from typing import Final

from appreg.core.lean_dataclasses import replace
from appreg.core.uids import Uid
from appreg.core.work_records import BenchDraft
from appreg.register.journal import entries_of, history_of
from appreg.register.journal_ends import in_journal_order
from appreg.register.record_kinds import kind_of
from appreg.register.register_file import Register

REASON: Final = "half-filled bench"
"""What the journal says of each."""
_TABLE: Final = kind_of(BenchDraft).table


def keep_bench_draft(register: Register, who: str, *, visit: Uid, appliance: Uid, at: str, body: str) -> BenchDraft:
    """Keep what has been entered of an item so far; `at` is the time of day as the bench shows it."""
    known = bench_draft(register, visit=visit, appliance=appliance)
    if known is not None and known.body == body:
        return known
    with register.change(who, REASON) as change:
        draft = (
            replace(known, saved_at=at, body=body)
            if known is not None
            else BenchDraft(uid=change.new_uid(), appliance=appliance, visit=visit, saved_at=at, body=body)
        )
        change.put(draft)
    return draft


def drop_bench_draft(register: Register, who: str, *, visit: Uid, appliance: Uid) -> None:
    """Forget what has been entered of an item, where anything is kept."""
    known = bench_draft(register, visit=visit, appliance=appliance)
    if known is not None:
        with register.change(who, REASON) as change:
            change.remove(known)


def bench_draft(register: Register, *, visit: Uid, appliance: Uid) -> BenchDraft | None:
    """What has been entered of an item on a visit and not yet kept as an inspection."""
    return next(iter(register.find(BenchDraft, visit=visit, appliance=appliance)), None)


def bench_as_kept(register: Register, inspection: Uid) -> str:
    """What stood on the bench when an inspection was kept, by the journal; empty where it does not tell."""
    history = history_of(register, inspection)
    lines = entries_of(register, history[0].change) if history else []
    cleared = [each.before for each in lines if each.entity == _TABLE and each.before and each.after is None]
    return str(cleared[-1].get("body", "")) if cleared else ""


def drafts_of_visit(register: Register, visit: Uid) -> tuple[BenchDraft, ...]:
    """The half-filled benches of a visit, the latest first."""
    return tuple(reversed(in_journal_order(register, register.find(BenchDraft, visit=visit))))


def drafts_left(register: Register) -> tuple[BenchDraft, ...]:
    """The half-filled benches of all visits, the latest first."""
    return tuple(reversed(in_journal_order(register, register.find(BenchDraft))))
