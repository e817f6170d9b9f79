"""Which checks an item needs, by its class, its type and what is fitted to it."""

from appreg.core.appliances import ApplianceClass, ItemFacts
from appreg.core.checks import Check
from appreg.core.rule_book import RuleBook


def judged_class(facts: ItemFacts) -> ApplianceClass:
    """The class whose limits apply: leads and items of unknown class are judged as Class I."""
    if facts.equipment_type.is_lead:
        return ApplianceClass.CLASS_I
    return facts.appliance_class.judged_as


def judged_as_words(facts: ItemFacts) -> str:
    """The class whose limits apply, in words, with the reason where it is not the item's own."""
    if facts.equipment_type.is_lead:
        return f"{facts.equipment_type.label}, judged as Class I"
    if facts.appliance_class is not facts.appliance_class.judged_as:
        return "class not known, judged as Class I"
    return facts.appliance_class.label


def required_checks(facts: ItemFacts, book: RuleBook) -> tuple[Check, ...]:
    """The checks without which an inspection is incomplete, in the order of an inspection.

    Insulation stands for the pair: a leakage measurement by an accepted method may take its place,
    and is named instead where 500 V is unsuitable (insulation then may take the place of leakage).
    """
    lead = facts.equipment_type.is_lead
    needed = {Check.VISUAL, Check.LEAKAGE if facts.unsuitable_500v else Check.INSULATION}
    if judged_class(facts) is ApplianceClass.CLASS_I:
        needed.add(Check.EARTH_CONTINUITY)
    needed.add(Check.POLARITY if lead else Check.FUNCTIONAL)
    if facts.microwave:
        needed.add(Check.MICROWAVE)
    if facts.rcd is not None:
        trips = book.find(f"rcd.{facts.rcd}.required")
        needed.update(Check(word) for word in (trips.words if trips else (Check.RCD_1X.value,)))
    return tuple(check for check in Check if check in needed)
