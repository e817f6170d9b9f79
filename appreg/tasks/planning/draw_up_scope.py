"""Draw up a scope of work: what a contractor would inspect and test at some sites, or of some items."""

from collections import Counter
from collections.abc import Iterable, Sequence
from datetime import date
from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, Category, Client, InspectionKind, Site
from appreg.core.rules.check_minutes import CheckMinutes, usual_minutes
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.required_checks import judged_as_words, required_checks
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.progress import Progress, tell
from appreg.register.lists.appliance_lists import appliances_of
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.scope_results import last_line
from appreg.register.opening.register_file import Register
from appreg.schedule.closure_file import read_closures
from appreg.schedule.scope_of_work import LeftOut, ScopeItem, ScopeOfWork, ScopeSite
from appreg.schedule.typed_days import rule_in_words
from appreg.tasks.desk.find_rules import RuleFinder

_NOTHING_ASKED: Final = "no inspection is asked for"
_LATER: Final = "due later"
_STOPPED: Final = "The scope of work was not drawn up; nothing was written."


class _Wanted(Struct, frozen=True, kw_only=True):
    """What is wanted on one item, and when it falls due."""

    work: InspectionKind
    due: date | None


def scope_of_sites(
    register: Register,
    *,
    sites: Sequence[Uid],
    today: date,
    until: date | None = None,
    minutes: CheckMinutes | None = None,
    progress: Progress | None = None,
) -> ScopeOfWork:
    """Every item in service at some sites, or only what falls due until a day; what is left out is counted.

    Raises NotFound for an unknown site, InputRefused where nothing is wanted, RegisterUnusable where a record is
    damaged, Stopped.
    """
    places = tuple(dict.fromkeys(sites))
    items = [item for site in places for item in appliances_of(register, site=site)]
    return _ScopeWriter(register, until, minutes).scope(places, items, today=today, progress=progress)


def scope_of_items(
    register: Register,
    *,
    items: Sequence[Uid],
    today: date,
    minutes: CheckMinutes | None = None,
    progress: Progress | None = None,
) -> ScopeOfWork:
    """The same of some items alone, wherever they stand; raises as scope_of_sites."""
    chosen = [register.get(Appliance, uid) for uid in dict.fromkeys(items)]
    places = tuple(dict.fromkeys(item.site for item in chosen))
    ordered = [item for site in places for item in chosen if item.site == site]
    return _ScopeWriter(register, None, minutes).scope(places, ordered, today=today, progress=progress)


class _ScopeWriter:
    """Reads each site, location and category once."""

    def __init__(self, register: Register, until: date | None, minutes: CheckMinutes | None) -> None:
        refuse_stray_records(register)
        self._register = register
        self._until = until
        self._minutes = minutes or usual_minutes()
        self._rules = RuleFinder(register)
        self._categories = {each.uid: each for each in register.find(Category)}

    def scope(
        self, sites: Sequence[Uid], items: Sequence[Appliance], *, today: date, progress: Progress | None
    ) -> ScopeOfWork:
        left_out: Counter[str] = Counter()
        listed = []
        for done, item in enumerate(items):
            tell(progress, done, len(items), _STOPPED)
            wanted = self._wanted(item)
            if isinstance(wanted, str):
                left_out[wanted] += 1
            else:
                listed.append(self._line(item, wanted))
        if not listed:
            why = ", ".join(f"{reason} {count}" for reason, count in left_out.items()) or "there is no item"
            raise InputRefused(
                f"There is nothing to put into a scope of work ({why}); choose other sites, items or days."
            )
        return ScopeOfWork(
            made_on=today,
            after=last_line(self._register),
            until=self._until,
            sites=tuple(self._site(self._rules.site(uid), today) for uid in sites),
            items=tuple(listed),
            left_out=tuple(LeftOut(why=why, items=count) for why, count in sorted(left_out.items())),
        )

    def _wanted(self, item: Appliance) -> _Wanted | str:
        """What is wanted on an item; why nothing, where nothing is."""
        if item.state is not ServiceState.IN_SERVICE:
            return item.state.value
        answer = self._rules.answer(item)
        tested = answer.test is not None or self._rules.test_max(item) is not None
        if not tested and answer.visual is None:
            return _NOTHING_ASKED
        asked = _Wanted(work=InspectionKind.COMBINED, due=item.next_test)
        if not tested:
            asked = _Wanted(work=InspectionKind.VISUAL, due=item.next_visual)
        if self._until is None or item.last_date is None or _is_due(asked.due, self._until):
            return asked
        look = _is_due(item.next_visual, self._until)
        return _Wanted(work=InspectionKind.VISUAL, due=item.next_visual) if look else _LATER

    def _line(self, item: Appliance, wanted: _Wanted) -> ScopeItem:
        category = self._categories.get(item.category) if item.category else None
        site = self._rules.site(item.site)
        facts = facts_of(item, category)
        book = load_rule_book(site.rule_book)
        is_look = wanted.work is InspectionKind.VISUAL
        checks = (Check.VISUAL,) if is_look else required_checks(facts, book)
        judged_as = judged_as_words(facts)
        return ScopeItem(
            key=item.uid,
            site_key=site.uid,
            site=site.name,
            location=self._rules.location(item.location).name,
            tag=item.tag,
            name=item.name,
            appliance_class=item.appliance_class,
            equipment_type=item.equipment_type,
            category=category.name if category else "",
            make=item.make,
            model=item.model,
            serial=item.serial,
            work=wanted.work,
            checks=checks,
            minutes=self._minutes.of(checks),
            due=wanted.due,
            note="" if is_look or judged_as == item.appliance_class.label else judged_as,
        )

    def _site(self, site: Site, today: date) -> ScopeSite:
        return ScopeSite(
            key=site.uid,
            name=site.name,
            client=self._register.get(Client, site.client).name,
            address=site.address,
            access=tuple(_access(site, today)),
        )


def _is_due(day: date | None, until: date) -> bool:
    return day is not None and day <= until


def _access(site: Site, today: date) -> Iterable[str]:
    """When and how people are let in, as the site's record has it."""
    since = f", counted from {date_words(site.access_from)}" if site.access_from else ""
    yield f"people are let in {rule_in_words(site.access_days)}{since}"
    yield from (f"closed {line}" for line in site.closures if _is_ahead(line, today))
    yield from (f"a visit suits best {line}" for line in site.preferred if _is_ahead(line, today))
    if site.responsible:
        contact = f", {site.responsible_contact}" if site.responsible_contact else ""
        yield f"to be arranged with {site.responsible}{contact}"
    if site.set_up_minutes:
        yield f"{site.set_up_minutes} minutes of each visit go into setting up"


def _is_ahead(line: str, today: date) -> bool:
    """Tell whether days of a list are not all past; what cannot be read is told too."""
    read = read_closures(line)
    return not read.closures or any(closure.last >= today for closure in read.closures)
