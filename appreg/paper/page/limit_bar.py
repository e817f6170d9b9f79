"""A thin bar of a figure against its limit: solid as far as the figure surely goes, dashed as far as it may go."""

from decimal import Decimal
from typing import Final

from msgspec import Struct

from appreg.paper.page.text_blocks import Badge, Block, Form

HEIGHT: Final = 2.6
"""Of the whole bar with the limit's line, mm."""
_BODY: Final = 1.1
_LINE: Final = 0.4
_HAIR: Final = 0.12
_SCALE: Final = Decimal("1.5")
"""The limit stands at two thirds of the width; what goes beyond one and a half limits fills it."""


class LimitShare(Struct, frozen=True, kw_only=True):
    """How much of its limit a figure uses up: 1 is the limit itself, more is beyond it."""

    least: Decimal
    """What it surely uses."""
    most: Decimal | None
    """What it may use; the same where the figure is exact, None where nothing bounds it."""
    other: Decimal | None = None
    """Where a figure has to lie between two limits: the lower one, as a part of the upper."""

    @property
    def is_exact(self) -> bool:
        """Nothing of it is open."""
        return self.least == self.most


def limit_bar(share: LimitShare, width: float) -> Block:
    """Draw the bar in a column of a width, mm."""
    room, top = width - 2 * _HAIR, (HEIGHT - _BODY) / 2
    sure, open_end = _at(share.least, room), _at(share.most, room)
    forms = [Badge(x=0.0, y=top, w=width, h=_BODY, form=Form.FRAME, thickness=_HAIR)]
    if sure > 0:
        forms.append(Badge(x=_HAIR, y=top, w=sure, h=_BODY, form=Form.BAR))
    if open_end > sure:
        forms.append(Badge(x=_HAIR + sure, y=top, w=open_end - sure, h=_BODY, form=Form.DASHES, thickness=_LINE))
    forms += [
        Badge(x=_HAIR + _at(mark, room) - _LINE / 2, y=0.0, w=_LINE, h=HEIGHT, form=Form.BAR)
        for mark in (share.other, Decimal(1))
        if mark is not None
    ]
    return Block(HEIGHT, (), tuple(forms))


def _at(share: Decimal | None, room: float) -> float:
    return room * float(min(_SCALE if share is None else share, _SCALE) / _SCALE)
