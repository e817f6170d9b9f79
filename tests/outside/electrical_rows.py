"""Rows of electrical checks, each with the values it rests on; see checked_values.py."""

from collections.abc import Callable, Sequence
from decimal import Decimal
from typing import Final

from appreg.core.judging.verdicts import judge
from appreg.core.records.appliances import ApplianceClass, Cord, EquipmentType, ItemFacts, RcdKind
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.check_limits import UNIT_OF_CHECK, limit_of
from appreg.core.rules.limits import Limit
from appreg.core.rules.required_checks import methods_accepted, methods_instead, required_checks
from appreg.core.rules.rule_book import RuleBook
from appreg.core.values.outcomes import CheckResult
from appreg.core.values.readings import Unit, parse_reading
from tests.outside.checked_values import Checked

PUBLISHED: Final = "published"
SECOND_HAND: Final = "second-hand"
COMMON: Final = "common practice"
MEMORY: Final = "memory"
DERIVED: Final = "derived"

Facts = Callable[[], ItemFacts]


def item(
    appliance_class: str = "1",
    equipment_type: str = "portable",
    *,
    cord: str = "",
    kw: str = "",
    heating: bool = False,
    tinned: bool = False,
    rcd: str = "",
    rating: str = "",
    delay: str = "",
    fuse: str = "",
    moulded: bool = False,
    flat: str = "",
    double: bool = False,
    unsuitable: bool = False,
    mineral: bool = False,
    amps: str = "",
) -> ItemFacts:
    """An item in few words; `cord` is like '1.0 x 2'."""
    size, _, length = cord.partition(" x ")
    return ItemFacts(
        appliance_class=ApplianceClass(appliance_class),
        equipment_type=EquipmentType(equipment_type),
        cord=Cord(csa_mm2=Decimal(size), length_m=Decimal(length), tinned=tinned) if cord else None,
        power_kw=Decimal(kw) if kw else None,
        heating=heating,
        rcd=RcdKind(rcd) if rcd else None,
        rcd_rating_ma=Decimal(rating) if rating else None,
        rcd_delay_ms=Decimal(delay) if delay else None,
        fuse_a=Decimal(fuse) if fuse else None,
        moulded_plug=moulded,
        flat_earth_limit_ohm=Decimal(flat) if flat else None,
        double_leakage=double,
        unsuitable_500v=unsuitable,
        mineral_insulated=mineral,
        rated_current_a=Decimal(amps) if amps else None,
    )


def entries_for(
    check: Check,
    typed: str,
    *,
    volts: int | None = None,
    method: LeakageMethod | None = None,
    applied: str = "",
    rated: str = "230",
    symmetric: bool = False,
    celsius: str = "",
) -> Entries:
    """One reading entered for one check; 'none' for a device that did not trip."""
    reading = parse_reading(typed, UNIT_OF_CHECK[check]) if typed != "none" else None
    if reading is None or check in {Check.RCD_HALF, Check.RCD_1X, Check.RCD_2X, Check.RCD_5X}:
        return Entries(rcd_trips={check: reading})
    if check is Check.EARTH_CONTINUITY:
        return Entries(earth=EarthEntry(reading=reading, conductor_celsius=Decimal(celsius) if celsius else None))
    if check is Check.INSULATION:
        return Entries(insulation=InsulationEntry(reading=reading, volts=volts))
    if check is Check.LEAKAGE:
        return Entries(
            leakage=LeakageEntry(
                reading=reading,
                method=method,
                applied_volts=Decimal(applied) if applied else None,
                rated_volts=Decimal(rated) if rated else None,
                two_pole_symmetric=symmetric,
            )
        )
    return Entries(microwave=reading)


def found(check: Check, facts: ItemFacts, entries: Entries, book: RuleBook) -> Finding:
    """The finding of one check."""
    return next(finding for finding in judge(facts, entries, book).findings if finding.check is check)


def limit_row(
    book: str,
    keys: Sequence[str],
    check: Check,
    facts: ItemFacts,
    *,
    high: str = "",
    low: str = "",
    method: LeakageMethod | None = None,
    source: str,
    basis: str,
) -> Checked:
    """The limit of a check is exactly this."""

    def run(rules: RuleBook) -> None:
        limit = limit_of(check, facts, rules, method)
        assert isinstance(limit, Limit), limit
        assert (limit.low, limit.high) == (Decimal(low) if low else None, Decimal(high) if high else None)

    named = f"{check} {facts.appliance_class.label} {facts.equipment_type} {' to '.join(filter(None, (low, high)))}"
    return Checked(book=book, keys=tuple(keys), expected=named, source=source, basis=basis, run=run)


def finding_row(  # noqa: PLR0917 - a row of a table
    book: str,
    keys: Sequence[str],
    check: Check,
    facts: ItemFacts,
    entries: Entries,
    result: CheckResult,
    *,
    source: str,
    basis: str,
) -> Checked:
    """The finding of a check is exactly this."""

    def run(rules: RuleBook) -> None:
        finding = found(check, facts, entries, rules)
        assert finding.result is result, finding.arithmetic

    return Checked(
        book=book,
        keys=tuple(keys),
        expected=f"{check} {facts.equipment_type} {result}",
        source=source,
        basis=basis,
        run=run,
    )


def stated_row(book: str, key: str, amount: str, *, source: str, basis: str) -> Checked:
    """The book states exactly this: for figures that inform and judge nothing."""

    def run(rules: RuleBook) -> None:
        assert rules.figures[key].shown == amount

    return Checked(book=book, keys=(key,), expected=f"{key} is {amount}", source=source, basis=basis, run=run)


def advice_row(
    book: str, keys: Sequence[str], facts: ItemFacts, *, says: str = "", never: str = "", source: str, basis: str
) -> Checked:
    """The advice has a sentence with these words, or none with those."""

    def run(rules: RuleBook) -> None:
        advice = judge(facts, Entries(), rules).advice
        assert not says or any(says in sentence for sentence in advice), advice
        assert not never or not any(never in sentence for sentence in advice), advice

    return Checked(book=book, keys=tuple(keys), expected=says or f"no {never}", source=source, basis=basis, run=run)


def sound(facts: ItemFacts, book: RuleBook) -> Entries:
    """Every check an item could need, each as good as an instrument can show it."""
    first = LeakageMethod.PROTECTIVE_CONDUCTOR
    usual = (*methods_instead(facts, book), *methods_accepted(facts, book), first)[0]
    delicate = facts.unsuitable_500v
    needed = required_checks(facts, book)
    return Entries(
        visual=True,
        earth=EarthEntry(reading=parse_reading("0.01", Unit.OHM)) if Check.EARTH_CONTINUITY in needed else None,
        polarity=True if Check.POLARITY in needed else None,
        insulation=InsulationEntry(reading=parse_reading(">299", Unit.MEGOHM), volts=250 if delicate else 500)
        if Check.INSULATION in needed
        else None,
        leakage=LeakageEntry(reading=parse_reading("0.01", Unit.MILLIAMP), method=usual)
        if Check.LEAKAGE in needed
        else None,
        functional=True,
        rcd_trips={
            each: None if each is Check.RCD_HALF else parse_reading("20", Unit.MILLISECOND)
            for each in needed
            if each.startswith("rcd") and each is not Check.RCD_BUTTON
        },
        rcd_button=True,
        microwave=parse_reading("0.1", Unit.MILLIWATT_PER_CM2) if facts.microwave else None,
    )
