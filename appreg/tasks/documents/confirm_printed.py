"""Confirm that sheets of labels came out of the printer: only then do their labels count as printed."""

from collections.abc import Collection, Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec import Struct
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, QueuedLabel
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.paper.labels.sheet_list import ListedLabel, digest_of, read_list
from appreg.register.opening.register_file import Register
from appreg.tasks.standing.check_label import why_no_pass
from appreg.tasks.standing.queue_labels import WaitingLabel, labels_of, stated_labels_of
from appreg.tasks.standing.settle_standing import read_standing
from appreg.tasks.standing.stated_failures import note_stated_label, stated_label_waits

if TYPE_CHECKING:
    from appreg.register.journal.changes import Change


class SpoiltLabel(Struct, frozen=True, kw_only=True):
    """A label on a printed sheet that no longer holds."""

    tag: str
    """As it stands on the sheet."""
    sheet: int
    """From 1."""
    place: int
    """On its sheet, 1 at top left."""
    why: str
    """What happened since it was drawn, in words that follow 'it'."""

    @property
    def sentence(self) -> str:
        """What to do with it."""
        return f"Destroy the label of {self.tag} (sheet {self.sheet}, place {self.place}): it {self.why}."


class ConfirmedLabels(Struct, frozen=True, kw_only=True):
    """What a confirmation came to."""

    printed: int
    """Labels that count as printed."""
    waiting: int
    """Spoiled ones whose items have a label in the tray again; one that was taken out of it meanwhile has none."""
    spoilt: tuple[SpoiltLabel, ...]
    """What must not be stuck on."""


def confirm_printed(
    register: Register, who: str, *, file: Path, spoiled: Collection[tuple[int, int]] = (), today: date
) -> ConfirmedLabels:
    """Count the labels of a written file as printed, but those on spoiled places (sheet, place), which wait again.

    A label that has become untrue since it was drawn is named and not counted. Raises InputRefused where the file holds
    no labels of this register, or a place has none.
    """
    listed = read_list(file)
    missing = sorted(set(spoiled) - {(each.sheet, each.place) for each in listed})
    if missing:
        raise InputRefused(
            f"{file} has no label on place {missing[0][1]} of sheet {missing[0][0]}; look at the sheets.",
            field="spoiled",
        )
    with register.change(who) as change:
        return count_labels(register, change, listed, spoiled=spoiled, today=today, file=str(file))


def count_labels(
    register: Register,
    change: "Change",
    listed: Sequence[ListedLabel],
    *,
    spoiled: Collection[tuple[int, int]] = (),
    today: date,
    file: str = "these sheets",
) -> ConfirmedLabels:
    """Within a change, count labels that came out as confirm_printed() does; raises InputRefused where none is of this register."""
    kept, again, spoilt = 0, 0, []
    queued = {
        uid: found[0] for uid in (each.queued for each in listed) if (found := register.find(QueuedLabel, uid=uid))
    }
    if not any(register.find(Appliance, uid=each.item) for each in listed):
        raise InputRefused(f"No item of {file} is in this register; open the one it was printed from.")
    now = labels_of(register, queued.values(), today)
    now |= stated_labels_of(register, (each.queued for each in listed if each.queued not in queued), today)
    for each in listed:
        label, seen = queued.get(each.queued), now.get(each.queued)
        stated = seen.stated if seen is not None else None
        if (each.sheet, each.place) in spoiled:
            if label is not None and label.printed_on is not None:
                change.put(replace(label, printed_on=None))
            if stated is not None and not stated_label_waits(register, stated.uid):
                note_stated_label(change, stated, waits=True)
            again += stated is not None or register.has(QueuedLabel, appliance=each.item, printed_on=None)
        elif why := _why_spoilt(register, each, now, today):
            spoilt.append(SpoiltLabel(tag=each.tag, sheet=each.sheet, place=each.place, why=why))
        else:
            kept += 1
            if label is not None and label.printed_on is None:
                change.put(replace(label, printed_on=today))
            if stated is not None and stated_label_waits(register, stated.uid):
                note_stated_label(change, stated, waits=False)
    return ConfirmedLabels(printed=kept, waiting=again, spoilt=tuple(spoilt))


def _why_spoilt(register: Register, listed: ListedLabel, now: Mapping[Uid, WaitingLabel], today: date) -> str:
    label = now.get(listed.queued)
    if label is None:
        return f"{_why_gone(register, listed, today)} meanwhile"
    if label.untrue:
        return f"{label.untrue} meanwhile"
    same = digest_of(label.text(with_next_date=listed.dated)) == listed.digest
    return "" if same else "was changed meanwhile, and its label says something else now"


def _why_gone(register: Register, listed: ListedLabel, today: date) -> str:
    found = register.find(Appliance, uid=listed.item)
    if not found:
        return "is no longer in the register"
    standing = read_standing(register, listed.item)
    why = why_no_pass(found[0], standing, today) if listed.passed else ""
    return why or "was inspected again or its label taken out of the tray"
