"""Go on with a visit's work on another day: in a visit of that day, by the same person with the same instrument."""

from datetime import date

from appreg.core.lean_dataclasses import replace
from appreg.core.records import Visit
from appreg.core.uids import Uid
from appreg.register.journal_ends import in_journal_order
from appreg.register.register_file import Register
from appreg.tasks.keep_bench_draft import drafts_of_visit
from appreg.tasks.start_visit import start_visit


def go_on_with_visit(register: Register, who: str, *, visit: Uid, on: date) -> Visit:
    """The visit of that day, started where there is none; half-filled benches go with it, inspections stay."""
    with register.change(who, "visit gone on with") as change:
        before = register.get(Visit, visit)
        alike = register.find(Visit, site=before.site, date=on, person=before.person, instrument=before.instrument)
        following = (
            in_journal_order(register, alike)[-1]
            if alike
            else start_visit(
                register,
                who,
                site=before.site,
                on=on,
                person=before.person,
                instrument=before.instrument,
                fixed_wiring_reference=before.fixed_wiring_reference,
            )
        )
        taken = {draft.appliance for draft in drafts_of_visit(register, following.uid)}
        for draft in drafts_of_visit(register, visit):
            if draft.appliance not in taken:
                change.put(replace(draft, visit=following.uid))
    return following
