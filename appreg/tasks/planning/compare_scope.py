"""Hold the register as it is now against a scope of work that was sent out: done, failed, not done, extra."""

from collections.abc import Iterable, Sequence
from datetime import date

from msgspec import Struct

from appreg.core.judging.methods import left_out_because
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Site
from appreg.core.records.work_records import NotInspected
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.progress import Progress, tell
from appreg.register.lists.appliance_lists import appliance_by_tag
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.inspection_lists import findings_of
from appreg.register.lists.scope_results import inspections_since
from appreg.register.opening.register_file import Register
from appreg.schedule.scope_of_work import (
    ComparedItem,
    ScopeComparison,
    ScopeResult,
    SentScope,
    WantedItem,
    in_order,
)
from appreg.tasks.standing.keep_remedial_actions import what_failed


def compare_scope(
    register: Register, scope: SentScope, *, today: date, progress: Progress | None = None
) -> ScopeComparison:
    """What came of each item of a scope, and what else was inspected at its sites since.

    An item is meant by its key, or by its tag where no item has the key. Raises InputRefused for a scope of another
    register, RegisterUnusable where records are damaged, as nothing could be told complete, and Stopped.
    """
    refuse_stray_records(register)
    known = {wanted: _meant(register, wanted) for wanted in scope.items}
    if not any(known.values()):
        raise InputRefused("None of the items of this scope of work is in the register; check file and register.")
    meant = {item.uid for item in known.values() if item is not None}
    later: dict[Uid, list[Inspection]] = {}
    for each in inspections_since(
        register, after=scope.after, on=scope.made_on, sites=frozenset(scope.sites), items=meant
    ):
        later.setdefault(each.inspection.appliance, []).append(each.inspection)
    lines = []
    for done, (wanted, item) in enumerate(known.items()):
        tell(progress, done, len(known), "The comparison was stopped; nothing was changed.")
        made = later.get(item.uid, []) if item else []
        lines.append(_compared(register, wanted, item, made, since=scope.made_on))
    extra = [_extra(register, uid, made) for uid, made in later.items() if uid not in meant]
    return ScopeComparison(made_on=scope.made_on, compared_on=today, items=in_order([*lines, *extra]))


def _meant(register: Register, wanted: WantedItem) -> Appliance | None:
    found = register.find(Appliance, uid=wanted.key)
    return found[0] if found else appliance_by_tag(register, wanted.tag)


class _Verdict(Struct, frozen=True, kw_only=True):
    """What the inspections made since come to: a failure that stands, or the pass that answers."""

    failure: Inspection | None = None
    passed: Inspection | None = None


def _verdict(made: Iterable[Inspection], work: InspectionKind | None) -> _Verdict:
    """Only a combined pass mends a failure, and only one that is not dated before it; a look alone answers a look."""
    failure = passed = None
    for each in made:
        if each.outcome is Outcome.FAIL:
            failure, passed = each, None
        elif each.outcome is Outcome.PASS:
            is_test = each.kind is InspectionKind.COMBINED
            if failure is None:
                passed = each if is_test or work is not InspectionKind.COMBINED else passed
            elif is_test and each.date >= failure.date:
                failure, passed = None, each
    return _Verdict(failure=failure, passed=passed)


def _compared(
    register: Register, wanted: WantedItem, item: Appliance | None, made: Sequence[Inspection], *, since: date
) -> ComparedItem:
    verdict = _verdict(made, wanted.work)
    if verdict.failure is not None:
        result, decides, said = (
            ScopeResult.FAILED,
            verdict.failure,
            what_failed(findings_of(register, verdict.failure.uid)),
        )
    elif verdict.passed is not None:
        result, decides, said = ScopeResult.DONE, verdict.passed, _left_out(register, verdict.passed)
    else:
        result, decides, said = ScopeResult.NOT_DONE, None, _why_not(register, wanted, item, made, since)
    return ComparedItem(
        result=result,
        key=wanted.key,
        item=item.uid if item else None,
        tag=wanted.tag if item is None else item.tag,
        name=wanted.name if item is None else item.name,
        site=wanted.site,
        work=wanted.work,
        on=decides.date if decides else None,
        said=said,
    )


def _left_out(register: Register, inspection: Inspection) -> str:
    """The checks that a pass did without, each with its reason; empty where it is whole."""
    without = [
        f"{finding.check_name.replace('-', ' ')} left out ({why})"
        for finding in findings_of(register, inspection.uid)
        if (why := left_out_because(finding.method))
    ]
    return "; ".join(without)


def _why_not(
    register: Register, wanted: WantedItem, item: Appliance | None, made: Sequence[Inspection], since: date
) -> str:
    if item is None:
        return "no item with its key or tag is in the register"
    said = []
    if made:
        last = made[-1]
        missing = f": without {', '.join(last.missing)}" if last.missing else ""
        is_look = last.outcome is Outcome.PASS and wanted.work is InspectionKind.COMBINED
        said.append("looked at, not tested" if is_look else f"left {last.outcome}{missing}")
    noted = (each for each in register.find(NotInspected, appliance=item.uid) if each.date >= since)
    said += [f"{each.because}: {each.note}" if each.note else str(each.because) for each in noted]
    if item.state is not ServiceState.IN_SERVICE:
        said.append(f"now {item.state}")
    return "; ".join(said)


def _extra(register: Register, uid: Uid, made: Sequence[Inspection]) -> ComparedItem:
    item = register.get(Appliance, uid)
    verdict = _verdict(made, None)
    decides = verdict.failure or verdict.passed or made[-1]
    said = f"{decides.kind}: {decides.outcome}"
    if verdict.failure is not None:
        said += f", {what_failed(findings_of(register, decides.uid))}"
    return ComparedItem(
        result=ScopeResult.EXTRA,
        key=uid,
        item=uid,
        tag=item.tag,
        name=item.name,
        site=register.get(Site, item.site).name,
        work=None,
        on=decides.date,
        said=said,
        failed=verdict.failure is not None,
    )
