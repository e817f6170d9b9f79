"""Accept what the evidence suggests: the interval is set by hand for the items of a group, with the numbers as reason."""

from datetime import date

from appreg.core.records import Appliance
from appreg.core.uids import Uid
from appreg.core.work_records import IntervalOverride
from appreg.errors import InputRefused
from appreg.register.register_file import Register
from appreg.tasks.override_interval import override_for_items
from appreg.tasks.weigh_evidence import EvidenceGroup, EvidenceGrouping, EvidenceRules, weigh_evidence


def accept_suggestion(
    register: Register,
    who: str,
    *,
    group: EvidenceGroup,
    by: EvidenceGrouping,
    on: date,
    reason: str = "",
    site: Uid | None = None,
) -> tuple[IntervalOverride, ...]:
    """Set the suggested interval for the items of a group that do not have it yet; who accepts is the author.

    Raises InputRefused where nothing is suggested, or where newer inspections no longer suggest it.
    """
    evidence = group.evidence
    with register.change(who, "suggestion accepted"):
        again = weigh_evidence(register, by=by, target=evidence.target, confidence=evidence.confidence, site=site)
        fresh = next((each for each in again if each.key == group.key), None)
        if fresh is None or fresh.suggestion is None or fresh.suggestion != group.suggestion:
            raise InputRefused(
                f"{group.title}, {group.environment}: the evidence suggests no such interval; weigh it anew."
            )
        return override_for_items(
            register,
            who,
            items=_items_to_change(EvidenceRules(register), fresh),
            what=fresh.what,
            period=str(fresh.suggestion),
            reason=f"{fresh.evidence.sentence}. {reason}".strip(),
            on=on,
        )


def _items_to_change(rules: EvidenceRules, group: EvidenceGroup) -> list[Appliance]:
    """A longer interval is for items that have a shorter one, a shorter for those that have a longer."""
    changed = []
    for item in group.items:
        period = rules.period(item, group.what)
        if period is None or group.suggestion is None:
            continue
        if period < group.suggestion if group.suggestion > group.now else period > group.suggestion:
            changed.append(item)
    return changed
