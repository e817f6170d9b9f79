"""Choose a visit by its key, its date, as the latest, or as the one to go on with."""

from collections.abc import Iterable
from datetime import date

from msgspec.structs import replace

from appreg.core.records.kept_records import Site, Visit
from appreg.core.values.typed_values import date_typed
from appreg.core.values.uids import Uid, is_uid
from appreg.errors import InputRefused, NotFound
from appreg.register.journal.journal_ends import in_journal_order
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_bench_draft import drafts_of_visit
from appreg.tasks.inspecting.record_not_inspected import not_inspected_on
from appreg.tasks.inspecting.start_visit import start_visit


def visit_named(register: Register, named: str, site: Uid | None = None, *, today: date) -> Visit:
    """The visit meant, at the site if one is given; raises NotFound, or InputRefused where several are meant."""
    visits = visits_of(register, site)
    wanted = named.strip()
    if wanted.casefold() == "latest":
        found = visits[-1:]
    else:
        found = [each for each in visits if wanted.upper() == each.uid]
        if not found and not is_uid(wanted.upper()):
            day = date_typed(wanted, field="visit, neither a key nor “latest”", today=today)
            found = [each for each in visits if each.date == day]
    if not found:
        where = f" at {register.get(Site, site).name}" if site else ""
        raise NotFound(f"There is no visit {wanted}{where}; name it by its key or its date, or ask for the latest.")
    if len(found) > 1:
        keys = ", ".join(each.uid for each in found)
        raise InputRefused(f"{len(found)} visits are of {wanted}; name one by its key: {keys}.")
    return found[0]


def visits_of(register: Register, site: Uid | None = None) -> list[Visit]:
    """The visits at a site, or all: the earliest first, those of one day as they were started."""
    found = in_journal_order(register, register.find(Visit, site=site) if site else register.find(Visit))
    return sorted(found, key=lambda each: each.date)


def visit_of_day(register: Register, site: Uid, on: date) -> Visit | None:
    """The visit to a site on a day, the one started last where there are several."""
    return next(reversed(in_journal_order(register, register.find(Visit, site=site, date=on))), None)


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
                additional_protection=before.additional_protection,
                job=before.job,
            )
        )
        taken = {draft.appliance for draft in drafts_of_visit(register, following.uid)}
        for draft in drafts_of_visit(register, visit):
            if draft.appliance not in taken:
                change.put(replace(draft, visit=following.uid))
    return following


def first_to_inspect(register: Register, items: Iterable[Uid], *, site: Uid, today: date) -> Uid | None:
    """The first of some items at a site of which nobody said on the day's visit that it is not inspected."""
    visit = visit_of_day(register, site, today)
    left = {each.appliance for each in not_inspected_on(register, visit.uid)} if visit else set()
    return next((item for item in items if item not in left), None)
