"""The work of a site's commands; imported when one is first used, since forms and papers cost the first frame."""

from collections.abc import Callable
from pathlib import Path
from typing import Any, Final, Protocol

from appreg.core.records.kept_records import Appliance, Category, Client, Instrument, Person, Site, Visit
from appreg.core.records.planning_records import Crew, DistrictTravel
from appreg.core.values.uids import Uid
from appreg.paper.documents.document_outcome import DocumentSummary, glyph_sentence
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.issue_document import issue_register
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.print_drawn import Drawn
from appreg.tasks.documents.write_site_register import write_site_register
from appreg.tasks.inspecting.choose_visit import visit_of_day
from appreg.tasks.records.keep_firm import own_firm
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.asking.print_on_paper import print_on_paper
from appreg.ui.screens.forms.category_form import CategoryForm
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.job_forms import FirmForm
from appreg.ui.screens.forms.people_forms import ClientForm, InstrumentForm, PersonForm
from appreg.ui.screens.forms.planning_forms import CrewForm, SiteDaysForm, WayForm
from appreg.ui.screens.forms.record_choices import (
    category_choices,
    client_choices,
    crew_choices,
    instrument_choices,
    person_choices,
    way_choices,
)
from appreg.ui.screens.forms.site_forms import SiteForm
from appreg.ui.screens.forms.visit_form import VisitForm
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.key_words import key_of
from appreg.ui.shell.places import make_screen

Screen = CommandScreen[Any]

_NEW: Final = "new"


class DrawOver(Protocol):
    """Draws a document into a file; one that is there gives way only with `replace`."""

    def __call__(self, own: Register, file: Path, progress: Progress | None, /, *, replace: bool = False) -> Drawn:
        """Draw it."""
        ...


ISSUED: Final = "It gets a number, and is printed again as it was by that, whatever changes later."
"""What is said of a document that is about to be issued."""
_CHOICES: Final = {
    "client": client_choices,
    "person": person_choices,
    "instrument": instrument_choices,
    "category": category_choices,
    "crew": crew_choices,
    "way": way_choices,
}
_CALLED: Final = {"way": "way between districts"}
"""Kinds that are called otherwise than they are named here."""


def desk_of(screen: Screen) -> Desk:
    """What forms work with."""
    return Desk(screen.shell.register, screen.shell.who, screen.shell.present_day)


def ask_for_site(screen: Screen, existing: Site | None, kept: Callable[[Site | None], None]) -> None:
    """Open the form of a site."""
    screen.app.push_screen(FormScreen(SiteForm(desk_of(screen), existing)), kept)


def ask_for_days(screen: Screen, site: Site) -> None:
    """Open the form of the days on which a site can be visited."""
    form = SiteDaysForm(desk_of(screen), screen.shell.register.get(Site, site.uid))
    screen.app.push_screen(FormScreen(form), lambda kept: screen.load() if kept else None)


def walk_round(screen: Screen, site: Site, tag: str = "") -> None:
    """Open the walk-round, its first item with a tag it bears already; once items were added, go on to the Bench."""

    def walked(bench_next: bool | Uid | None) -> None:
        if bench_next:
            to_bench(screen, site, item=bench_next if isinstance(bench_next, str) else None)

    screen.app.push_screen(make_screen("walk_round", site=site.uid, tag=tag), walked)


def visit(screen: Screen, site: Site) -> None:
    """Open the Bench at a site that has items."""
    if screen.shell.register.has(Appliance, site=site.uid):
        to_bench(screen, site)
    else:
        screen.shell.say(f"{site.name} has no items yet: walk round first, with {key_of('site.walk_round', 'a')}.")


def to_bench(screen: Screen, site: Site, item: Uid | None = None) -> None:
    """Open the Bench on today's visit, at an item or at the first to do, or ask for what a new visit needs."""
    shell = screen.shell
    today = visit_of_day(shell.register, site.uid, shell.today)
    if today is not None:
        shell.open_bench(visit=today.uid, appliance=item)
        return

    def started(new: Visit | None) -> None:
        if new is not None:
            shell.open_bench(visit=new.uid, appliance=item)

    screen.app.push_screen(FormScreen(VisitForm(desk_of(screen), site)), started)


def print_register(screen: Screen, site: Site, *, issue: bool = False) -> None:
    """Ask where the register of the site is written, and write it; with `issue` as an issued document."""
    today, who = screen.shell.today, screen.shell.who
    said = [f"The register of {site.name}: every item with its latest result, failures first."]
    said += [ISSUED] if issue else []
    title = "Issue register" if issue else "Print register"
    form = FileForm(desk_of(screen), title=title, stem=f"register-{site.prefix.lower()}", said=said)

    def draw(own: Register, file: Path, progress: Progress | None, *, replace: bool = False) -> Drawn:
        if issue:
            issued = issue_register(
                own, who, Asked(site=site.uid), out=file, replace=replace, today=today, progress=progress
            )
            return Drawn(summary=issued.summary, document=issued.document.uid)
        return Drawn(
            summary=write_site_register(own, site=site.uid, out=file, replace=replace, today=today, progress=progress)
        )

    ask_and_draw(screen, form, draw, what=f"the register of {site.name}", site=site.uid)


def ask_and_draw(screen: Screen, form: FileForm, draw: DrawOver, *, what: str, site: Uid) -> None:
    """Ask where a document goes, a file or a printer, and draw it there."""
    register = screen.shell.register

    def write_to(file: Path, replace: bool) -> None:
        def write(progress: Progress) -> DocumentSummary:
            with register.reopen() as own:
                return draw(own, file, progress, replace=replace).summary

        write_document(screen, file, write)

    ask_for_file(screen, form, then=write_to, on_paper=lambda: print_on_paper(screen, draw, what=what, site=site))


def write_document(screen: Screen, file: Path, write: Callable[[Progress], DocumentSummary]) -> None:
    """Write a document while a bar shows how far it is, and say where it is."""

    def written(done: Done[DocumentSummary] | None) -> None:
        if done is not None:
            screen.shell.say(f"Written: {file}. {glyph_sentence(done.value.missing_glyphs)}".rstrip(". "))

    screen.app.push_screen(LongWorkScreen(f"Writing {file.name}", write), written)


def records(screen: Screen, kind: str) -> None:
    """Ask which record of a kind is to be changed, or a new one added."""
    choices, called = _CHOICES[kind](screen.shell.register), _CALLED.get(kind, kind)
    answers = [Answer(_NEW, f"+ a new {called}"), *(Answer(each.value, each.title) for each in choices if each.value)]

    def picked(key: str | None) -> None:
        if key is not None:
            form = _form_of(screen, kind, None if key == _NEW else Uid(key))
            screen.app.push_screen(FormScreen(form), lambda kept: screen.load() if kept else None)

    screen.app.push_screen(PickScreen(f"Which {called}?", answers), picked)


def ask_for_firm(screen: Screen) -> None:
    """Open the form of the firm that does the work."""
    form = FirmForm(desk_of(screen), own_firm(screen.shell.register))
    screen.app.push_screen(FormScreen(form), lambda kept: screen.load() if kept else None)


def _form_of(screen: Screen, kind: str, uid: Uid | None) -> Form[Any]:
    get, desk = screen.shell.register.get, desk_of(screen)
    if kind == "client":
        return ClientForm(desk, get(Client, uid) if uid else None)
    if kind == "person":
        return PersonForm(desk, get(Person, uid) if uid else None)
    if kind == "instrument":
        return InstrumentForm(desk, get(Instrument, uid) if uid else None)
    if kind == "crew":
        return CrewForm(desk, get(Crew, uid) if uid else None)
    if kind == "way":
        return WayForm(desk, get(DistrictTravel, uid) if uid else None)
    return CategoryForm(desk, get(Category, uid) if uid else None)
