"""Settle items anew once two registers became one: result, dates, labels and repairs follow from all inspections."""

from collections.abc import Iterable, Sequence
from hashlib import sha256
from typing import TYPE_CHECKING, Final

from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance, Inspection, InspectionKind, LabelKind, Location, QueuedLabel
from appreg.core.records.work_records import RemedialAction
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import RANDOM_BITS, Uid, uid_from
from appreg.progress import Progress, tell
from appreg.register.history.held_back import decided_states, labels_put_aside
from appreg.register.lists.inspection_lists import SavedInspections, saved_inspections
from appreg.register.lists.sight import Sight
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.standing.settle_standing import (
    Saw,
    failure_kept_words,
    held_back,
    settled,
    sight_among,
    standing_among,
    standing_places,
)

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change

_STOPPED: Final = "Stopped; nothing was taken in, and the register is as it was."


def settle_after_merge(
    register: Register, change: "Change", items: Iterable[Uid], progress: Progress | None = None
) -> tuple[str, ...]:
    """Put each item right; whoever does it comes to the same, down to the keys of labels.

    Returns what is to be told of items that passed where nobody could know of their failure. Raises Stopped where progress answers False.
    """
    told: list[str] = []
    rules, sight, listed = RuleFinder(register), Sight(register), sorted(set(items))
    states, aside = decided_states(register, listed), labels_put_aside(register, listed)
    for done, uid in enumerate(listed):
        for item in register.find(Appliance, uid=uid):
            known = saved_inspections(register, uid, sight=sight)
            standing = standing_among(known)
            # What a merge withdrew before, while less was known, is back where people never withdrew it; and the site is
            # that of the location: one place may have moved it to another site, another to another room of the old one.
            decided = replace(item, state=states.get(uid, item.state), site=register.get(Location, item.location).site)
            kept = held_back(settled(decided, standing, rules.of(decided)), standing)
            change.put(kept)
            _settle_labels(register, change, kept, standing.last, aside.get(uid, ()))
            _settle_repairs(register, change, item, known)
            words = failure_kept_words(standing)
            told += [f"{item.tag}: {words}"] if words else []
        tell(progress, done, len(listed), _STOPPED)
    return tuple(told)


def _settle_labels(
    register: Register, change: "Change", item: Appliance, last: Inspection | None, aside: Sequence[QueuedLabel]
) -> None:
    """Of the labels that wait only the latest result's stays; where that has none yet, one is put there.

    `aside` are those that an earlier merge took out, when another result was the latest.
    """
    there = register.find(QueuedLabel, appliance=item.uid)
    latest = last.uid if last is not None and item.state is not ServiceState.DISPOSED else None
    queued = [each for each in (*there, *aside) if each.uid != _own_key(each.inspection)]
    wanted = [each for each in queued if each.inspection == latest]
    outdated = any(each.printed_on is None and each.inspection != latest for each in queued)
    if latest is not None and last is not None and outdated and not wanted and last.outcome is not Outcome.INCOMPLETE:
        kind = LabelKind.PASS if last.outcome is Outcome.PASS else LabelKind.DO_NOT_USE
        wanted.append(QueuedLabel(uid=_own_key(latest), appliance=item.uid, inspection=latest, kind=kind))
    known, kept = {each.uid for each in there}, {each.uid for each in wanted}
    for label in there:
        if label.printed_on is None and label.uid not in kept:
            change.remove(label)
    for label in wanted:
        if label.uid not in known:
            change.put(label)


def _own_key(inspection: Uid) -> Uid:
    """The same wherever it is made, so that two places do not queue one label twice."""
    digest = int.from_bytes(sha256(f"label of {inspection}".encode()).digest())
    return Uid(inspection[:10] + uid_from(0, digest % (1 << RANDOM_BITS))[10:])


def _settle_repairs(register: Register, change: "Change", item: Appliance, known: SavedInspections) -> None:
    """A failure is closed by the first complete pass saved after it by somebody who saw it, and not dated before it."""
    counting = {each.uid: each for each in known.counting}
    places, saw = standing_places(known.saved), sight_among(known.saved, known.sight)
    passes = sorted(
        (each for each in counting.values() if each.outcome is Outcome.PASS and each.kind is InspectionKind.COMBINED),
        key=lambda each: places[each.uid],
    )
    for action in register.find(RemedialAction, appliance=item.uid):
        failure = counting.get(action.inspection)
        if failure is None:
            continue  # corrected or taken back: nothing follows from it any more
        closed_by = _closing(failure, passes, places, saw)
        if action.closed_by != closed_by:
            change.put(replace(action, closed_by=closed_by))


def _closing(failure: Inspection, passes: Sequence[Inspection], places: dict[Uid, int], saw: Saw) -> Uid | None:
    later = (
        each
        for each in passes
        if places[each.uid] > places[failure.uid] and each.date >= failure.date and saw(each, failure)
    )
    return next((each.uid for each in later), None)
