"""Due: what is overdue, due soon or was never inspected, across all sites."""

from collections.abc import Callable, Iterable, Sequence
from functools import partial
from typing import ClassVar, Final

from textual import on
from textual.containers import Horizontal
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.kept_records import Category
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.schedule.due_states import DueState
from appreg.tasks.items.find_due_lines import searched_line
from appreg.tasks.planning.group_due import DueGrouping, lines_of_group
from appreg.tasks.planning.list_due import DueCounts, count_due, first_due, list_due
from appreg.tasks.standing.due_lines import DueLine
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import Arrangement, MemoryRows, RowSearch, RowView
from appreg.ui.lists.table_columns import at_one_site
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_site import ask_for_site, site_words
from appreg.ui.screens.due.due_columns import DUE_COLUMNS, in_full, key_of
from appreg.ui.screens.due.due_item import due_item_lines
from appreg.ui.screens.due_groups.due_groups_screen import ChosenGroup, DueGroupsScreen
from appreg.ui.screens.item.item_actions import ITEM_COMMANDS, ItemActions
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of as named_key
from appreg.ui.widgets.beside import Beside

Read = Callable[[Register], Sequence[DueLine]]


class DueRows:
    """Lines read from a register when they are first asked for."""

    slow = True

    def __init__(self, register: Register, *, first: Read, every: Read, search: RowSearch[DueLine]) -> None:
        """`first` reads the lines of the first screen, `every` all of them, in a thread."""
        self._register = register
        self._search = search
        self._first = first
        self._every = every
        self._opening: MemoryRows[DueLine] | None = None
        self._rows: MemoryRows[DueLine] | None = None

    def item(self, key: str) -> DueLine | None:
        """Return the line behind a key."""
        rows = self._rows or self._opening
        return None if rows is None else rows.item(key)

    def opening(self, arrangement: Arrangement) -> RowView | None:
        """Return the first lines, soonest first."""
        if arrangement != Arrangement():
            return None
        lines = self._first(self._register)
        self._opening = MemoryRows(DUE_COLUMNS, lines, key=key_of, search=self._search)
        return self._opening.arranged(arrangement) if lines else None

    def arranged(self, arrangement: Arrangement) -> RowView:
        """Return all lines in the order asked for that hold the words typed."""
        rows = self._rows
        if rows is None:
            with self._register.reopen() as own:
                rows = MemoryRows(DUE_COLUMNS, self._every(own), key=key_of, search=self._search)
            self._rows = rows
        return rows.arranged(arrangement)


FEW_LINES: Final = 1000
"""Up to so many lines are read before the screen is drawn."""
FIRST_LINES: Final = 64
"""Lines of a long list that are read before the screen is drawn."""
SPANS: Final = (0, 7, 14, 30, 60, 90, 180, 365)
"""Days ahead that + and - step through."""

STATES: Final = (None, DueState.OVERDUE, DueState.DUE_SOON, DueState.NEVER, DueState.REPAIR_LATE)
"""What the state key steps through; None: all of them."""


class DueScreen(ListScreen[None], ItemActions[None]):
    """Everything that waits, soonest first."""

    CSS_PATH = "due_screen.tcss"
    DATED = True
    FOLLOWS = True
    TITLE_IN_HELP = "Due"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="open_item",
            key="enter",
            label="item",
            help="Open the page of the item under the cursor.",
            at_cursor=True,
        ),
        *ITEM_COMMANDS,
        Command(action="pick_site", key="s", label="site", help="Show one site only, or all of them."),
        Command(
            action="next_state",
            key="t",
            label="state",
            help="Show only what is overdue, then due soon, never inspected, repairs that are late, then all.",
        ),
        Command(
            action="groups",
            key="v",
            label="groups",
            help="Group by site, location, environment, category, responsible or month; show the lines of one; again: all.",
        ),
        Command(
            action="before_use",
            key="u",
            label="before use",
            help="Show the items that an event blocks, and the checks that users make; neither has a date.",
        ),
        Command(
            action="remind",
            key="M",
            label="reminders",
            help="Draft a message to each person who sees to a site, with what is due there; none is sent.",
            in_footer=False,
        ),
        Command(action="span(1)", key="plus", label="further", help="Look further ahead."),
        Command(action="span(-1)", key="minus", label="nearer", help="Look less far ahead.", in_footer=False),
    )

    def __init__(self) -> None:
        super().__init__()
        self._set_within = -1
        self._within = 0
        self._site: Uid | None = None
        self._state: DueState | None = None
        self._group: ChosenGroup | None = None
        self._rows: MemoryRows[DueLine] | DueRows = MemoryRows(DUE_COLUMNS, (), key=key_of)

    def make_list(self) -> VirtualTable:
        """The lines that wait."""
        return VirtualTable(DUE_COLUMNS, empty="nothing is due in this time", unit="lines")

    def compose_body(self) -> Iterable[Widget]:
        """The counts, the lines, the one under the cursor in full."""
        yield Static(id="counts", markup=False)
        with Horizontal(classes="both"):
            yield from super().compose_body()
            yield Beside()
        yield Static(id="in-full", markup=False)

    def part_of_list(self) -> str:
        """The site and the group, the days ahead, and the state where only one is shown."""
        state = f" · only {self._state}" if self._state else ""
        return f"{super().part_of_list()} · within {self._within} days{state}"

    def load(self) -> None:
        """Read what is due; the days ahead start as the settings say."""
        if self._set_within != self.shell.settings.due_within_days:
            self._set_within = self._within = self.shell.settings.due_within_days
        shell, site, within = self.shell, self._site, self._within
        counts = count_due(shell.register, today=shell.today, within_days=within, site=site)
        self._rows = self._source(counts)
        self.table.empty = self.shell.in_present_keys(_empty_words(self._state, self._group))
        self.table.set_columns(DUE_COLUMNS if site is None else at_one_site(DUE_COLUMNS))
        self.pane.show(self._rows)
        group = f" · {self._group.title}" if self._group else ""
        self.show_place(f"Due · {site_words(self, site)}{group}", f"within {within} days")
        self.query_one("#counts", Static).update(_counts(counts, within, self._state))

    def _source(self, counts: DueCounts) -> MemoryRows[DueLine] | DueRows:
        """Few lines are read at once; many are read in a thread, the first screen of them before."""
        shell, site, within, chosen, state = self.shell, self._site, self._within, self._group, self._state
        today = shell.today

        def every(register: Register) -> Sequence[DueLine]:
            if chosen is None:
                lines = list_due(register, today=today, within_days=within, site=site).with_repairs
            else:
                lines = lines_of_group(
                    register, by=chosen.by, title=chosen.title, today=today, within_days=within, site=site
                )
            return [line for line in lines if state in {None, line.state}]

        def first(register: Register) -> Sequence[DueLine]:
            if chosen is not None or state is not None:
                return ()
            return first_due(register, today=today, within_days=within, site=site, limit=FIRST_LINES)

        if counts.overdue + counts.due_soon + counts.never > FEW_LINES:
            return DueRows(shell.register, first=first, every=every, search=self._search())
        return MemoryRows(DUE_COLUMNS, every(shell.register), key=key_of, search=self._search())

    def _search(self) -> RowSearch[DueLine]:
        """What lines are found by: their items, each with the date of the line."""
        categories = {each.uid: each for each in self.shell.register.find_readable(Category)}
        return RowSearch(row=partial(searched_line, categories), today=self.shell.today, within_days=self._within)

    def action_groups(self) -> None:
        """Show the groups, to choose one; where one is chosen, show all lines again."""
        if self._group is not None:
            self._group = None
            self.load()
            return

        def chosen(group: ChosenGroup | None) -> None:
            self._group = group
            self.load()

        groups = DueGroupsScreen(by=DueGrouping.SITE, within_days=self._within, site=self._site)
        self.app.push_screen(groups, chosen)

    def action_before_use(self) -> None:
        """Show what is blocked and what users check."""
        self.shell.open_screen("before_use", site=self._site)

    def action_remind(self) -> None:
        """Draft messages of what is due at the site that is shown, or at all of them."""
        from appreg.ui.screens.due.due_reminders import ask_and_remind  # noqa: PLC0415 - mail costs the first frame

        ask_and_remind(self, site=self._site, of=site_words(self, self._site))

    def items_to_act_on(self) -> tuple[Uid, ...]:
        """The items of the chosen lines, each once."""
        return tuple(dict.fromkeys(Uid(key.partition(" ")[0]) for key in self.table.keys_to_act_on()))

    def acted_on(self) -> None:
        """Let go of what was chosen and read anew."""
        self.table.clear_choice()
        self.load()

    def action_open_item(self) -> None:
        """Open the page of the item under the cursor."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_no_row()
        else:
            self.shell.open_screen("item", appliance=line.appliance.uid)

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.action_open_item()

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        self.query_one("#in-full", Static).update(Content("" if line is None else shown(in_full(line))))
        if line is not None:
            self.query_one(Beside).tell(f"{line.appliance.tag} {line.appliance.name}", due_item_lines(line))
        else:
            self.query_one(Beside).tell("", ())

    def action_span(self, step: int) -> None:
        """Look further ahead, or less far."""
        beyond = [span for span in SPANS if (span - self._within) * step > 0]
        self._within = (min(beyond) if step > 0 else max(beyond)) if beyond else self._within
        self.load()

    def action_next_state(self) -> None:
        """Show only one state, or all again."""
        self._state = STATES[(STATES.index(self._state) + 1) % len(STATES)]
        self.load()

    def action_pick_site(self) -> None:
        """Ask for the site to be shown."""

        def picked(site: Uid | None) -> None:
            self._site = site
            self.load()

        ask_for_site(self, "Due at which site?", now=self._site, then=picked)


def _empty_words(state: DueState | None, group: ChosenGroup | None) -> str:
    """What an empty list says: which choice leaves out what there is, or that nothing is due."""
    if group is not None:
        return f"nothing of this group is due here: {named_key('due.groups', 'v')} shows all lines again"
    if state is not None:
        return f"nothing here is {state}: {named_key('due.next_state', 't')} shows the others"
    return "nothing is due in this time"


def _counts(counts: DueCounts, within_days: int, state: DueState | None) -> Content:
    late, soon, never, withdrawn = counts.words(within_days)
    parts: list[tuple[str, str]] = [
        (late, "bold $fail" if counts.overdue else "$quiet"),
        (soon, "$doubt" if counts.due_soon else "$quiet"),
        (never, "$doubt" if counts.never else "$quiet"),
        (withdrawn, "$quiet"),
    ]
    if state is not None:
        parts.append((f"shown: {state.value}", "bold $mark"))
    return Content(" · ").join([Content.styled(shown(words), style) for words, style in parts])
