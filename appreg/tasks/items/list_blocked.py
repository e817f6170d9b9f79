"""List the items that must not be issued or used yet: an inspection is wanted before an event, not by a date."""

from collections.abc import Iterable, Sequence
from datetime import date
from functools import partial

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, Location, Site
from appreg.core.records.work_records import ItemMovement
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.uids import Uid
from appreg.register.lists.item_kinds import (
    PassedInspection,
    PlacedMovement,
    item_kinds,
    items_let_anew,
    items_of_kind,
    movements_at,
    passes_at,
)
from appreg.register.lists.sight import Sight
from appreg.register.opening.register_file import Register
from appreg.schedule.blocks import BEFORE_TENANCY, Block, ItemEvents, Moment, blocking_events, blocks
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import read_on


class BlockedLine(Struct, frozen=True, kw_only=True):
    """One item with one inspection that must come first."""

    appliance: Appliance
    site: Site
    location: Location
    block: Block
    because: str
    """What is missing, and the row of the interval table that asks for it, if one does."""


def list_blocked(register: Register, *, site: Uid | None = None) -> tuple[BlockedLine, ...]:
    """All items in service that an event blocks, by site and tag."""
    rules = RuleFinder(register)
    asked = [
        kind
        for kind in item_kinds(register, site=site)
        if (answer := read_on(register, "A site", partial(rules.answer_at, kind.site, kind.location, kind.key)))
        and blocking_events(answer)
    ]
    lines: list[BlockedLine] = []
    let, sight = items_let_anew(register, site=site), Sight(register)
    for place in dict.fromkeys((*(kind.site for kind in asked), *(item.site for item in let))):
        items = [item for kind in asked if kind.site == place for item in items_of_kind(register, kind)]
        known_already = {item.uid for item in items}
        items += [item for item in let if item.site == place and item.uid not in known_already]
        known = _events(sight, items, passes_at(register, site=place), movements_at(register, site=place))
        for item in items:
            lines += read_on(register, item.tag, partial(_lines, rules, item, known[item.uid])) or []
    return tuple(sorted(lines, key=lambda line: (line.site.name.casefold(), tag_order(line.appliance.tag))))


def _lines(rules: RuleFinder, item: Appliance, events: ItemEvents) -> list[BlockedLine]:
    answer = rules.table_answer(item)
    found = blocks(answer, events)
    return [
        BlockedLine(
            appliance=item,
            site=rules.site(item.site),
            location=rules.location(item.location),
            block=block,
            because=f"{block.because} ({_asked_by(rules, item, block) or answer.title})",
        )
        for block in found
    ]


def _asked_by(rules: RuleFinder, item: Appliance, block: Block) -> str:
    """Who asks for it, where that is not the table."""
    if block.event != BEFORE_TENANCY:
        return ""
    profile = rules.profile(item)
    if profile is None or not profile.before_tenancy:
        return "good practice"
    return f"{profile.title}, {profile.citation_of('before_tenancy').basis}"


def blocks_of(register: Register, item: Appliance) -> tuple[Block, ...]:
    """What must be done before one item may be issued or used."""
    return blocks(RuleFinder(register).table_answer(item), events_of(register, item))


def events_of(register: Register, item: Appliance) -> ItemEvents:
    """What counts for blocks of one item."""
    passes = passes_at(register, appliance=item.uid)
    return _events(Sight(register), [item], passes, movements_at(register, appliance=item.uid))[item.uid]


def _events(
    sight: Sight,
    items: Iterable[Appliance],
    passes: Iterable[PassedInspection],
    movements: Iterable[PlacedMovement],
) -> dict[Uid, ItemEvents]:
    passed: dict[Uid, list[PassedInspection]] = {}
    for inspection in passes:
        passed.setdefault(inspection.appliance, []).append(inspection)
    moved: dict[Uid, list[PlacedMovement]] = {}
    for each in movements:
        moved.setdefault(each.movement.appliance, []).append(each)
    return {item.uid: _events_of(sight, item, passed.get(item.uid, []), moved.get(item.uid, [])) for item in items}


def _events_of(
    sight: Sight, item: Appliance, passed: list[PassedInspection], moved: list[PlacedMovement]
) -> ItemEvents:
    tests = [each for each in passed if each.kind is InspectionKind.COMBINED]
    return ItemEvents(
        looked=tuple(_moment(sight, each, moved) for each in passed),
        tested=tuple(_moment(sight, each, moved) for each in tests),
        tested_here=bool(tests) and tests[-1].site == item.site,
        moved=tuple((each.movement.movement, Moment(each.movement.on, each.place)) for each in moved),
    )


def _moment(sight: Sight, passed: PassedInspection, moved: Sequence[PlacedMovement]) -> Moment:
    unseen = (
        ()
        if not moved or sight.is_one
        else (
            each.place
            for each in moved
            if each.place < passed.place
            and not sight.saw_line((Inspection, passed.uid), (ItemMovement, each.movement.uid))
        )
    )
    return Moment(date.fromisoformat(passed.on), passed.place, frozenset(unseen))
