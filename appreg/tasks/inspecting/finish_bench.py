"""Keep the inspection of the item on the bench and clear its half-filled bench, both or neither."""

from collections.abc import Collection, Mapping
from typing import Final

from appreg.core.records.appliances import Fact
from appreg.core.records.checks import Check, Entries
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Person
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_bench_draft import end_bench_draft
from appreg.tasks.inspecting.record_inspection import SavedInspection, record_inspection
from appreg.tasks.records.merge_changes import ChangedMeanwhile

KEPT: Final = "inspection"
"""The reason of the change that keeps one."""


def finish_bench(
    register: Register,
    who: str,
    *,
    appliance: Uid,
    visit: Uid,
    kind: InspectionKind,
    entries: Entries,
    check_remarks: Mapping[Check, str] | None = None,
    attempts: Mapping[Check, tuple[str, ...]] | None = None,
    supersedes: Uid | None = None,
    reason: str = "",
    confirmed: Collection[Fact] = (),
    put_right: str = "",
    remarks: str = "",
    read_so: Collection[str] = (),
    seen: Collection[Uid] | None = None,
) -> SavedInspection:
    """Record the inspection; raises InputRefused where it cannot be kept as asked, and the draft stays.

    `seen` are the inspections of the item known when it came onto the bench; raises ChangedMeanwhile where one was
    recorded elsewhere since, with those that are known once its sentence is read.
    """
    with register.change(who, KEPT):
        if seen is not None:
            _refuse_inspected_meanwhile(register, appliance, seen)
        saved = record_inspection(
            register,
            who,
            appliance=appliance,
            visit=visit,
            kind=kind,
            entries=entries,
            check_remarks=check_remarks,
            attempts=attempts,
            supersedes=supersedes,
            reason=reason,
            confirmed=confirmed,
            put_right=put_right,
            remarks=remarks,
            read_so=read_so,
        )
        end_bench_draft(register, who, visit=visit, appliance=appliance)
    return saved


def _refuse_inspected_meanwhile(register: Register, appliance: Uid, seen: Collection[Uid]) -> None:
    new = [each for each in effective_inspections(register, appliance) if each.uid not in seen]
    if new:
        item, by = register.get(Appliance, appliance), register.get(Person, new[0].person)
        raise ChangedMeanwhile(
            f"{inspected_elsewhere(item, new[0], by)} What stands here is not kept yet; look at that first, "
            "then keep it as a further inspection.",
            frozenset({*seen, new[0].uid}),
        )


def inspected_elsewhere(item: Appliance, inspection: Inspection, by: Person) -> str:
    """Tell whoever has an item on the bench that somebody else has inspected it."""
    said = f"{inspection.outcome} on {date_words(inspection.date)}, by {by.name}"
    return f"{item.tag} was inspected elsewhere meanwhile: {said}."
