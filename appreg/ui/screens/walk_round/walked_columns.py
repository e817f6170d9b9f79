"""The columns of the items added so far."""

from typing import Final

from appreg.core.lean_dataclasses import dataclass
from appreg.core.records import Appliance
from appreg.ui.screens.walk_round.walked_fields import ghosts_of
from appreg.ui.widgets.table_columns import FieldColumn, tag_column


@dataclass(frozen=True, slots=True)
class WalkedItem:
    """An item with the name of its location."""

    item: Appliance
    location: str
    not_inspected: str = ""
    """Why it is not inspected today; empty where nothing is said of it."""

    @property
    def words(self) -> str:
        """What it is, and why it is not inspected."""
        return f"{self.item.name} · {self.not_inspected}" if self.not_inspected else self.item.name


def _ghost(name: str) -> FieldColumn[WalkedItem]:
    widths = {"class": 5, "type": 10, "power": 8, "fuse": 6, "cord": 11}
    return FieldColumn(
        key=name, title=name, min_width=widths[name], text=lambda line: ghosts_of(line.item)[name], priority=2
    )


WALKED_COLUMNS: Final[tuple[FieldColumn[WalkedItem], ...]] = (
    FieldColumn(
        key="location", title="location", min_width=12, max_width=24, text=lambda line: line.location, priority=1
    ),
    tag_column(lambda line: line.item.tag, min_width=8),
    FieldColumn(key="item", title="item", min_width=16, max_width=36, text=lambda line: line.words),
    *(_ghost(name) for name in ("class", "type", "power", "fuse", "cord")),
)
