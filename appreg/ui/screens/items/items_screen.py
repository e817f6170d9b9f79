"""Items: every item of the register, or of one site, found by typing and acted on one by one or together."""

from typing import ClassVar

from appreg.core.records.kept_records import Site
from appreg.core.values.uids import Uid
from appreg.register.lists.row_windows import RowFilter
from appreg.ui.lists.table_columns import at_one_site
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.asking.pick_site import ask_for_site, site_words
from appreg.ui.screens.item.item_actions import ITEM_COMMANDS
from appreg.ui.screens.items.item_columns import ITEM_LIST
from appreg.ui.screens.items.item_list import OPEN_ITEM, ItemListScreen
from appreg.ui.screens.sites.site_actions import IMPORT_LIST
from appreg.ui.shell.commands import Command


class ItemsScreen(ItemListScreen):
    """All items, however many."""

    TITLE_IN_HELP = "Items"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        OPEN_ITEM,
        *ITEM_COMMANDS,
        Command(action="pick_site", key="s", label="site", help="Show one site only, or all of them."),
        IMPORT_LIST,
    )

    def __init__(self, *, site: Uid | None = None) -> None:
        super().__init__()
        self._site = site

    def make_list(self) -> VirtualTable:
        """The items."""
        return VirtualTable(ITEM_LIST, empty="no item is registered here yet", unit="items")

    def load(self) -> None:
        """Read the items."""
        self._rows = self.rows_of(RowFilter(site=self._site))
        self.table.set_columns(ITEM_LIST if self._site is None else at_one_site(ITEM_LIST))
        self.pane.show(self._rows)
        self.show_place(f"Items · {site_words(self, self._site)}")

    def place_for_new(self) -> str:
        """A new item is added at the site shown; where all are shown, at one that is asked for."""
        sites = self._sites_for_new()
        return sites[0].name if len(sites) == 1 else "a site that is asked for" if sites else ""

    def take_new(self, tag: str) -> None:
        """Open the walk-round with a tag that no item has."""
        from appreg.ui.screens.sites.site_work import walk_round  # noqa: PLC0415 - forms and papers cost the first frame

        def at(key: str | None) -> None:
            if key is not None:
                walk_round(self, self.shell.register.get(Site, Uid(key)), tag)

        sites = self._sites_for_new()
        if len(sites) == 1:
            at(sites[0].uid)
        else:
            answers = [Answer(site.uid, f"{site.name} ({site.prefix})") for site in sites]
            self.app.push_screen(PickScreen(f"At which site is “{tag}”?", answers), at)

    def _sites_for_new(self) -> list[Site]:
        register = self.shell.register
        if self._site is not None:
            return [register.get(Site, self._site)]
        return sorted(register.find(Site), key=lambda site: site.name.casefold())

    def action_import_list(self) -> None:
        """Ask for a table from elsewhere, for the site that is shown, and show what its columns become."""
        from appreg.ui.screens.imports.import_work import import_list  # noqa: PLC0415 - forms cost the first frame

        import_list(self, site=self._site)

    def action_pick_site(self) -> None:
        """Ask for the site to be shown."""

        def picked(site: Uid | None) -> None:
            self._site = site
            self.load()

        ask_for_site(self, "Items of which site?", now=self._site, then=picked)
