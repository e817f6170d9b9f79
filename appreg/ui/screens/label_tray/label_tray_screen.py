"""Label tray: what waits to be printed, where on the sheet it will lie, and how it will look."""

import os
from collections.abc import Callable, Iterable
from dataclasses import dataclass
from datetime import date
from pathlib import Path

from textual import on, work
from textual.containers import Horizontal, Vertical
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import get_current_worker

from appreg.clock import Instant
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.paper.codes.qr_codes import half_blocks, qr_matrix
from appreg.paper.labels.label_content import LabelText, small_lines, verdict_words
from appreg.paper.labels.label_layout import Start, has_free
from appreg.paper.labels.label_stock import Stock
from appreg.paper.labels.label_words import LabelWords
from appreg.tasks.desk.find_stocks import stocks_at_hand
from appreg.tasks.documents.choose_labels import LabelChoice
from appreg.tasks.documents.confirm_printed import ConfirmedLabels
from appreg.tasks.documents.print_drawn import PrintedSheets
from appreg.tasks.documents.print_labels import PrintedLabels, left_out_of
from appreg.tasks.documents.tell_label_lacks import lack_sentences
from appreg.tasks.standing.queue_labels import WaitingLabel, remove_from_tray, waiting_labels
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows, RowSearch
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.pick_site import ask_for_site, site_words
from appreg.ui.screens.asking.print_on_paper import ask_for_printer
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.label_tray.came_out_form import CameOutForm
from appreg.ui.screens.label_tray.destroy_screen import DestroyScreen
from appreg.ui.screens.label_tray.name_labels import NameLabelPrinting
from appreg.ui.screens.label_tray.tray_commands import TRAY_COMMANDS
from appreg.ui.screens.label_tray.tray_printing import WantedSheets, print_sheets, write_sheets
from appreg.ui.screens.label_tray.tray_search import SearchedLabels
from appreg.ui.screens.label_tray.tray_words import (
    COUNTED,
    FULL_SIZE,
    TRAY_COLUMNS,
    glyph_words,
    key_of,
    labels,
    order_words,
    printed_words,
)
from appreg.ui.screens.long_work.long_work_screen import Done
from appreg.ui.shell.key_words import key_of as named_key
from appreg.ui.widgets.code_preview import CodePreview, LabelPicture
from appreg.ui.widgets.sheet_map import LEGEND, SheetMap


class LabelTrayScreen(ListScreen[None]):
    """The labels that wait, the sheet they go onto, and the one under the cursor as it will look."""

    CSS_PATH = "label_tray_screen.tcss"
    TITLE_IN_HELP = "Label tray"
    FOLLOWS = True
    DECLARED = TRAY_COMMANDS

    @dataclass
    class _Cut(Message):
        label: LabelText
        lines: tuple[str, ...]

    def __init__(self) -> None:
        super().__init__()
        at_hand = stocks_at_hand(os.environ)
        self._stocks, self._stock_faults = tuple(at_hand.stocks.values()), at_hand.faults
        self._stock = self._stocks[0]
        self._with_next_date = False
        self._as_set: tuple[str, bool] | None = None
        """What the settings said last: stock and next date."""
        self._site: Uid | None = None
        self._every: tuple[WaitingLabel, ...] = ()
        """Those that wait, of every site."""
        self._waiting: tuple[WaitingLabel, ...] = ()
        self._read: tuple[Instant | None, date] | None = None
        """What the tray was read after and for: the last line of the journal, and the day."""
        self._rows: MemoryRows[WaitingLabel] = MemoryRows(TRAY_COLUMNS, (), key=key_of)
        self._words: LabelWords | None = None

    def make_list(self) -> VirtualTable:
        """The labels that wait."""
        return VirtualTable(TRAY_COLUMNS, empty="no label waits", unit="labels")

    def compose_body(self) -> Iterable[Widget]:
        """List and sheet at the left with the order beneath, the label at the right."""
        with Horizontal():
            with Vertical(id="left"):
                with Horizontal(id="upper"):
                    yield from super().compose_body()
                    with Vertical(id="sheet"):
                        yield Static("first sheet", id="sheet-title", markup=False)
                        yield SheetMap()
                        yield Static(LEGEND, id="legend", markup=False)
                yield Static(id="order", markup=False)
            yield CodePreview()

    def load(self) -> None:
        """Read the tray; stock and next date start as the settings say."""
        said = (self.shell.settings.label_stock, self.shell.settings.next_date_on_labels)
        if said != self._as_set:
            self._as_set = said
            self._stock = self._stock_set(said[0])
            self._with_next_date = said[1]
        register, today = self.shell.register, self.shell.today
        now = register.last_instant(), today
        if now != self._read:
            self._read, self._every = now, waiting_labels(register, today=today)
        self._waiting = tuple(each for each in self._every if self._site in {None, each.site.uid})
        self._rows = MemoryRows(TRAY_COLUMNS, self._waiting, key=key_of, search=self._search)
        self.table.empty = self.shell.in_present_keys(_empty_words(0 if self._waiting else len(self._every)))
        self.pane.show(self._rows)
        self._show_order()

    def _stock_set(self, stock_id: str) -> Stock:
        """The stock of the settings; where it is not there the first of all, and that is said with its reason."""
        found = next((stock for stock in self._stocks if stock.id == stock_id), None)
        told = [] if found is not None else [f"The stock {stock_id} of the settings is not there."]
        for sentence in (*told, *self._stock_faults):
            self.shell.warn(sentence)
        return found or self._stocks[0]

    @property
    def _search(self) -> RowSearch[WaitingLabel]:
        shell = self.shell
        searched = SearchedLabels(shell.register).row
        return RowSearch(row=searched, today=shell.today, within_days=shell.settings.due_within_days)

    @property
    def _printable(self) -> list[WaitingLabel]:
        """The labels that hold as things stand, in the order in which they are printed."""
        return [each for each in self._waiting if not each.untrue]

    @property
    def sheet(self) -> SheetMap:
        """The picture of the first sheet."""
        return self.query_one(SheetMap)

    @property
    def desk(self) -> Desk:
        """What forms work with."""
        return Desk(self.shell.register, self.shell.who, self.shell.present_day)

    @property
    def _begin(self) -> Start:
        return Start(at=self.sheet.start, used=self.sheet.used)

    def _show_order(self) -> None:
        sheet, count = self.sheet, len(self._printable)
        sheet.columns, sheet.rows = self._stock.columns, self._stock.rows
        sheet.kinds = tuple(waiting.queued.kind for waiting in self._printable)
        sheet.start, sheet.used = min(sheet.start, self._stock.places), frozenset(sheet.used)
        left = len(self._waiting) - count
        self.show_place(
            f"Label tray · {site_words(self, self._site)}",
            f"{labels(count)} waiting" + (f" · {left} left out" if left else ""),
        )
        lines = [Content(line) for line in self._order_lines()]
        lines += [Content.styled(shown(sentence), "$doubt") for sentence in lack_sentences(self._printable)]
        self.query_one("#order", Static).update(Content("\n").join(lines))

    def _order_lines(self) -> tuple[str, str, str]:
        return order_words(
            LabelChoice(site=self._site).counts(self._printable),
            self._stock,
            self._begin,
            with_next_date=self._with_next_date,
            site_name=site_words(self, self._site),
        )

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _look_at(self) -> None:
        waiting = self._rows.item(self.table.cursor_key or "")
        drawn = waiting is not None and not waiting.untrue
        self.sheet.chosen = self._printable.index(waiting) if waiting is not None and drawn else -1
        if waiting is None or not drawn:
            self.query_one(CodePreview).picture = None
            return
        label = waiting.text(with_next_date=self._with_next_date)
        self._draw(label, tuple(small_lines(label)))
        self._cut_in_thread(label, self._stock)

    def _draw(self, label: LabelText, lines: tuple[str, ...]) -> None:
        form = self._stock.code_form
        code = () if form is None else tuple(half_blocks(qr_matrix(label.payload, form)))
        self.query_one(CodePreview).picture = LabelPicture(
            kind=label.kind, verdict=verdict_words(label), tag=label.tag, lines=lines, code=code
        )

    @work(thread=True, exclusive=True, group="cut")
    def _cut_in_thread(self, label: LabelText, stock: Stock) -> None:
        worker = get_current_worker()
        words = self._words or LabelWords(label.on)
        self._words = words
        lines = words.lines(label, stock)
        if not worker.is_cancelled:
            self.post_message(self._Cut(label, lines))

    @on(_Cut)
    def _show_cut(self, message: _Cut) -> None:
        self._draw(message.label, message.lines)

    @on(SheetMap.Changed)
    def _sheet_changed(self) -> None:
        self._show_order()

    @on(VirtualTable.Opened)
    def action_open_item(self) -> None:
        """Open the page of the item under the cursor."""
        waiting = self._rows.item(self.table.cursor_key or "")
        if waiting is None:
            self.say_no_row()
        else:
            self.shell.open_screen("item", appliance=waiting.appliance.uid)

    def action_next_stock(self) -> None:
        """Take the next stock; which places of the first sheet are used holds for the stock before alone."""
        self.sheet.used = frozenset()
        self._stock = self._stocks[(self._stocks.index(self._stock) + 1) % len(self._stocks)]
        self._show_order()
        self._look_at()

    def action_move_start(self, places: int) -> None:
        """Start printing at another place."""
        self.sheet.start += places

    def action_next_date(self) -> None:
        """Put the next date on the labels, or leave it off."""
        self._with_next_date = not self._with_next_date
        self._show_order()
        self._look_at()

    def action_pick_site(self) -> None:
        """Ask for the site whose labels are shown and printed."""

        def picked(site: Uid | None) -> None:
            self._site = site
            self.load()

        ask_for_site(self, "Labels of which site?", now=self._site, then=picked)

    def action_tags_beforehand(self) -> None:
        """Ask for tags of a site that items are to bear, and print them."""
        self._at_one_site(self._names.tags)

    def action_location_labels(self) -> None:
        """Print the labels of a site's locations."""
        self._at_one_site(self._names.locations)

    def action_calibration(self) -> None:
        """Print the calibration page of the stock."""
        self._names.calibration()

    @property
    def _names(self) -> NameLabelPrinting:
        return NameLabelPrinting(self, self.desk, self._stock, self._begin, self._go_on_after)

    def _at_one_site(self, then: Callable[[Uid], None]) -> None:
        """Do it for the site that is shown, or for the one that is asked for."""
        if self._site is not None:
            then(self._site)
        else:
            ask_for_site(
                self, "Labels of which site?", now=None, then=lambda site: None if site is None else then(site)
            )

    def action_take_out(self) -> None:
        """Take labels out of the tray unprinted."""
        keys = [Uid(key) for key in self.table.keys_to_act_on()]
        if not keys:
            self.say_no_row()
        else:
            gone = self.attempt(lambda: remove_from_tray(self.shell.register, self.shell.who, labels=keys))
            if gone is not None:
                self.table.clear_choice()
                self.load()
                self.shell.say(f"{labels(gone)} taken out of the tray.")

    def action_print_sheets(self) -> None:
        """Ask where to, then write the sheets."""
        if not self._waiting:
            self.shell.say("No label waits: record an inspection, or queue a label from an item's page.")
            return
        if not self._printable:
            self.app.push_screen(DestroyScreen((), left_out_of(self._waiting)))
            return
        if not has_free(self._stock, self._begin):
            self.shell.say("No place of the first sheet is free: mark one as free on the sheet, or start at place 1.")
            return
        what = f"{self._order_lines()[1]} · {self._stock.title}"
        form = FileForm(
            self.desk, title="Print labels", stem="labels", said=(what, FULL_SIZE, *lack_sentences(self._printable))
        )
        ask_for_file(self, form, then=self._print_to, on_paper=self._on_paper)

    @property
    def _wanted(self) -> WantedSheets:
        return WantedSheets(
            stock=self._stock,
            begin=self._begin,
            choice=LabelChoice(site=self._site),
            with_next_date=self._with_next_date,
            count=len(self._printable),
        )

    def _print_to(self, out: Path, replace: bool) -> None:
        write_sheets(self, self._wanted, out, replace=replace, then=self._printed)

    def _on_paper(self) -> None:
        said = (f"{self._order_lines()[1]} · {self._stock.title}", COUNTED, *lack_sentences(self._printable))
        ask_for_printer(
            self,
            usual=self.shell.settings.label_printer,
            said=said,
            then=lambda order: print_sheets(self, self._wanted, order, then=self._taken),
        )

    def _taken(self, done: Done[PrintedSheets] | None) -> None:
        """Say which job it is; what became untrue is to be destroyed."""
        if done is None:
            return
        printed, sent = done.value.labels, done.value.sent
        self._go_on_after(printed)
        self.shell.say(
            f"{sent.job.printer} took it as {sent.job.job}: {labels(sent.counted.printed)} printed. "
            f"The next label goes to place {printed.next_start}."
        )
        if missing := glyph_words(printed):
            self.shell.warn(missing)
        if sent.counted.spoilt or printed.left_out:
            self.app.push_screen(DestroyScreen(sent.counted.spoilt, printed.left_out))

    def _go_on_after(self, printed: PrintedLabels) -> None:
        """The next label goes behind them; used places stay where they are on the same sheet."""
        if printed.sheets > 1 or printed.next_start == 1:
            self.sheet.used = frozenset()
        self.sheet.start = printed.next_start

    def _printed(self, done: Done[PrintedLabels] | None) -> None:
        if done is None:
            return
        printed = done.value
        self.shell.say(printed_words(printed))
        if missing := glyph_words(printed):
            self.shell.warn(missing)
        if printed.left_out:
            self.app.push_screen(DestroyScreen((), printed.left_out), lambda _: self._ask_whether_out(printed))
        else:
            self._ask_whether_out(printed)

    def _ask_whether_out(self, printed: PrintedLabels) -> None:
        form = CameOutForm(self.desk, printed.path)
        self.app.push_screen(FormScreen(form), lambda done: self._came_out(printed, done))

    def _came_out(self, printed: PrintedLabels, done: ConfirmedLabels | None) -> None:
        if done is None:
            self.shell.say("Nothing counts as printed: the labels wait on.")
            return
        self._go_on_after(printed)
        again = f"; {labels(done.waiting)} wait again" if done.waiting else ""
        self.shell.say(f"{labels(done.printed)} printed{again}. The next label goes to place {printed.next_start}.")
        if done.spoilt:
            self.app.push_screen(DestroyScreen(done.spoilt, ()))


def _empty_words(elsewhere: int) -> str:
    """What an empty list says; elsewhere: how many labels of other sites wait."""
    if not elsewhere:
        return "no label waits"
    return f"no label of this site waits, {elsewhere} of others: {named_key('label_tray.pick_site', 'o')} shows them"
