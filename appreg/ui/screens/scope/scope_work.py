"""Writes scopes of work and compares those sent out; imported when first used, since papers cost the first frame."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any, Final

from appreg.core.records.kept_records import Site
from appreg.core.values.uids import Uid
from appreg.paper.documents.document_outcome import DocumentSummary, glyph_sentence
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.schedule.scope_of_work import ScopeComparison, ScopeOfWork, SentScope
from appreg.tasks.documents.print_drawn import Drawn
from appreg.tasks.documents.write_scope import ENDINGS, PDF, write_scope
from appreg.tasks.planning.compare_scope import compare_scope
from appreg.tasks.planning.draw_up_scope import scope_of_items, scope_of_sites
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.asking.print_on_paper import print_on_paper
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.screens.scope.compared_scope_screen import CompareForm
from appreg.ui.shell.command_screen import CommandScreen

Screen = CommandScreen[Any]

_FORMS: Final = {
    ".csv": "a table for other programs (CSV), to have quoted and to compare with",
    ".xlsx": "a workbook for spreadsheets (XLSX), to have quoted and to compare with",
    ".json": "JSON, to compare with",
    ".pdf": "pages to read (PDF)",
}


def write_scope_of_sites(screen: Screen, sites: Sequence[Uid]) -> None:
    """Ask for the form and the file, and write what is wanted at some sites."""
    register, today = screen.shell.register, screen.shell.today
    stem = f"scope-{register.get(Site, sites[0]).prefix.lower()}" if len(sites) == 1 else f"scope-{len(sites)}-sites"
    _draw_up(screen, stem, lambda own, progress: scope_of_sites(own, sites=sites, today=today, progress=progress))


def write_scope_of_items(screen: Screen, items: Sequence[Uid]) -> None:
    """The same of some items alone."""
    today = screen.shell.today
    _draw_up(
        screen, "scope-items", lambda own, progress: scope_of_items(own, items=items, today=today, progress=progress)
    )


def compare_sent_scope(screen: Screen) -> None:
    """Ask for the file of a scope that was sent out, and show what came of it."""
    register, today = screen.shell.register, screen.shell.today

    def read(sent: SentScope | None) -> None:
        if sent is None:
            return

        def work(progress: Progress) -> ScopeComparison:
            with register.reopen() as own:
                return compare_scope(own, sent, today=today, progress=progress)

        screen.app.push_screen(LongWorkScreen("Comparing with the register", work), compared)

    def compared(done: Done[ScopeComparison] | None) -> None:
        if done is not None:
            screen.shell.open_screen("compared_scope", comparison=done.value)

    screen.app.push_screen(FormScreen(CompareForm(_desk_of(screen))), read)


def _desk_of(screen: Screen) -> Desk:
    return Desk(screen.shell.register, screen.shell.who, screen.shell.present_day)


def _draw_up(screen: Screen, stem: str, draw_up: Callable[[Register, Progress], ScopeOfWork]) -> None:
    """What is wanted is drawn up and told before anything is asked: where nothing is, that is said."""
    register = screen.shell.register

    def work(progress: Progress) -> ScopeOfWork:
        with register.reopen() as own:
            return draw_up(own, progress)

    def drawn_up(done: Done[ScopeOfWork] | None) -> None:
        if done is not None:
            _ask_and_write(screen, stem, done.value)

    screen.app.push_screen(LongWorkScreen("Drawing up the scope of work", work), drawn_up)


def _ask_and_write(screen: Screen, stem: str, scope: ScopeOfWork) -> None:
    def picked(ending: str | None) -> None:
        if ending is not None:
            form = FileForm(
                _desk_of(screen),
                title="Scope of work",
                stem=stem,
                said=(f"{scope.words}.",),
                suffix=ending,
            )
            ask_for_file(
                screen,
                form,
                then=lambda file, replace: _write(screen, scope, file, replace=replace),
                on_paper=(lambda: _print(screen, scope)) if ending == PDF else None,
            )

    answers = [Answer(ending, _FORMS[ending]) for ending in ENDINGS]
    screen.app.push_screen(PickScreen(f"Scope of work: {scope.words}. As what?", answers), picked)


def _print(screen: Screen, scope: ScopeOfWork) -> None:
    def draw(_register: Register, file: Path, progress: Progress | None) -> Drawn:
        return Drawn(summary=write_scope(scope, file, progress=progress))

    print_on_paper(screen, draw, what=f"the scope of work, {scope.words}", site=None)


def _write(screen: Screen, scope: ScopeOfWork, file: Path, *, replace: bool) -> None:
    def write(progress: Progress) -> DocumentSummary:
        return write_scope(scope, file, replace=replace, progress=progress)

    def written(done: Done[DocumentSummary] | None) -> None:
        if done is not None:
            screen.shell.say(f"Written: {file}. {glyph_sentence(done.value.missing_glyphs)}".rstrip(". "))

    screen.app.push_screen(LongWorkScreen(f"Writing {file.name}", write), written)
