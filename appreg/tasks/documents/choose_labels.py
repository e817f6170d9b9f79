"""Choose which labels are printed, in which order, and how they lie on the sheets."""

from collections.abc import Sequence
from datetime import date
from enum import StrEnum
from itertools import groupby
from typing import Final

from msgspec import Struct

from appreg.core.values.asset_tags import tag_order
from appreg.core.values.places_and_tags import TagRanges
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.tasks.standing.queue_labels import WaitingLabel, waiting_labels


class LabelOrder(StrEnum):
    """In which order the labels of a site are printed."""

    TAG = "tag"
    ROOM = "room"
    DATE = "date"


class LabelChoice(Struct, frozen=True, kw_only=True):
    """Which labels are meant; whatever is not said leaves all of them."""

    site: Uid | None = None
    visit: Uid | None = None
    tags: TagRanges | None = None
    room: str = ""
    """A location by its name, in capitals or not."""
    order: LabelOrder = LabelOrder.TAG
    again: bool = False
    """Those printed before as well."""
    together: bool = False
    """Labels of several sites may share a sheet."""

    def labels(self, register: Register, today: date) -> list[WaitingLabel]:
        """The labels in the order in which they are printed; those that must not be are among them and say why."""
        waiting = waiting_labels(register, today=today, site=self.site, visit=self.visit, printed_too=self.again)
        return sorted((each for each in waiting if self._means(each)), key=self._turn)

    def counts(self, labels: Sequence[WaitingLabel]) -> list[int]:
        """How many labels lie together before a new sheet begins."""
        if self.together:
            return [len(labels)] if labels else []
        return [len(list(group)) for _, group in groupby(labels, key=lambda each: each.site.uid)]

    def _means(self, label: WaitingLabel) -> bool:
        in_room = not self.room or label.room.casefold() == self.room.strip().casefold()
        return in_room and (self.tags is None or self.tags.holds(label.appliance.tag))

    def _turn(self, label: WaitingLabel) -> tuple[str, str, str, str]:
        first = {
            LabelOrder.TAG: "",
            LabelOrder.ROOM: label.room.casefold(),
            LabelOrder.DATE: label.on.isoformat(),
        }[self.order]
        return label.site.name.casefold(), label.site.uid, first, tag_order(label.appliance.tag)


EVERY_LABEL: Final = LabelChoice()
"""All that wait, site by site, by tag."""
