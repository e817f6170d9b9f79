"""The page of one site: client, rules and counts above its items."""

from collections.abc import Iterable
from typing import ClassVar, Final

from textual.content import Content
from textual.widget import Widget
from textual.widgets import Static

from appreg.core.records.kept_records import Client, Location, Site
from appreg.core.values.counted_words import counted
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.register.lists.due_lists import Counts
from appreg.register.lists.row_windows import RowFilter
from appreg.tasks.records.list_sites import SiteRules, count_site, site_rules
from appreg.ui.lists.table_columns import at_one_site
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.appliance_form import ApplianceForm
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.record_choices import location_choices
from appreg.ui.screens.forms.site_forms import LocationForm
from appreg.ui.screens.item.item_actions import ITEM_COMMANDS
from appreg.ui.screens.items.item_columns import ITEM_LIST
from appreg.ui.screens.items.item_list import OPEN_ITEM, ItemListScreen
from appreg.ui.screens.sites.attention import attention_line, share_of_items, shares_of
from appreg.ui.screens.sites.site_actions import SITE_COMMANDS, SiteActions
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of

_NEW = "new"
_EMPTY: Final = f"no item yet: press {key_of('site.walk_round', 'a')} to walk round and add some"


class SitePageScreen(ItemListScreen, SiteActions[None]):
    """One site and its items."""

    CSS_PATH = "site_page_screen.tcss"
    TITLE_IN_HELP = "Site"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        OPEN_ITEM,
        *SITE_COMMANDS,
        Command(
            action="change_site",
            key="E",
            label="change site",
            help="Change the site's name, rules or notes.",
            in_footer=False,
        ),
        Command(
            action="new_item", key="n", label="new item", help="Add one item with all its fields.", in_footer=False
        ),
        Command(
            action="locations",
            key="c",
            label="locations",
            help="Change a room or area of the site, say its environment, or add one.",
            in_footer=False,
        ),
        *ITEM_COMMANDS,
    )

    def __init__(self, *, site: Uid) -> None:
        super().__init__()
        self._site = site

    def make_list(self) -> VirtualTable:
        """The items."""
        return VirtualTable(at_one_site(ITEM_LIST), empty=_EMPTY, unit="items")

    def compose_body(self) -> Iterable[Widget]:
        """What holds for the site, then its items."""
        yield Static(id="about", markup=False)
        yield Static(id="counts", markup=False)
        yield from super().compose_body()

    def load(self) -> None:
        """Read the site and its items."""
        site = self.site_to_act_on()
        client = self.shell.register.get(Client, site.client)
        within = self.shell.settings.due_within_days
        counts = count_site(self.shell.register, site.uid, today=self.shell.today, within_days=within)
        self._rows = self.rows_of(RowFilter(site=site.uid))
        self.table.empty = self.shell.in_present_keys(_EMPTY)
        self.pane.show(self._rows)
        self.show_place(f"Site · {site.name}", site.prefix)
        self.query_one("#about", Static).update(_about(site, client, site_rules(site)))
        self.query_one("#counts", Static).update(_counts(counts))

    def site_to_act_on(self) -> Site:
        """The site of the page."""
        return self.shell.register.get(Site, self._site)

    def place_for_new(self) -> str:
        """A new item is added at the site of the page."""
        return self.site_to_act_on().name

    def take_new(self, tag: str) -> None:
        """Open the walk-round with a tag that no item has."""
        from appreg.ui.screens.sites.site_work import walk_round  # noqa: PLC0415 - forms and papers cost the first frame

        walk_round(self, self.site_to_act_on(), tag)

    def action_new_item(self) -> None:
        """Add an item with all its fields."""
        self.app.push_screen(FormScreen(ApplianceForm(self.desk, self.site_to_act_on())))

    def action_locations(self) -> None:
        """Ask for a location and open its form."""
        site = self.site_to_act_on()
        choices = location_choices(self.shell.register, site.uid)
        answers = [*(Answer(each.value, each.title) for each in choices), Answer(_NEW, "+ a new location")]

        def picked(key: str | None) -> None:
            if key is not None:
                existing = None if key == _NEW else self.shell.register.get(Location, Uid(key))
                self.app.push_screen(FormScreen(LocationForm(self.desk, site, existing)))

        self.app.push_screen(PickScreen("Which location?", answers), picked)


def _counts(counts: Counts) -> Content:
    """What needs attention."""
    shares = (*shares_of(counts), share_of_items("withdrawn", counts.withdrawn, "$doubt"))
    gone = f" and {counts.disposed} disposed of" if counts.disposed else ""
    return attention_line(f"{counted(counts.items, 'item')}{gone}", shares)


def _about(site: Site, client: Client, rules: SiteRules) -> Content:
    """Two lines: for whom and where, which rules."""
    responsible = ", ".join(part for part in (site.responsible, site.responsible_contact) if part)
    named = f"responsible: {responsible}" if responsible else ""
    where = " · ".join(part for part in (f"for {client.name}", site.address, named) if part)
    held = " · ".join(part for part in (rules.book, rules.table, rules.environment, rules.duty) if part)
    return Content("\n").join([Content(shown(where)), Content.styled(shown(held), "$quiet")])
