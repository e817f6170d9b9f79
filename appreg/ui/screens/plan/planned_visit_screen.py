"""One planned visit: what is done on it, how early, for how long; some of it can be done on another day."""

from collections.abc import Callable, Iterable
from typing import ClassVar, Final

from msgspec import Struct
from textual.containers import Vertical
from textual.widget import Widget

from appreg.core.records.kept_records import Appliance
from appreg.core.values.asset_tags import tag_order
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.due_words import DUE_WORDS
from appreg.core.values.uids import Uid
from appreg.schedule.plan_items import PlannedInspection
from appreg.tasks.planning.live_plan import LivePlan, LiveVisit
from appreg.ui.lists.list_pane import ListPane
from appreg.ui.lists.list_screen import ListModal
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, count_column, date_column, tag_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.plan.plan_words import days_words
from appreg.ui.shell.commands import Command


class _Work(Struct, frozen=True):
    appliance: Appliance
    planned: PlannedInspection
    location: str


_COLUMNS: Final[tuple[FieldColumn[_Work], ...]] = (
    tag_column(lambda work: work.appliance.tag),
    FieldColumn(key="item", title="item", min_width=14, max_width=34, text=lambda work: work.appliance.name),
    FieldColumn(key="what", title="what", min_width=4, text=lambda work: DUE_WORDS[work.planned.kind]),
    date_column("due", "due", lambda work: work.planned.due, none="never done"),
    count_column("early", "early", lambda work: work.planned.early_days, min_width=5, zero=""),
    count_column("late", "late", lambda work: work.planned.late_days, min_width=4, zero=""),
    count_column("minutes", "min", lambda work: work.planned.minutes, min_width=3),
    FieldColumn(
        key="location", title="location", min_width=8, max_width=30, text=lambda work: work.location, priority=1
    ),
)


class PlannedVisitScreen(ListModal[tuple[Uid, ...]]):
    """The inspections of one planned visit, by tag; returns the items that are to be done on another day."""

    CSS_PATH = "planned_visit_screen.tcss"
    TITLE_IN_HELP = "A planned visit"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="split",
            key="t",
            label="split",
            help="Do the items chosen with space on another day; the visit becomes two.",
        ),
    )

    def __init__(self, plan: LivePlan, visit: LiveVisit, location: Callable[[Uid], str]) -> None:
        super().__init__()
        self._plan = plan
        self._visit = visit
        self._location = location

    def compose_body(self) -> Iterable[Widget]:
        """The inspections."""
        with Vertical(id="visit"):
            yield ListPane(VirtualTable(_COLUMNS, unit="inspections"))

    def load(self) -> None:
        """Show them."""
        visit = self._visit
        self.show_place(f"Visit planned · {date_words(visit.day)} · {visit.site.name}", days_words(visit.minutes))
        appliances = self._plan.ground.trips[visit.site.uid].appliances
        work = [
            _Work(appliances[each.key], each, self._location(appliances[each.key].location))
            for each in visit.inspections
        ]
        work.sort(key=lambda each: tag_order(each.appliance.tag))
        self.pane.show(MemoryRows(_COLUMNS, work, key=lambda each: each.planned.key))

    def action_split(self) -> None:
        """Leave with the items that are chosen."""
        chosen = tuple(Uid(key) for key in self.table.choice.keys)
        if not chosen or len(chosen) == len(self._visit.inspections):
            self.shell.say("A visit is split into two that both have items: choose some of them with space.")
        else:
            self.dismiss(chosen)
