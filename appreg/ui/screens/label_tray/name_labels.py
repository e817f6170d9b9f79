"""Labels without an inspection, from the tray: tags for items to come, locations, and the calibration page of a stock."""

from collections.abc import Callable, Sequence
from functools import partial
from pathlib import Path
from typing import Any

from msgspec import Struct

from appreg.core.values.print_offsets import Offset, offset_kept
from appreg.core.values.uids import Uid
from appreg.errors import asked_for
from appreg.paper.documents.document_outcome import DocumentSummary
from appreg.paper.labels.label_content import NameLabel
from appreg.paper.labels.label_layout import Start
from appreg.paper.labels.label_stock import Stock
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.print_calibration import print_calibration
from appreg.tasks.documents.print_drawn import Drawn
from appreg.tasks.documents.print_labels import LeftOut, PrintedLabels
from appreg.tasks.documents.print_names import labels_beforehand, labels_of_locations, print_names
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.print_on_paper import Draw, print_as_moved
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import FormField, TypedForm
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.label_tray.tray_words import glyph_words, labels, printed_words
from appreg.ui.shell.command_screen import CommandScreen


class NamedLabels(Struct, frozen=True, kw_only=True):
    """Labels that are to be printed, and what is left out of them."""

    labels: Sequence[NameLabel]
    site: Uid
    left_out: tuple[LeftOut, ...] = ()


class TagsForm(Form[NamedLabels]):
    """Asks which tags are printed before items bear them."""

    title = "Tags beforehand"

    def __init__(self, desk: Desk, site: Uid) -> None:
        """`site`: that of the items to come."""
        super().__init__(desk)
        self._site = site

    def fields(self) -> Sequence[FormField]:
        """The tags on one line."""
        return (FormField(name="tags", label="Tags", required=True, hint="HR-101..HR-140"),)

    def keep(self, typed: TypedForm) -> NamedLabels:
        """Their labels; nothing is written yet."""
        with asked_for("tags"):
            found, left_out = labels_beforehand(self.desk.register, site=self._site, tags=typed.values["tags"])
        if not found:
            raise typed.refused("tags", "every one of them is borne by an item, or was; give others.")
        return NamedLabels(labels=found, site=self._site, left_out=left_out)


class NameLabelPrinting:
    """Asks what is wanted and where to, then writes it onto the stock of the tray."""

    def __init__(
        self, screen: CommandScreen[Any], desk: Desk, stock: Stock, begin: Start, taken: Callable[[PrintedLabels], None]
    ) -> None:
        """`begin`: where the first sheet is free; `taken` is told of labels that a printer took."""
        self._screen, self._desk, self._stock, self._begin, self._taken = screen, desk, stock, begin, taken

    def tags(self, site: Uid) -> None:
        """Ask for tags of a site, then for the file."""
        self._screen.app.push_screen(FormScreen(TagsForm(self._desk, site)), self._ask_where)

    def locations(self, site: Uid) -> None:
        """The labels of all locations of a site."""
        self._ask_where(NamedLabels(labels=labels_of_locations(self._desk.register, site=site), site=site))

    def calibration(self) -> None:
        """A page with crosses at the corners of the labels, moved as the settings say for its printer."""

        def write(out: Path, replace: bool) -> None:
            self._draw_calibration(out, self._screen.shell.settings.label_printer, replace=replace)
            self._screen.shell.say(
                f"The calibration page is {out}: print it at full size, and hold it over the labels."
            )

        def draw_for(printer: str) -> Draw:
            def draw(_register: Register, out: Path, _progress: Progress | None) -> Drawn:
                self._draw_calibration(out, printer)
                return Drawn(summary=DocumentSummary(items=0, pages=1, missing_glyphs=()))

            return draw

        what = f"a calibration page for {self._stock.title}"
        on_paper = partial(self._print, draw_for, what, None)
        self._ask(f"Calibration page · {self._stock.title}", "calibration", write, on_paper)

    def _draw_calibration(self, out: Path, printer: str, *, replace: bool = False) -> None:
        offset = self._offset(printer)
        print_calibration(self._stock, out=out, replace=replace, printer=printer, offset=offset, today=self._desk.today)

    def _ask_where(self, named: NamedLabels | None) -> None:
        if named is None:
            return

        def write(out: Path, replace: bool) -> None:
            printed = self._draw_names(named, out, "", replace=replace)
            self._screen.shell.say(printed_words(printed))
            for doubt in (*printed.lacking, glyph_words(printed)):
                if doubt:
                    self._screen.shell.warn(doubt)

        drawn: list[PrintedLabels] = []

        def draw_for(printer: str) -> Draw:
            def draw(_register: Register, out: Path, _progress: Progress | None) -> Drawn:
                made = self._draw_names(named, out, printer)
                drawn.append(made)
                summary = DocumentSummary(items=made.count, pages=made.sheets, missing_glyphs=made.missing_glyphs)
                return Drawn(summary=summary, doubts=made.lacking)

            return draw

        count = labels(len(named.labels))
        on_paper = partial(
            self._print, draw_for, f"{count} without an inspection", named.site, lambda: self._taken(drawn[-1])
        )
        said = " ".join(each.sentence for each in named.left_out)
        self._ask(f"{count} · {self._stock.title}", "names", write, on_paper, said)

    def _draw_names(self, named: NamedLabels, out: Path, printer: str, *, replace: bool = False) -> PrintedLabels:
        return print_names(
            named.labels,
            out=out,
            replace_file=replace,
            stock=self._stock,
            offset=self._offset(printer),
            start=self._begin.at,
            used=self._begin.used,
            left_out=named.left_out,
            today=self._desk.today,
        )

    def _offset(self, printer: str) -> Offset:
        return offset_kept(self._screen.shell.settings.printer_offsets, printer)

    def _print(
        self, draw_for: Callable[[str], Draw], what: str, site: Uid | None, then: Callable[[], None] = lambda: None
    ) -> None:
        usual = self._screen.shell.settings.label_printer
        print_as_moved(self._screen, draw_for, what=what, site=site, usual=usual, then=then)

    def _ask(
        self, what: str, stem: str, write: Callable[[Path, bool], None], on_paper: Callable[[], None], more: str = ""
    ) -> None:
        form = FileForm(self._desk, title="Print labels", stem=stem, said=tuple(filter(None, (what, more))))
        ask_for_file(
            self._screen,
            form,
            then=lambda out, replace: self._screen.attempt(lambda: write(out, replace)) or None,
            on_paper=on_paper,
        )
