"""Chooses among the documents that are declared of what is at hand, and writes the one chosen."""

from collections.abc import Sequence
from pathlib import Path
from typing import Any, Final

from msgspec.structs import replace as with_changes

from appreg.paper.documents.document_outcome import DocumentSummary, glyph_sentence
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.name_paper import paper_site, paper_stem, paper_words
from appreg.tasks.documents.paper_kinds import CSV, PDF, XLSX, Ask, Asked, Of, PaperKind, paper_named, papers_of
from appreg.tasks.documents.print_drawn import Drawn
from appreg.tasks.documents.write_paper import issue_paper, write_paper
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.paper_form import PaperForm
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.asking.print_on_paper import print_on_paper
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandScreen

_ISSUED: Final = "issued"
_FORMS: Final = {
    PDF: "pages to read and to print (PDF)",
    XLSX: "a workbook for spreadsheets (XLSX)",
    CSV: "a table for other programs (CSV)",
    _ISSUED: "issued: pages with a number, by which they are printed again as they were",
}
_NUMBERED: Final = "It gets a number, and is printed again as it was by that, whatever changes later."


def choose_document(screen: CommandScreen[Any], of: Of, asked: Asked) -> None:
    """Ask which document, in which form and where to; then write it while a bar shows how far it is."""
    papers = papers_of(of)

    def picked(name: str | None) -> None:
        if name is not None:
            _choose_form(screen, paper_named(name), asked)

    answers = [Answer(each.name, f"{each.label}: {each.help}") for each in papers]
    screen.app.push_screen(PickScreen("Which document?", answers), picked)


def _choose_form(screen: CommandScreen[Any], paper: PaperKind, asked: Asked) -> None:
    forms = _forms_of(paper)

    def picked(form: str | None) -> None:
        if form is not None:
            _ask_and_write(screen, paper, asked, form)

    if len(forms) == 1:
        picked(forms[0])
    else:
        screen.app.push_screen(
            PickScreen(
                f"{paper.label[:1].upper()}{paper.label[1:]}: as what?",
                [Answer(each, _FORMS.get(each, each)) for each in forms],
            ),
            picked,
        )


def _forms_of(paper: PaperKind) -> Sequence[str]:
    return (*paper.endings, *((_ISSUED,) if paper.issues else ()))


def _ask_and_write(screen: CommandScreen[Any], paper: PaperKind, asked: Asked, form: str) -> None:
    shell = screen.shell
    register, today, who = shell.register, shell.today, shell.who
    if Ask.DETAILS in paper.asks:
        # An issued one has its readings unless a person says otherwise, one that is only printed the other way round.
        asked = with_changes(asked, details=form == _ISSUED)
    what = paper_words(register, paper, asked)
    said = [f"{what[:1].upper()}{what[1:]}: {paper.help}.", *([_NUMBERED] if form == _ISSUED else ())]
    asking = PaperForm(
        Desk(register, who, shell.present_day),
        paper,
        asked,
        stem=paper_stem(register, paper, asked),
        suffix=PDF if form == _ISSUED else form,
        said=said,
    )

    def draw(own: Register, file: Path, progress: Progress | None, *, replace: bool = False) -> Drawn:
        wanted = asking.asked
        if form == _ISSUED:
            issued = issue_paper(own, who, paper, wanted, out=file, replace=replace, today=today, progress=progress)
            return Drawn(summary=issued.summary, document=issued.document.uid)
        return Drawn(summary=write_paper(own, paper, wanted, out=file, replace=replace, today=today, progress=progress))

    def write_to(file: Path, replace: bool) -> None:
        def write(progress: Progress) -> DocumentSummary:
            with register.reopen() as own:
                return draw(own, file, progress, replace=replace).summary

        screen.app.push_screen(LongWorkScreen(f"Writing {file.name}", write), lambda done: _say(screen, file, done))

    def on_paper() -> None:
        print_on_paper(screen, draw, what=what, site=paper_site(register, asked))

    ask_for_file(screen, asking, then=write_to, on_paper=on_paper if form in {PDF, _ISSUED} else None)


def _say(screen: CommandScreen[Any], file: Path, done: Done[DocumentSummary] | None) -> None:
    if done is not None:
        screen.shell.say(f"Written: {file}. {glyph_sentence(done.value.missing_glyphs)}".rstrip(". "))
