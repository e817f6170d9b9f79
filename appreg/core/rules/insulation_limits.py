"""Insulation resistance: the limit for a class, and the test voltages at which a pass counts."""

from appreg.core.records.appliances import ApplianceClass, ItemFacts
from appreg.core.rules.limits import Limit, NoLimit, terse
from appreg.core.rules.required_checks import judged_as_words, judged_class
from appreg.core.rules.rule_book import Figure, RuleBook
from appreg.core.rules.rule_values import joined
from appreg.core.values.readings import Unit


def insulation_limit(facts: ItemFacts, book: RuleBook) -> Limit | NoLimit:
    """The lowest insulation resistance, MΩ."""
    judged = judged_class(facts)
    least = book.find(f"insulation.class-{judged}.least")
    if judged is ApplianceClass.CLASS_I:
        special = _mineral(facts, book) or _heating(facts, book)
        if special is not None:
            return special
    if least is None:
        return NoLimit(f"rule book {book.id} gives no insulation limit for {judged.label}")
    return _limit(least, f"{judged_as_words(facts)}: {least.shown} MΩ", least)


def insulation_volts(facts: ItemFacts, book: RuleBook) -> tuple[int, ...]:
    """The test voltages at which a pass counts, V d.c., the usual one first; none where the book names none."""
    judged = judged_class(facts)
    names = ("volts-unsuitable", "volts") if facts.unsuitable_500v else ("volts",)
    figures = [book.find(f"insulation.class-{judged}.{name}") for name in names]
    return tuple(int(volts) for figure in figures if figure for volts in figure.numbers)


def decided_by_current(facts: ItemFacts, book: RuleBook) -> Figure | None:
    """The power above which protective-conductor current decides a low insulation, where it applies to the item."""
    above = book.find("insulation.heating.by-current-above-kw")
    if above is None or not facts.heating or judged_class(facts) is not ApplianceClass.CLASS_I:
        return None
    return above if facts.power_kw is not None and facts.power_kw > above.number else None


def _mineral(facts: ItemFacts, book: RuleBook) -> Limit | None:
    least = book.find("insulation.mineral.least")
    if least is None or not facts.mineral_insulated:
        return None
    return _limit(least, f"{judged_as_words(facts)}, mineral-insulated elements: {least.shown} MΩ", least)


def _heating(facts: ItemFacts, book: RuleBook) -> Limit | None:
    least, threshold = book.find("insulation.heating.least"), book.find("insulation.heating.from-kw")
    if least is None or not facts.heating or facts.equipment_type.is_lead:
        return None
    words = judged_as_words(facts)
    if threshold is None:
        return _limit(least, f"{words} with heating elements: {least.shown} MΩ", least)
    if facts.power_kw is None or facts.power_kw < threshold.number:
        return None
    power = f"{facts.power_kw:f} kW, from {terse(threshold.number)} kW"
    return _limit(least, f"{words} heating, {power}: {least.shown} MΩ", least, threshold)


def _limit(least: Figure, arithmetic: str, *used: Figure) -> Limit:
    cited = joined([figure.citation for figure in used])
    return Limit(low=least.number, high=None, unit=Unit.MEGOHM, arithmetic=arithmetic, citation=cited)
