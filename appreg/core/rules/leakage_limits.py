"""Leakage current: the limit for a class and method, and substitute readings scaled to rated voltage."""

from decimal import Decimal

from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, ItemFacts
from appreg.core.records.checks import LeakageEntry, LeakageMethod
from appreg.core.rules.limits import Limit, NoLimit, terse, tidy
from appreg.core.rules.required_checks import judged_as_words, judged_class, methods_accepted, methods_instead
from appreg.core.rules.rule_book import Figure, RuleBook
from appreg.core.rules.rule_values import joined
from appreg.core.values.readings import Comparator, Reading, Unit


def leakage_method(facts: ItemFacts, given: LeakageMethod | None) -> LeakageMethod:
    """The method stated, or the usual one for the class."""
    if given is not None:
        return given
    first = judged_class(facts) is ApplianceClass.CLASS_I
    return LeakageMethod.PROTECTIVE_CONDUCTOR if first else LeakageMethod.TOUCH


def leakage_limit(facts: ItemFacts, book: RuleBook, method: LeakageMethod | None = None) -> Limit | NoLimit:
    """The highest leakage current by that method, mA; None: the usual method for the class."""
    method = leakage_method(facts, method)
    judged = judged_class(facts)
    if method is LeakageMethod.TOUCH:
        return _doubled(_touch(facts, book), facts, book)
    if method is LeakageMethod.PROTECTIVE_CONDUCTOR:
        if judged is ApplianceClass.CLASS_I:
            return _doubled(_protective(facts, book), facts, book)
        return NoLimit(f"protective-conductor current says nothing of {judged.label}; measure touch current")
    factor = book.find("leakage.substitute.limit-factor")
    if factor is None:
        return NoLimit(f"rule book {book.id} gives no limit for the substitute method")
    same = _protective(facts, book) if judged is ApplianceClass.CLASS_I else _touch(facts, book)
    return _times(_doubled(same, facts, book), factor, says=factor.number != 1)


def replaces_insulation(facts: ItemFacts, book: RuleBook, method: LeakageMethod | None) -> bool:
    """Tell whether leakage by that method may take the place of the insulation check."""
    method = leakage_method(facts, method)
    return method in methods_instead(facts, book) and isinstance(leakage_limit(facts, book, method), Limit)


def decides(facts: ItemFacts, book: RuleBook, method: LeakageMethod | None) -> bool:
    """Tell whether leakage by that method counts for the item: a method that says less meets no demand."""
    return leakage_method(facts, method) in {*methods_instead(facts, book), *methods_accepted(facts, book)}


def scaled_substitute(entry: LeakageEntry, book: RuleBook) -> tuple[Reading, str] | NoLimit:
    """A substitute reading scaled to rated voltage with its arithmetic, or why it cannot be."""
    low, high = (book.find(f"leakage.substitute.applied-{end}") for end in ("low", "high"))
    applied, rated = entry.applied_volts, entry.rated_volts
    if entry.referred:
        return _halved(entry, book)
    if applied is None or rated is None:
        which = "applied" if applied is None else "rated"
        return NoLimit(f"the {which} voltage is not given, so the reading cannot be scaled to rated voltage")
    if applied <= 0 or rated <= 0:
        return NoLimit("applied and rated voltage must be above zero, so the reading cannot be scaled")
    if low and high and not low.number <= applied <= high.number:
        return NoLimit(f"{terse(applied)} V applied lies outside {low.shown} to {high.shown} V")
    if entry.reading.value is None:
        return entry.reading, ""
    value, divided = entry.reading.value * rated / applied, ""
    divisor = book.find("leakage.substitute.symmetric-divisor")
    if divisor is not None and entry.two_pole_symmetric:
        value, divided = value / divisor.number, f" ÷ {divisor.shown}"
    sign = "" if entry.reading.comparator is Comparator.EQUAL else entry.reading.comparator.value
    text = f"{sign}{entry.reading.value:f} mA × {terse(rated)} V / {terse(applied)} V{divided} = {sign}{terse(round(value, 4))} mA"
    return replace(entry.reading, value=value), text


def _halved(entry: LeakageEntry, book: RuleBook) -> tuple[Reading, str]:
    """A reading that the instrument has referred to rated voltage itself; halved where the book has it so."""
    text = "referred to rated voltage by the instrument"
    divisor = book.find("leakage.substitute.symmetric-divisor")
    if divisor is None or not entry.two_pole_symmetric or entry.reading.value is None:
        return entry.reading, text
    value = entry.reading.value / divisor.number
    return replace(entry.reading, value=value), f"{text} ÷ {divisor.shown} = {terse(round(value, 4))} mA"


def _touch(facts: ItemFacts, book: RuleBook) -> Limit | NoLimit:
    judged = judged_class(facts)
    most = book.find(f"leakage.touch.class-{judged}")
    if most is None:
        return NoLimit(f"rule book {book.id} gives no touch-current limit for {judged.label}")
    return _limit(most.number, f"touch current, {judged_as_words(facts)}: {most.shown} mA", most)


def _protective(facts: ItemFacts, book: RuleBook) -> Limit | NoLimit:
    words = f"{judged_as_words(facts)} {facts.equipment_type.label}".removesuffix(" ")
    if facts.equipment_type.is_lead:
        words = judged_as_words(facts)
    light, types = book.find("leakage.light.most"), book.find("leakage.light.types")
    if light and types and facts.equipment_type in types.words:
        return _limit(light.number, f"{words}: {light.shown} mA", light, types)
    heating = _heating(facts, book, words)
    if heating is not None:
        return heating
    most = book.find("leakage.class-1.most")
    if most is None:
        return NoLimit(f"rule book {book.id} gives no leakage limit for Class I")
    return _limit(most.number, f"{words}: {most.shown} mA", most)


def _heating(facts: ItemFacts, book: RuleBook, words: str) -> Limit | None:
    """The rule for heating by power, where the book has one that holds for the item."""
    per_kw, most = book.find("leakage.heating.per-kw"), book.find("leakage.heating.most")
    least = book.find("leakage.heating.least") or book.find("leakage.class-1.most")
    types, above = book.find("leakage.heating.types"), book.find("leakage.heating.above-kw")
    if not facts.heating or facts.equipment_type.is_lead or not (per_kw and most and least):
        return None
    if types and facts.equipment_type not in types.words:
        return None
    used = [least, *(figure for figure in (types, above) if figure)]
    if facts.power_kw is None:
        return _limit(least.number, f"{words} heating, power not known: {least.shown} mA", *used)
    if above and facts.power_kw <= above.number:
        return _limit(least.number, f"{words} heating up to {above.shown} kW: {least.shown} mA", *used)
    reckoned = per_kw.number * facts.power_kw
    high = tidy(min(most.number, max(least.number, reckoned)))
    text = f"{per_kw.shown} mA/kW × {facts.power_kw:f} kW = {terse(reckoned)} mA"
    if reckoned != high:
        text += f", at {'most' if reckoned > high else 'least'} {terse(high)} mA"
    return _limit(high, text, *used, per_kw, most)


def _doubled(limit: Limit | NoLimit, facts: ItemFacts, book: RuleBook) -> Limit | NoLimit:
    factor = book.find("leakage.doubling.factor")
    if factor is None or not facts.double_leakage or facts.equipment_type.is_lead:
        return limit
    return _times(limit, factor, says=True)


def _times(limit: Limit | NoLimit, factor: Figure, *, says: bool) -> Limit | NoLimit:
    if isinstance(limit, NoLimit) or limit.high is None:
        return limit
    high = tidy(limit.high * factor.number)
    text = (
        f"{limit.arithmetic}; {terse(limit.high)} mA × {factor.shown} = {terse(high)} mA" if says else limit.arithmetic
    )
    return replace(limit, high=high, arithmetic=text, citation=joined((limit.citation, factor.citation)))


def _limit(high: Decimal, arithmetic: str, *used: Figure) -> Limit:
    cited = joined(figure.citation for figure in used)
    return Limit(low=None, high=high, unit=Unit.MILLIAMP, arithmetic=arithmetic, citation=cited)
