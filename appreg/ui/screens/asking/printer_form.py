"""Asks which printer, how many copies and which pages; nothing is printed yet."""

from collections.abc import Sequence

from appreg.errors import asked_for
from appreg.printers import Printer, PrintOrder, checked_copies, checked_pages
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import Choice, FormField, TypedForm


class PrinterForm(Form[PrintOrder]):
    """Kept, it gives the order; the document is drawn and printed after that."""

    title = "Print on paper"

    def __init__(self, desk: Desk, printers: Sequence[Printer], *, usual: str, said: Sequence[str]) -> None:
        """`usual` is the printer that is offered first; empty: the system's usual one."""
        super().__init__(desk)
        self._printers, self._usual, self._said = printers, usual, said

    def fields(self) -> Sequence[FormField]:
        """Printer, copies and pages."""
        known = {each.name for each in self._printers}
        of_system = next((each.name for each in self._printers if each.is_usual), "")
        choices = tuple(Choice(each.name, printer_words(each)) for each in self._printers)
        first = self._usual if self._usual in known else of_system
        return (
            FormField(name="printer", label="Printer", value=first, choices=choices),
            FormField(name="copies", label="Copies", value="1", required=True),
            FormField(name="pages", label="Pages", hint="empty: all"),
        )

    def keep(self, typed: TypedForm) -> PrintOrder:
        """The order, made sure of."""
        copies = typed.whole("copies", "copies")
        with asked_for("copies"):
            checked = checked_copies(1 if copies is None else copies)
        with asked_for("pages"):
            return PrintOrder(
                printer=typed.values["printer"], copies=checked, pages=checked_pages(typed.values["pages"])
            )

    def cautions(self, typed: TypedForm) -> Sequence[str]:
        """What is about to be printed, and what keeps the printer from it."""
        troubles = {each.name: each.trouble for each in self._printers}
        trouble = troubles.get(typed.values["printer"], "")
        return (*self._said, *([f"{typed.values['printer']} {trouble}."] if trouble else []))


def printer_words(printer: Printer) -> str:
    """A printer among others."""
    beside = [printer.trouble] if printer.trouble else ["usual"] if printer.is_usual else []
    return " · ".join((printer.name, *beside))
