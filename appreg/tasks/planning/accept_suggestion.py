"""Accept the interval that evidence suggests, or take it back again."""

from datetime import date

from appreg.core.records.work_records import IntervalOverride, OverrideScope
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.replaced_overrides import ReplacedOverrides
from appreg.register.opening.register_file import Register
from appreg.schedule.interval_overrides import Signature
from appreg.tasks.planning.group_like_items import EvidenceGrouping
from appreg.tasks.planning.override_interval import TakenBack, override_for_items, take_back_overrides
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
    signature: Signature | None = None,
) -> tuple[IntervalOverride, ...]:
    """Set the suggested interval for the items of a group; who accepts is the author.

    From that day on only intervals that begin then count for it. Raises InputRefused where nothing is suggested,
    where newer inspections no longer suggest it, or where a duty holder has to sign and did not.
    """
    evidence = group.evidence
    with register.change(who, "suggestion accepted"):
        again = weigh_evidence(register, by=by, target=evidence.target, confidence=evidence.confidence, site=site)
        fresh = next((each for each in again if each.key == group.key), None)
        if fresh is None or fresh.suggestion is None or fresh.suggestion != group.suggestion:
            raise InputRefused(
                f"{group.title}, {group.environment}: the evidence suggests no such interval; weigh it anew."
            )
        if fresh.must_sign and signature is None:
            raise InputRefused(f"A duty holder has to sign: {fresh.must_sign}; give the name.", field="signed_by")
        return override_for_items(
            register,
            who,
            items=fresh.items,
            what=fresh.what,
            period=str(fresh.suggestion),
            reason=f"{fresh.evidence.sentence}. {reason}".strip(),
            on=on,
            signature=signature,
        )


def would_come_back(register: Register, group: EvidenceGroup) -> TakenBack:
    """What taking back the interval of a group would take and bring; raises InputRefused as take_back_group does."""
    replaced = ReplacedOverrides(register)
    gone = _own(group)
    return TakenBack(gone=gone, back=tuple(each for one in gone if (each := replaced.before(one)) is not None))


def take_back_group(register: Register, who: str, *, group: EvidenceGroup, reason: str = "") -> TakenBack:
    """Take back what set the interval of a group, so that what stood before holds again for each of its items.

    Raises InputRefused where it was not set by hand for the items themselves, or where it has been changed since.
    """
    gone = _own(group)
    with register.change(who, "interval taken back"):
        kept = {each.uid for each in register.find(IntervalOverride, what=group.what)}
        if any(each.uid not in kept for each in gone):
            raise InputRefused(
                f"{group.title}, {group.environment}: the interval has been changed meanwhile; weigh it anew."
            )
        return take_back_overrides(
            register, who, targets=[each.target for each in gone], what=group.what, reason=reason
        )


def _own(group: EvidenceGroup) -> tuple[IntervalOverride, ...]:
    own = tuple(each for each in group.set_by_hand if each.scope is OverrideScope.APPLIANCE)
    if own:
        return own
    if group.set_by_hand:
        scope = group.set_by_hand[0].scope
        raise InputRefused(
            f"{group.title}, {group.environment}: the interval was set for a whole {scope}; "
            "take it back on the page of one of its items."
        )
    raise InputRefused(
        f"{group.title}, {group.environment}: {group.now.words} is the table's interval; nothing is to be taken back."
    )
