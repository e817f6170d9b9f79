"""The second line of an item: metal that nothing earths on Class I, and the functional earth of Class II."""

from typing import Final

from msgspec import Struct

from appreg.core.records.appliances import ApplianceClass, Connection, Fact, ItemFacts
from appreg.core.records.checks import Check
from appreg.core.rules.limits import Limit, NoLimit
from appreg.core.rules.rule_book import RuleBook
from appreg.core.values.readings import Unit


class SecondLine(Struct, frozen=True, kw_only=True):
    """What is measured beside an item's own line, and by which rows of the book."""

    fact: Fact
    row: str
    """The last part of the keys of its rows."""
    insulation: Check
    current: Check
    words: str


UNEARTHED: Final = SecondLine(
    fact=Fact.UNEARTHED_METAL,
    row="unearthed-metal",
    insulation=Check.UNEARTHED_INSULATION,
    current=Check.UNEARTHED_CURRENT,
    words="touchable metal that is not earthed",
)
FUNCTIONAL: Final = SecondLine(
    fact=Fact.FUNCTIONAL_EARTH,
    row="functional-earth",
    insulation=Check.FUNCTIONAL_EARTH_INSULATION,
    current=Check.FUNCTIONAL_EARTH_CURRENT,
    words="functional earth",
)
LINE_OF: Final = {check: line for line in (UNEARTHED, FUNCTIONAL) for check in (line.insulation, line.current)}
"""By check: the second line that it belongs to."""
INSULATIONS: Final = (Check.INSULATION, UNEARTHED.insulation, FUNCTIONAL.insulation)
"""Every check of insulation, the item's own first."""


def second_lines(facts: ItemFacts) -> tuple[SecondLine, ...]:
    """The second lines of an item; a battery feeds neither, and all metal of Class II is measured by its own line."""
    if facts.connection is Connection.BATTERY:
        return ()
    lead = facts.equipment_type.is_lead
    first = facts.appliance_class.judged_as is ApplianceClass.CLASS_I
    second = facts.appliance_class in {ApplianceClass.CLASS_II, ApplianceClass.UNKNOWN}
    return tuple(
        line
        for line, there in (
            (UNEARTHED, facts.unearthed_metal and first),
            (FUNCTIONAL, facts.functional_earth and second and not lead),
        )
        if there
    )


def second_checks(facts: ItemFacts, book: RuleBook) -> frozenset[Check]:
    """The checks that the second lines of an item need beside those of its class."""
    needed: set[Check] = set()
    left_out = book.find("required.left-out-unsuitable")
    for line in second_lines(facts):
        own = {Check(word) for word in book.figures[f"required.{line.row}"].words}
        if facts.unsuitable_500v and left_out is not None and line.current in own:
            own -= {Check(word) for word in left_out.words}
        elif facts.unsuitable_500v and own == {line.insulation} and _may_stand(line, book):
            own = {line.current}
        needed |= own
    return frozenset(needed)


def exchangeable(facts: ItemFacts, book: RuleBook) -> tuple[frozenset[Check], ...]:
    """The pairs of checks of the second lines of which either may take the place of the other."""
    pairs = (frozenset({line.insulation, line.current}) for line in second_lines(facts) if _may_stand(line, book))
    needed = second_checks(facts, book)
    return tuple(pair for pair in pairs if not pair <= needed)


def second_limit(check: Check, book: RuleBook) -> Limit | NoLimit:
    """The limit of a check of a second line: the one of Class II, as the book has it; MΩ or mA."""
    line = LINE_OF[check]
    insulating = check is line.insulation
    figure = book.find(f"insulation.{line.row}.least" if insulating else f"leakage.touch.{line.row}")
    if figure is None:
        return NoLimit(f"rule book {book.id} gives no limit for {line.words}")
    unit = Unit.MEGOHM if insulating else Unit.MILLIAMP
    return Limit(
        low=figure.number if insulating else None,
        high=None if insulating else figure.number,
        unit=unit,
        arithmetic=f"{line.words}, as Class II: {figure.shown} {unit}",
        citation=figure.citation,
    )


def _may_stand(line: SecondLine, book: RuleBook) -> bool:
    instead = book.find(f"instead.{line.row}")
    return instead is not None and line.current in instead.words
