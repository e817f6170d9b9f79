"""Sites: every site with what is overdue, due soon, failed and never inspected."""

from collections.abc import Iterable, Sequence
from typing import ClassVar, Final

from textual import on
from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.dates_in_words import MONTHS
from appreg.core.records import Site
from appreg.core.text import shown
from appreg.tasks.confirm_cautions import cautions_confirmed, confirm_cautions
from appreg.tasks.list_sites import SiteLine, list_sites
from appreg.ui.commands import Command
from appreg.ui.key_words import key_of
from appreg.ui.list_screen import ListScreen
from appreg.ui.places import make_screen
from appreg.ui.screens.sites.benches_left import offer_benches_left
from appreg.ui.screens.sites.site_actions import RECORD_COMMANDS, SITE_COMMANDS, SiteActions
from appreg.ui.screens.sites.site_columns import SITE_COLUMNS
from appreg.ui.widgets.row_sources import MemoryRows
from appreg.ui.widgets.virtual_table import VirtualTable

_EMPTY: Final = f"no site yet: press {key_of('sites.new_site', 'n')} to add the first one"


class SitesScreen(ListScreen[None], SiteActions[None]):
    """All sites, a line each."""

    CSS_PATH = "sites_screen.tcss"
    TITLE_IN_HELP = "Sites"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(action="open_site", key="enter", label="open", help="Open the page of the site under the cursor."),
        Command(action="new_site", key="n", label="new site", help="Add a site; its client can be added in the form."),
        *SITE_COMMANDS,
        *RECORD_COMMANDS,
    )

    def __init__(self) -> None:
        super().__init__()
        self._rows: MemoryRows[SiteLine] = MemoryRows(SITE_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The sites."""
        return VirtualTable(SITE_COLUMNS, empty=_EMPTY)

    def compose_body(self) -> Iterable[Widget]:
        """The sums, the sites, the one under the cursor in words."""
        yield Static(id="sums", markup=False)
        yield from super().compose_body()
        yield Static(id="in-full", markup=False)

    def on_mount(self) -> None:
        """Show the cautions to whoever has not read them for this register."""
        if not cautions_confirmed(self.shell.register.path, self.shell.who):
            self.app.push_screen(make_screen("caution"), self._cautions_answered)
        else:
            offer_benches_left(self)

    def load(self) -> None:
        """Read the sites."""
        lines = list_sites(self.shell.register, today=self.shell.today, within_days=self.shell.settings.due_within_days)
        self._rows = MemoryRows(SITE_COLUMNS, lines, key=_key)
        self.table.empty = self.shell.in_present_keys(_EMPTY)
        self.pane.show(self._rows)
        self.show_place("Sites", f"{self.shell.who} · {self.shell.register.path.name}")
        self.query_one("#sums", Static).update(_sums(lines))

    def site_to_act_on(self) -> Site | None:
        """The site under the cursor."""
        line = self._rows.item(self.table.cursor_key or "")
        return line.site if line else None

    def action_open_site(self) -> None:
        """Open the page of a site."""
        site = self.site_or_say()
        if site is not None:
            self.shell.open_screen("site_page", site=site.uid)

    def action_new_site(self) -> None:
        """Ask for a new site and put the cursor on it."""

        def kept(site: Site | None) -> None:
            if site is not None:
                self.load()
                self.table.move_to(site.uid)
                self.shell.say(f"{site.name} is added; press {key_of('site.walk_round', 'a')} to walk round it.")

        self.ask_for_site_record(None, kept)

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.action_open_site()

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        words = "" if line is None else _in_full(line, self.shell.today.month)
        self.query_one("#in-full", Static).update(Content(shown(words)))

    def _cautions_answered(self, read: bool | None) -> None:
        if not read:
            self.app.exit()
            return
        if not confirm_cautions(self.shell.register.path, self.shell.who, self.shell.today):
            self.shell.warn(
                "That you read the cautions could not be kept beside the register; you will be asked again."
            )
        offer_benches_left(self)


def _key(line: SiteLine) -> str:
    return line.site.uid


def _sums(lines: Sequence[SiteLine]) -> Content:
    counts = (
        ("overdue", sum(line.overdue for line in lines), "bold $fail"),
        ("due soon", sum(line.soon for line in lines), "$doubt"),
        ("failed", sum(line.failed for line in lines), "bold $fail"),
        ("never inspected", sum(line.never for line in lines), "$doubt"),
    )
    items = sum(line.items for line in lines)
    parts = [Content(f"{len(lines)} {'site' if len(lines) == 1 else 'sites'}, {items} items")]
    parts += [Content.styled(f"{words} {count}", style if count else "$quiet") for words, count, style in counts]
    return Content(" · ").join(parts)


def _in_full(line: SiteLine, month: int) -> str:
    """The client, the withdrawn items, and the busiest of the twelve months."""
    said = [f"{line.site.name}: for {line.client.name}"]
    if line.withdrawn:
        said.append(f"{line.withdrawn} withdrawn")
    if any(line.months):
        busiest = line.months.index(max(line.months))
        said.append(f"most in {MONTHS[(month - 1 + busiest) % 12]}, {line.months[busiest]}")
    return " · ".join(said)
