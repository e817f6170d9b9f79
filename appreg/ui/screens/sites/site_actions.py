"""What can be done at a site from any screen that shows one: walk round, visit, print, change."""

from collections.abc import Callable
from importlib import import_module
from typing import TYPE_CHECKING, Final, TypeVar

from appreg.core.records.kept_records import Site
from appreg.core.values.uids import Uid
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.commands import Command, at_home
from appreg.ui.shell.key_words import key_of

if TYPE_CHECKING:
    from appreg.ui.screens.forms.form import Desk

Returned = TypeVar("Returned")

NO_SITE: Final = f"There is no site here yet: press {key_of('sites.new_site', 'n')} on the Sites screen to add one."

SITE_COMMANDS: Final = at_home(
    "site",
    (
        Command(
            action="walk_round",
            key="a",
            label="walk-round",
            help="Add items to the site, a line each, room after room.",
        ),
        Command(
            action="visit",
            key="v",
            label="visit, bench",
            help="Go on with today's visit, or start one, and open the Bench.",
        ),
        Command(action="print_register", key="p", label="print", help="Write the register of the site as a PDF."),
        Command(
            action="visits",
            key="y",
            label="visits",
            help="All visits to the site, to go on with one or to print its report.",
        ),
        Command(
            action="scope_of_sites",
            key="q",
            label="scope of work",
            help="Write what is wanted at the chosen sites, without prices, for somebody to quote for.",
            in_footer=False,
        ),
        Command(
            action="documents_of_site",
            key="P",
            label="documents",
            help="Any document of the site: its register, due list, lists for the office; pages or a table.",
            in_footer=False,
        ),
        Command(
            action="issue_register",
            key="",
            label="issue register",
            help="Write the register of the site as a PDF with a number, by which it is printed again as it was.",
            in_footer=False,
        ),
        Command(
            action="issued",
            key="",
            label="issued documents",
            help="The documents that were issued of the site, to print one again as it was.",
            in_footer=False,
        ),
        Command(
            action="jobs",
            key="",
            label="jobs",
            help="Jobs at the site: several visits that are reported as one.",
            in_footer=False,
        ),
        Command(
            action="hand_over",
            key="",
            label="hand over",
            help="Write one file with all of the site, for its owner: read with --register, merged, and taken back.",
            in_footer=False,
        ),
        Command(
            action="site_days",
            key="",
            label="days of visits",
            help="Change the days on which the site can be visited, its closures, district and minutes.",
            in_footer=False,
        ),
    ),
)
IMPORT_LIST: Final = Command(
    action="import_list",
    key="I",
    label="import",
    help="Take in a table from elsewhere, CSV or XLSX: items, results, sites or people; looked at first.",
    in_footer=False,
    id="record.import_list",
)
CHANGE_SITE: Final = at_home(
    "site",
    (
        Command(
            action="change_site",
            key="e",
            label="change",
            help="Change the site's name, rules or notes.",
            in_footer=False,
            at_cursor=True,
        ),
    ),
)
RECORD_COMMANDS: Final = at_home(
    "record",
    (
        Command(
            action="records('client')", key="", label="clients", help="Change a client or add one.", in_footer=False
        ),
        Command(
            action="records('person')", key="", label="people", help="Change a person or add one.", in_footer=False
        ),
        Command(
            action="records('instrument')",
            key="",
            label="instruments",
            help="Change an instrument, say its calibration date, or add one.",
            in_footer=False,
        ),
        Command(
            action="records('category')",
            key="",
            label="categories",
            help="Change the defaults that a category fills in, or add one.",
            in_footer=False,
        ),
        Command(
            action="own_firm",
            key="",
            label="our firm",
            help="The firm that does the work, as documents name it: address, telephone, mail.",
            in_footer=False,
        ),
        Command(
            action="records('crew')",
            key="",
            label="crews",
            help="Change the people and hours of a crew that goes out, or add one.",
            in_footer=False,
        ),
        Command(
            action="records('way')",
            key="",
            label="ways",
            help="Change how long it takes between two districts, or add one.",
            in_footer=False,
        ),
    ),
)


class _AtFirstUse:
    """Stands for the module with the work itself until it is first used: forms and paper cost the first frame."""

    def __getattr__(self, name: str) -> object:
        return getattr(import_module("appreg.ui.screens.sites.site_work"), name)


if TYPE_CHECKING:
    from appreg.ui.screens.sites import site_work
else:
    site_work = _AtFirstUse()


class SiteActions(CommandScreen[Returned]):
    """A screen that shows sites; a subclass says which one is meant."""

    def site_to_act_on(self) -> Site | None:
        """The site that is meant."""
        return None

    @property
    def desk(self) -> "Desk":
        """What forms work with."""
        return site_work.desk_of(self)

    def site_or_say(self) -> Site | None:
        """The site that is meant; where there is none, say how to add one."""
        site = self.site_to_act_on()
        if site is None:
            self.say_no_site(NO_SITE)
        return site

    def say_no_site(self, none: str) -> None:
        """Say why no site is meant; `none`: where there is none at all."""
        self.shell.say(none)

    def ask_for_site_record(self, existing: Site | None, kept: Callable[[Site | None], None]) -> None:
        """Open the form of a site."""
        site_work.ask_for_site(self, existing, kept)

    def action_walk_round(self) -> None:
        """Open the walk-round; once items were added, go on to the Bench."""
        if (site := self.site_or_say()) is not None:
            site_work.walk_round(self, site)

    def action_visit(self) -> None:
        """Open the Bench at the site."""
        if (site := self.site_or_say()) is not None:
            site_work.visit(self, site)

    def action_visits(self) -> None:
        """Open the list of visits."""
        if (site := self.site_or_say()) is not None:
            self.shell.open_screen("visits", site=site.uid)

    def action_change_site(self) -> None:
        """Change the site."""
        if (site := self.site_or_say()) is not None:
            self.ask_for_site_record(site, lambda _: None)

    def action_site_days(self) -> None:
        """Change when the site can be visited."""
        if (site := self.site_or_say()) is not None:
            site_work.ask_for_days(self, site)

    def action_hand_over(self) -> None:
        """Ask for the file, and hand the site over."""
        from appreg.ui.screens.sites.hand_over_work import hand_over_site  # noqa: PLC0415 - forms cost the first frame

        if (site := self.site_or_say()) is not None:
            hand_over_site(self, site)

    def sites_to_act_on(self) -> tuple[Uid, ...]:
        """The sites that are meant where several can be."""
        site = self.site_to_act_on()
        return () if site is None else (site.uid,)

    def action_scope_of_sites(self) -> None:
        """Ask for the form and the file, and write the scope of work."""
        from appreg.ui.screens.scope.scope_work import write_scope_of_sites  # noqa: PLC0415 - papers cost the first frame

        if sites := self.sites_to_act_on():
            write_scope_of_sites(self, sites)
        else:
            self.site_or_say()

    def action_documents_of_site(self) -> None:
        """Ask which document of the site is written, and write it."""
        from appreg.tasks.documents.paper_kinds import Asked, Of  # noqa: PLC0415 - papers cost the first frame
        from appreg.ui.screens.asking.choose_document import choose_document  # noqa: PLC0415

        if (site := self.site_or_say()) is not None:
            choose_document(self, Of.SITE, Asked(site=site.uid))

    def action_print_register(self) -> None:
        """Ask where the register of the site is written, and write it."""
        if (site := self.site_or_say()) is not None:
            site_work.print_register(self, site)

    def action_issue_register(self) -> None:
        """Ask where the register of the site is written, and issue it."""
        if (site := self.site_or_say()) is not None:
            site_work.print_register(self, site, issue=True)

    def action_issued(self) -> None:
        """Open the list of issued documents."""
        if (site := self.site_or_say()) is not None:
            self.shell.open_screen("issued", site=site.uid)

    def action_jobs(self) -> None:
        """Open the list of jobs."""
        if (site := self.site_or_say()) is not None:
            self.shell.open_screen("jobs", site=site.uid)

    def action_own_firm(self) -> None:
        """Open the form of the firm."""
        site_work.ask_for_firm(self)

    def action_records(self, kind: str) -> None:
        """Ask which record of a kind is to be changed, or a new one added."""
        site_work.records(self, kind)
