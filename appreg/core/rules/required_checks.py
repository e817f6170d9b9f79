"""Which checks an item needs, what may stand for what, and what a failure closes, as its rule book has it."""

from collections.abc import Iterable, Mapping

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, Fact, ItemFacts
from appreg.core.records.checks import Check, LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.fuse_advice import assumed_of_lead, lead_fuse_fault
from appreg.core.rules.rule_book import Figure, RuleBook
from appreg.core.rules.second_lines import INSULATIONS, second_checks
from appreg.core.values.outcomes import CheckResult


def judged_class(facts: ItemFacts) -> ApplianceClass:
    """The class whose limits apply: items of unknown class are judged as Class I, and so are leads with three cores."""
    if facts.equipment_type is EquipmentType.EXTENSION_LEAD:
        return ApplianceClass.CLASS_I
    if facts.equipment_type is EquipmentType.CORD_SET and not has_two_cores(facts):
        return ApplianceClass.CLASS_I
    return facts.appliance_class.judged_as


def has_two_cores(facts: ItemFacts) -> bool:
    """Tell whether a lead is Class II: live and neutral alone."""
    return facts.equipment_type.is_lead and facts.appliance_class is ApplianceClass.CLASS_II


def judged_as_words(facts: ItemFacts) -> str:
    """The class whose limits apply, in words, with the reason where it is not the item's own."""
    if has_two_cores(facts) and facts.equipment_type is EquipmentType.CORD_SET:
        return "cord set of two cores, Class II"
    if facts.equipment_type.is_lead:
        return f"{facts.equipment_type.label}, judged as Class I"
    if facts.appliance_class is not facts.appliance_class.judged_as:
        return "class not known, judged as Class I"
    return facts.appliance_class.label


def requirement_of(facts: ItemFacts, book: RuleBook) -> Figure:
    """The row of the book that says which checks such an item needs."""
    return book.figures[f"required.{requirement_row(facts)}"]


def requirement_row(facts: ItemFacts) -> str:
    """What the rows of a book for such an item are called: class-1, battery, cord-set."""
    if facts.equipment_type.is_lead:
        return f"{facts.equipment_type}-two-core" if has_two_cores(facts) else facts.equipment_type.value
    if facts.connection is Connection.BATTERY:
        return "battery"
    return f"class-{facts.appliance_class.judged_as}"


def required_checks(facts: ItemFacts, book: RuleBook) -> tuple[Check, ...]:
    """The checks without which an inspection is incomplete, in the order of an inspection.

    Insulation stands for the pair where a leakage measurement may take its place; leakage is named instead
    where 500 V is unsuitable (insulation then may take the place of leakage).
    """
    needed = {Check(word) for word in requirement_of(facts, book).words}
    if facts.scope:
        return tuple(
            check for check in Check if check in needed and check in book.figures["required.out-of-scope"].words
        )
    if facts.unsuitable_500v and Check.INSULATION in needed:
        needed = _without_500v(needed, facts, book)
    if facts.microwave:
        needed |= {Check(word) for word in book.figures["required.microwave"].words}
    needed |= second_checks(facts, book)
    # A rated residual current tells of a device too, of whatever kind.
    if facts.rcd is not None or facts.is_rcd or facts.rcd_rating_ma is not None:
        trips = book.find(f"rcd.{facts.rcd}.required") or book.figures["required.rcd"]
        needed |= {Check(word) for word in trips.words}
    return tuple(check for check in Check if check in needed)


def _without_500v(needed: set[Check], facts: ItemFacts, book: RuleBook) -> set[Check]:
    left_out = book.find("required.left-out-unsuitable")
    if left_out is not None and Check.LEAKAGE in needed:
        return needed - {Check(word) for word in left_out.words}
    instead = bool(methods_instead(facts, book)) and Check.LEAKAGE not in needed
    return needed - {Check.INSULATION} | {Check.LEAKAGE} if instead else needed


def methods_instead(facts: ItemFacts, book: RuleBook) -> tuple[LeakageMethod, ...]:
    """The leakage methods that may take the place of the insulation check of such an item."""
    return _methods(book.find(f"instead.insulation.class-{judged_class(facts)}"))


def methods_accepted(facts: ItemFacts, book: RuleBook) -> tuple[LeakageMethod, ...]:
    """The leakage methods that meet the book's demand for leakage, where it makes one of such an item."""
    return _methods(book.find(f"accepted.leakage.class-{judged_class(facts)}"))


def _methods(figure: Figure | None) -> tuple[LeakageMethod, ...]:
    return tuple(LeakageMethod(word) for word in figure.words) if figure else ()


def fails_on_sight(facts: ItemFacts, book: RuleBook) -> str:
    """Why such an item fails however well it looks; empty where it does not."""
    figure = book.find("inspection.fails-on-sight")
    words = figure.words if figure else ()
    two_cores = facts.equipment_type is EquipmentType.EXTENSION_LEAD and has_two_cores(facts)
    if two_cores and "two-core-extension-lead" in words:
        return "an extension lead of two cores has no protective conductor for what it feeds"
    return lead_fuse_fault(facts, book) if "lead-fuse-above-flex" in words else ""


def resting_on_sight(facts: ItemFacts, why: str) -> tuple[Fact, ...]:
    """The assumed facts that a failure on sight rests on; none where it stands by what is read."""
    by_fuse = why and not (facts.equipment_type is EquipmentType.EXTENSION_LEAD and has_two_cores(facts))
    return assumed_of_lead(facts) if by_fuse else ()


def closed_by_failure(
    findings: Iterable[Finding], book: RuleBook, method: LeakageMethod | None
) -> Mapping[Check, Check]:
    """By check that an earlier failure closes: the check that failed.

    `method` is how leakage is measured: the substitute method needs no mains.
    """
    failed = [finding.check for finding in findings if finding.result is CheckResult.FAIL]
    if not failed:
        return {}
    stop = book.find("inspection.stop-after")
    order = list(Check)
    first = next((check for check in failed if stop and check in stop.words), None)
    closed = {check: first for check in order if first and order.index(check) > order.index(first)}
    mains = book.find("inspection.closed-by-insulation")
    broken = next((check for check in INSULATIONS if check in failed), None)
    if mains is not None and broken is not None:
        for check in (Check(word) for word in mains.words):
            if not (check is Check.LEAKAGE and method is LeakageMethod.SUBSTITUTE):
                closed.setdefault(check, broken)
    return closed
