"""Why something is due, in a few words: the row of the table and the interval in use."""

from appreg.core.rules.interval_tables import EquipmentKey, Interval, IntervalAnswer


def due_reason(answer: IntervalAnswer, interval: Interval | None, key: EquipmentKey, *, longer: bool) -> str:
    """Say 'used by the public, Class I, 1 year'; the interval is one of the answer's own, or set by hand."""
    if interval is not None and interval.by_hand:
        return f"{interval_words(interval, longer=longer)}, {interval.by_hand}"
    parts = [answer.title]
    if key.appliance_class.label not in answer.title:
        parts.append(key.appliance_class.label)
    parts.append(interval_words(interval, longer=longer))
    return ", ".join(parts)


def interval_words(interval: Interval | None, *, longer: bool) -> str:
    """The figure in use in words, the events where there is no figure, or 'none needed'."""
    if interval is None:
        return "none needed"
    period = interval.chosen(longer)
    return period.words if period else ", ".join(interval.when)
