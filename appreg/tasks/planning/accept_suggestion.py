"""Accept the interval that evidence suggests."""

from datetime import date

from appreg.core.records.work_records import IntervalOverride
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.planning.group_like_items import EvidenceGrouping
from appreg.tasks.planning.override_interval import override_for_items
from appreg.tasks.planning.weigh_evidence import EvidenceGroup, weigh_evidence


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
    """Set the suggested interval for the items of a group; who accepts is the author.

    From that day on only intervals that begin then count for it.
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
            items=fresh.items,
            what=fresh.what,
            period=str(fresh.suggestion),
            reason=f"{fresh.evidence.sentence}. {reason}".strip(),
            on=on,
        )
