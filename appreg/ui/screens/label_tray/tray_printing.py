"""Draws the sheets of the label tray into a file, or has them drawn and printed on a printer."""

from collections.abc import Callable
from pathlib import Path
from typing import Any

from msgspec import Struct

from appreg.clock import local_minute
from appreg.core.values.print_offsets import offset_kept
from appreg.paper.labels.label_layout import Start
from appreg.paper.labels.label_stock import Stock
from appreg.printers import PrintOrder
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.choose_labels import LabelChoice
from appreg.tasks.documents.print_drawn import PrintedSheets, print_drawn_labels
from appreg.tasks.documents.print_labels import PrintedLabels, print_labels
from appreg.ui.screens.label_tray.tray_words import labels
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.shell.command_screen import CommandScreen


class WantedSheets(Struct, frozen=True, kw_only=True):
    """What is printed, as the tray is set."""

    stock: Stock
    begin: Start
    choice: LabelChoice
    with_next_date: bool
    count: int
    """Labels, as far as is known before they are drawn."""


Screen = CommandScreen[Any]
SheetsDone = Callable[[Done[PrintedLabels] | None], None]
PaperDone = Callable[[Done[PrintedSheets] | None], None]


def write_sheets(screen: Screen, wanted: WantedSheets, out: Path, *, replace: bool, then: SheetsDone) -> None:
    """Write the sheets into a file while a bar shows how far it is; they wait until somebody says that they came out."""
    draw = _drawing(screen, wanted)

    def write(progress: Progress) -> PrintedLabels:
        with screen.shell.register.reopen() as register:
            return draw(register, out, replace, progress)

    screen.app.push_screen(LongWorkScreen(f"Printing {labels(wanted.count)}", write), then)


def print_sheets(screen: Screen, wanted: WantedSheets, order: PrintOrder, *, then: PaperDone) -> None:
    """Print the sheets; they count as printed once the printer's queue took them."""
    shell, draw = screen.shell, _drawing(screen, wanted, order.printer)
    who, today = shell.who, shell.today

    def work(progress: Progress) -> PrintedSheets:
        with shell.register.reopen() as register:
            return print_drawn_labels(
                register,
                who,
                order,
                lambda file, told: draw(register, file, False, told),
                site=wanted.choice.site,
                today=today,
                at=local_minute(),
                progress=progress,
            )

    screen.app.push_screen(LongWorkScreen(f"Printing {labels(wanted.count)} on {order.printer}", work), then)


def _drawing(
    screen: Screen, wanted: WantedSheets, printer: str = ""
) -> Callable[[Register, Path, bool, Progress | None], PrintedLabels]:
    """What draws the sheets, moved as that printer wants them."""
    who, today = screen.shell.who, screen.shell.today
    offset = offset_kept(screen.shell.settings.printer_offsets, printer)

    def draw(register: Register, out: Path, replace: bool, progress: Progress | None) -> PrintedLabels:
        return print_labels(
            register,
            who,
            out=out,
            replace_file=replace,
            stock=wanted.stock,
            offset=offset,
            start=wanted.begin.at,
            used=wanted.begin.used,
            choice=wanted.choice,
            with_next_date=wanted.with_next_date,
            count_as_printed=False,
            today=today,
            progress=progress,
        )

    return draw
