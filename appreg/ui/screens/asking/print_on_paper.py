"""Asks for a printer without holding the screen, has a document drawn and printed, and says what took it."""

from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from appreg.clock import local_minute
from appreg.core.values.uids import Uid
from appreg.paper.documents.document_outcome import glyph_sentence
from appreg.printers import Printer, PrintOrder, list_printers
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.print_drawn import Drawn, PrintedDrawing, print_drawn
from appreg.ui.screens.asking.pick_screen import Answer, PickScreen
from appreg.ui.screens.asking.printer_form import PrinterForm, printer_words
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandScreen

Draw = Callable[[Register, Path, Progress | None], Drawn]
_NONE = "No printer is set up on this computer; set one up in CUPS, or write a file."


def with_printers(screen: CommandScreen[Any], then: Callable[[Sequence[Printer]], None]) -> None:
    """Ask CUPS which printers there are, in a thread; `then` gets them where there are any."""

    def listed(done: Done[tuple[Printer, ...]] | None) -> None:
        if done is not None and done.value:
            then(done.value)
        elif done is not None:
            screen.shell.say(_NONE)

    screen.app.push_screen(LongWorkScreen("Asking for the printers", list_printers), listed)


def ask_for_printer(
    screen: CommandScreen[Any], *, usual: str, said: Sequence[str], then: Callable[[PrintOrder], None]
) -> None:
    """Ask which printer, how many copies and which pages; `then` gets the order, unless the form is left."""

    def chosen(order: PrintOrder | None) -> None:
        if order is not None:
            then(order)

    def offer(printers: Sequence[Printer]) -> None:
        desk = Desk(screen.shell.register, screen.shell.who, screen.shell.present_day)
        screen.app.push_screen(FormScreen(PrinterForm(desk, printers, usual=usual, said=said)), chosen)

    with_printers(screen, offer)


def pick_printer(screen: CommandScreen[Any], question: str, *, now: str, then: Callable[[str], None]) -> None:
    """Ask for one printer by its name; empty is the system's usual one."""

    def picked(name: str | None) -> None:
        if name is not None:
            then(name)

    def offer(printers: Sequence[Printer]) -> None:
        answers = [Answer("", "the system's usual one"), *(Answer(each.name, printer_words(each)) for each in printers)]
        screen.app.push_screen(PickScreen(question, answers, now=now), picked)

    with_printers(screen, offer)


def print_on_paper(screen: CommandScreen[Any], draw: Draw, *, what: str, site: Uid | None) -> None:
    """Ask for the printer of a document, draw and print it while a bar shows that, and say which job it is."""
    print_as_moved(screen, lambda _printer: draw, what=what, site=site, usual=screen.shell.settings.document_printer)


def print_as_moved(
    screen: CommandScreen[Any],
    draw_for: Callable[[str], Draw],
    *,
    what: str,
    site: Uid | None,
    usual: str,
    then: Callable[[], None] = lambda: None,
) -> None:
    """The same for what is drawn otherwise for each printer; `usual` is the one that is offered first, `then` is called once it was taken."""
    shell = screen.shell
    register, who, today = shell.register, shell.who, shell.today

    def send(order: PrintOrder) -> None:
        def work(progress: Progress) -> PrintedDrawing:
            with register.reopen() as own:
                return print_drawn(
                    own,
                    who,
                    order,
                    lambda file, told: draw_for(order.printer)(own, file, told),
                    what=what,
                    site=site,
                    today=today,
                    at=local_minute(),
                    progress=progress,
                )

        screen.app.push_screen(LongWorkScreen(f"Printing on {order.printer}", work), said)

    def said(done: Done[PrintedDrawing] | None) -> None:
        if done is not None:
            job, drawn = done.value.job, done.value.drawn
            shell.say(f"{job.printer} took it as {job.job}. {glyph_sentence(drawn.summary.missing_glyphs)}".rstrip())
            for doubt in drawn.doubts:
                shell.warn(doubt)
            then()

    begun = f"{what[:1].upper()}{what[1:]} goes to the printer; no file is kept."
    ask_for_printer(screen, usual=usual, said=(begun,), then=send)
