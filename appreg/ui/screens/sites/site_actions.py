"""What can be done at a site from any screen that shows one: walk round, visit, print, change."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final, TypeVar

from appreg.core.records import Category, Client, Instrument, Person, Site, Visit
from appreg.core.uids import Uid
from appreg.register.appliance_lists import appliances_of
from appreg.tasks.write_site_register import write_site_register
from appreg.ui.command_screen import CommandScreen
from appreg.ui.commands import Command
from appreg.ui.places import make_screen
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.forms.category_form import CategoryForm
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.people_forms import ClientForm, InstrumentForm, PersonForm
from appreg.ui.screens.forms.record_choices import category_choices, client_choices, instrument_choices, person_choices
from appreg.ui.screens.forms.site_forms import SiteForm
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen, Progress

Returned = TypeVar("Returned")

SITE_COMMANDS: Final = (
    Command(
        action="walk_round", key="a", label="walk-round", help="Add items to the site, a line each, room after room."
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
        action="change_site", key="e", label="change", help="Change the site's name, rules or notes.", in_footer=False
    ),
)
RECORD_COMMANDS: Final = (
    Command(action="records('client')", key="", label="clients", help="Change a client or add one.", in_footer=False),
    Command(action="records('person')", key="", label="people", help="Change a person or add one.", in_footer=False),
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
)
_NEW: Final = "new"


class SiteActions(CommandScreen[Returned]):
    """A screen that shows sites; a subclass says which one is meant."""

    def site_to_act_on(self) -> Site | None:
        """The site that is meant."""
        return None

    @property
    def desk(self) -> Desk:
        """What forms work with."""
        return Desk(self.shell.register, self.shell.who, self.shell.today)

    def site_or_say(self) -> Site | None:
        """The site that is meant; where there is none, say how to add one."""
        site = self.site_to_act_on()
        if site is None:
            self.shell.say("There is no site here yet: press n on the Sites screen to add one.")
        return site

    def ask_for_site_record(self, existing: Site | None, kept: Callable[[Site | None], None]) -> None:
        """Open the form of a site."""
        self.app.push_screen(FormScreen(SiteForm(self.desk, existing)), kept)

    def action_walk_round(self) -> None:
        """Open the walk-round; once items were added, go on to the Bench."""
        site = self.site_or_say()
        if site is None:
            return

        def walked(to_bench: bool | None) -> None:
            if to_bench:
                self.to_bench(site)

        self.app.push_screen(make_screen("walk_round", site=site.uid), walked)

    def action_visit(self) -> None:
        """Open the Bench at the site."""
        site = self.site_or_say()
        if site is None:
            return
        if not appliances_of(self.shell.register, site=site.uid):
            self.shell.say(f"{site.name} has no items yet: walk round first, with a.")
            return
        self.to_bench(site)

    def to_bench(self, site: Site) -> None:
        """Open the Bench on today's visit, or ask for what a new visit needs."""
        today = self.shell.register.find(Visit, site=site.uid, date=self.shell.today)
        if today:
            self.shell.open_bench(visit=today[-1].uid)
            return

        def started(visit: Visit | None) -> None:
            if visit is not None:
                self.shell.open_bench(visit=visit.uid)

        self.app.push_screen(FormScreen(VisitForm(self.desk, site)), started)

    def action_visits(self) -> None:
        """Open the list of visits."""
        site = self.site_or_say()
        if site is not None:
            self.shell.open_screen("visits", site=site.uid)

    def action_change_site(self) -> None:
        """Change the site."""
        site = self.site_or_say()
        if site is not None:
            self.ask_for_site_record(site, lambda _: None)

    def action_print_register(self) -> None:
        """Ask where the register of the site is written, and write it."""
        site = self.site_or_say()
        if site is None:
            return
        register, today = self.shell.register, self.shell.today
        what = f"The register of {site.name}: every item with its latest result, failures first."
        form = FileForm(self.desk, title="Print register", stem=f"register-{site.prefix.lower()}", said=(what,))

        def write_to(file: Path | None) -> None:
            if file is None:
                return

            def write(progress: Progress) -> Path:
                with register.reopen() as own:
                    return write_site_register(own, site=site.uid, out=file, today=today, progress=progress)

            self.app.push_screen(LongWorkScreen(f"Writing {file.name}", write), self.written)

        self.app.push_screen(FormScreen(form), write_to)

    def written(self, done: Done[Path] | None) -> None:
        """Say where the document is."""
        if done is not None:
            self.shell.say(f"Written: {done.value}")

    def action_records(self, kind: str) -> None:
        """Ask which record of a kind is to be changed, or a new one added."""
        register = self.shell.register
        choices = {
            "client": client_choices,
            "person": person_choices,
            "instrument": instrument_choices,
            "category": category_choices,
        }[kind](register)
        answers = [Answer(_NEW, f"+ a new {kind}"), *(Answer(each.value, each.title) for each in choices if each.value)]

        def picked(key: str | None) -> None:
            if key is not None:
                form = self._form_of(kind, None if key == _NEW else Uid(key))
                self.app.push_screen(FormScreen(form), lambda kept: self.load() if kept else None)

        self.app.push_screen(PickScreen(f"Which {kind}?", answers), picked)

    def _form_of(self, kind: str, uid: Uid | None) -> Form[Any]:
        get = self.shell.register.get
        if kind == "client":
            return ClientForm(self.desk, get(Client, uid) if uid else None)
        if kind == "person":
            return PersonForm(self.desk, get(Person, uid) if uid else None)
        if kind == "instrument":
            return InstrumentForm(self.desk, get(Instrument, uid) if uid else None)
        return CategoryForm(self.desk, get(Category, uid) if uid else None)
