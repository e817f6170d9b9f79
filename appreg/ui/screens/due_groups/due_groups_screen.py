"""What is due in groups: by place, environment, category, responsible person or month, with twelve months ahead."""

from collections.abc import Iterable
from typing import ClassVar, Final

from msgspec import Struct
from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.tasks.planning.group_due import DueGroup, DueGrouping, group_due
from appreg.ui.lists.list_screen import ListModal
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, count_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_site import site_words
from appreg.ui.screens.sites.site_columns import NONE, STRIP_TITLE, loud, month_strip, warm
from appreg.ui.shell.commands import Command


class ChosenGroup(Struct, frozen=True):
    """The group whose lines are to be shown."""

    by: DueGrouping
    title: str


_COLUMNS: Final[tuple[FieldColumn[DueGroup], ...]] = (
    FieldColumn(key="group", title="group", min_width=18, max_width=46, text=lambda group: group.title),
    count_column(
        "overdue",
        "overdue",
        lambda group: group.counts.overdue,
        min_width=7,
        zero=NONE,
        filed="overdue_inspections",
        tone=loud,
    ),
    count_column(
        "items",
        "on items",
        lambda group: group.counts.overdue_items,
        min_width=8,
        zero=NONE,
        filed="overdue_items",
        tone=loud,
        priority=2,
    ),
    count_column(
        "soon",
        "soon",
        lambda group: group.counts.due_soon,
        min_width=5,
        zero=NONE,
        filed="due_soon_inspections",
        tone=warm,
    ),
    count_column(
        "never",
        "never",
        lambda group: group.counts.never,
        min_width=5,
        zero=NONE,
        filed="never_inspected_items",
        tone=warm,
        priority=1,
    ),
    count_column(
        "withdrawn",
        "withdrawn",
        lambda group: group.counts.withdrawn,
        min_width=9,
        zero=NONE,
        filed="withdrawn_items",
        priority=2,
    ),
    FieldColumn(
        key="months",
        in_files=False,
        title=STRIP_TITLE,
        min_width=len(STRIP_TITLE),
        text=lambda group: month_strip(group.counts.overdue, group.months),
        order=lambda group: sum(group.months),
        priority=1,
    ),
)


class DueGroupsScreen(ListModal[ChosenGroup]):
    """The groups; returns the one that is opened, or None when left."""

    CSS_PATH = "due_groups_screen.tcss"
    DATED = True
    FOLLOWS = True
    TITLE_IN_HELP = "Due in groups"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="take",
            key="enter",
            label="its lines",
            help="Show the lines of the group under the cursor.",
            at_cursor=True,
        ),
        Command(
            action="next_grouping",
            key="v",
            label="group by",
            help="Group by site, then by location, environment, category, who is responsible, and month.",
        ),
    )

    def __init__(self, *, by: DueGrouping, within_days: int, site: Uid | None) -> None:
        super().__init__()
        self._by = by
        self._within = within_days
        self._site = site
        self._rows: MemoryRows[DueGroup] = MemoryRows(_COLUMNS, (), key=lambda group: group.title)

    def make_list(self) -> VirtualTable:
        """The groups."""
        return VirtualTable(_COLUMNS, empty="nothing is due in twelve months", unit="groups")

    def compose_body(self) -> Iterable[Widget]:
        """The groups, and the counts of the one under the cursor in full."""
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def load(self) -> None:
        """Read and group what is due."""
        shell = self.shell
        groups = group_due(shell.register, by=self._by, today=shell.today, within_days=self._within, site=self._site)
        self._rows = MemoryRows(_COLUMNS, groups, key=lambda group: group.title)
        self.pane.show(self._rows)
        self.show_place(
            f"Due · inspections by {self._by} · {site_words(self, self._site)}", f"within {self._within} days"
        )

    def action_next_grouping(self) -> None:
        """Group by the next."""
        every = list(DueGrouping)
        self._by = every[(every.index(self._by) + 1) % len(every)]
        self.load()

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        group = self._rows.item(self.table.cursor_key or "")
        said = "" if group is None else f"{group.title}: {' · '.join(group.counts.words(self._within))}"
        self.query_one("#in-full", Static).update(Content(shown(said)))

    @on(VirtualTable.Opened)
    def action_take(self) -> None:
        """Return the group under the cursor."""
        title = self.table.cursor_key
        if title is None:
            self.say_no_row()
        else:
            self.dismiss(ChosenGroup(self._by, title))

    @on(VirtualTable.NoRow)
    def say_no_row(self) -> None:
        """Say why a key does nothing."""
        self.shell.say(f"There is no group here: {self.table.words_when_empty()}.")
