"""Tell all that was tested with an instrument, or all of a make and model: what a recall is about."""

from collections.abc import Iterator, Sequence
from datetime import date
from typing import Final

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Instrument, Person
from appreg.core.records.stated_words import outcome_words
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.counted_words import counted
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.outcomes import Outcome
from appreg.core.values.told_tables import CellKind, Row, TableColumn, ToldTable
from appreg.errors import InputRefused
from appreg.paper.documents.item_words import instrument_words, plate_words
from appreg.paper.documents.list_content import ListDocument
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.lists.evidence_rows import items_ever
from appreg.register.lists.inspection_lists import effective_inspections
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.tell_sites import PLACE, by_place, date_form_of, place_of, title_of

_NOT_YET: Final = "not yet"
_RESULTS: Final = (Outcome.FAIL.value, Outcome.INCOMPLETE.value)
_ITEM: Final = (
    TableColumn(name="tag", head="tag", kind=CellKind.TAG, weight=20),
    TableColumn(name="item", head="item", weight=60),
)
_OF_INSTRUMENT: Final = (
    *_ITEM,
    TableColumn(name="tested", head="tested with it", kind=CellKind.DATE, weight=22),
    TableColumn(name="by", head="by", weight=10),
    TableColumn(name="result", head="result", weight=20, loud=_RESULTS),
    TableColumn(name="again", head="tested since with another", kind=CellKind.DATE, weight=26, loud=(_NOT_YET,)),
    TableColumn(name="state", head="state", weight=22),
)
_OF_MAKE: Final = (
    *_ITEM,
    TableColumn(name="last", head="last inspected", kind=CellKind.DATE, weight=22),
    TableColumn(name="result", head="result", weight=20, loud=_RESULTS),
    TableColumn(name="state", head="state", weight=22),
)


def recall_document(register: Register, asked: Asked, today: date) -> ListDocument:
    """What was tested with an instrument, or every item of a make and model, those disposed of too.

    Of an item: all of its make and model. Raises InputRefused where neither is told or no instrument answers.
    """
    refuse_stray_records(register)
    wanted = _like_item(register, asked)
    rules, one_site = RuleFinder(register), wanted.site is not None
    rows, said = (
        _tested_with(register, wanted, today)
        if wanted.instrument
        else (_of_make(register, wanted), _make_words(wanted))
    )
    table = ToldTable(
        title="Items",
        columns=_OF_INSTRUMENT if wanted.instrument else _OF_MAKE,
        grouped_by=PLACE,
        groups=by_place(rows, lambda each: place_of(rules, each[0], one_site=one_site), lambda each: each[1]),
        none="no item answers",
    )
    return ListDocument(
        kind="Recall list",
        title=title_of(register, wanted.site),
        subtitle=said,
        counts=((len({item.uid for item, _ in rows}), "items"),),
        tables=(table,),
        after=(
            "Items that are disposed of, withdrawn or missing are listed too: their state says so.",
            *([] if wanted.instrument else _unknown(register, wanted)),
        ),
        across=True,
        dates=date_form_of(register, wanted.site),
        printed=today,
    )


def _like_item(register: Register, asked: Asked) -> Asked:
    """What is wanted; of an item its make and model, unless something else is told."""
    if asked.item is not None and not (asked.make or asked.model or asked.instrument):
        item = register.get(Appliance, asked.item)
        if not item.make:
            raise InputRefused(
                f"{item.tag}: no make is recorded, so nothing is known to be like it; add its make first."
            )
        return replace(asked, make=item.make, model=item.model)
    if not (asked.make or asked.model or asked.instrument):
        raise InputRefused("Say what is recalled: an instrument, or a make, a model.", field="instrument")
    if asked.instrument and (asked.make or asked.model):
        raise InputRefused("Say an instrument or a make and model, not both.", field="instrument")
    if (asked.since or asked.until) and not asked.instrument:
        raise InputRefused("Days go with an instrument: what was tested with it since then.", field="since")
    return asked


_Told = tuple[Appliance, Row]


def _of_make(register: Register, asked: Asked) -> list[_Told]:
    return [
        (item, (item.tag, _named(item), item.last_date, outcome_words(item), _state(item)))
        for item in items_ever(register, site=asked.site)
        if _same(asked.make, item.make) and _same(asked.model, item.model)
    ]


def _unknown(register: Register, asked: Asked) -> list[str]:
    """A sentence where items that are still there may be of the make and model, as nobody has recorded theirs."""
    unknown = [
        item
        for item in items_ever(register, site=asked.site)
        if item.state is not ServiceState.DISPOSED
        and any(want and not have.strip() for want, have in ((asked.make, item.make), (asked.model, item.model)))
        and all(
            not have.strip() or _same(want, have) for want, have in ((asked.make, item.make), (asked.model, item.model))
        )
    ]
    if not unknown:
        return []
    them = f"{counted(len(unknown), 'item')} without a make or model on record may be of it and"
    return [f"{them} {'is' if len(unknown) == 1 else 'are'} not listed: look at the nameplates."]


def _same(wanted: str, found: str) -> bool:
    return not wanted or " ".join(wanted.split()).casefold() == " ".join(found.split()).casefold()


def _make_words(asked: Asked) -> str:
    return f"All of {' '.join(part for part in (asked.make, asked.model) if part)}"


def _tested_with(register: Register, asked: Asked, today: date) -> tuple[list[_Told], str]:
    tool, until = _instrument(register, asked.instrument), asked.until or today
    since = asked.since
    people = {each.uid: each.initials for each in register.find(Person)}
    rows: list[_Told] = []
    for item, each, counting in _tests(register, tool, asked):
        if (since is None or since <= each.date) and each.date <= until:
            again = _again(each, counting, tool)
            cells = (item.tag, _named(item), each.date, people[each.person], each.outcome.value, again, _state(item))
            rows.append((item, cells))
    rows.sort(key=lambda told: tag_order(told[0].tag))
    days = f"from {date_words(since)} to {date_words(until)}" if since else f"until {date_words(until)}"
    return rows, f"All that was tested with {instrument_words(tool)}, {days}"


def _tests(
    register: Register, tool: Instrument, asked: Asked
) -> Iterator[tuple[Appliance, Inspection, Sequence[Inspection]]]:
    """Every test with the instrument that counts, with all that count of its item, newest first."""
    found = register.find(Inspection, instrument=tool.uid)
    for uid in dict.fromkeys(each.appliance for each in found):
        item = register.get(Appliance, uid)
        if asked.site in {None, item.site}:
            counting = effective_inspections(register, uid)
            for each in counting:
                if each.instrument == tool.uid and each.kind is InspectionKind.COMBINED:
                    yield item, each, counting


def _again(test: Inspection, counting: Sequence[Inspection], tool: Instrument) -> date | str:
    """When the item was first tested with another instrument after that test."""
    later = counting[: [each.uid for each in counting].index(test.uid)]
    others = [each for each in later if each.kind is InspectionKind.COMBINED and each.instrument != tool.uid]
    return others[-1].date if others else _NOT_YET


def _instrument(register: Register, named: str) -> Instrument:
    wanted = " ".join(named.split()).casefold()
    kept = register.find(Instrument)
    found = [each for each in kept if wanted in {each.serial.casefold(), each.name.casefold(), each.uid.casefold()}]
    if len(found) == 1:
        return found[0]
    known = ", ".join(sorted(instrument_words(each) for each in kept)) or "none yet"
    how_many = f"{len(found)} answer to {named}" if found else f"there is no {named}"
    raise InputRefused(f"instrument: {how_many}; the register has {known}.", field="instrument")


def _named(item: Appliance) -> str:
    return " · ".join(part for part in (item.name, plate_words(item)) if part)


def _state(item: Appliance) -> str:
    return "" if item.state is ServiceState.IN_SERVICE else item.state.value
