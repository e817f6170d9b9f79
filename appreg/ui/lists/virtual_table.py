"""The list of every screen: rows of any number, moved through, chosen, sorted and opened by key or mouse."""

from collections.abc import Iterable
from dataclasses import dataclass
from typing import ClassVar

from textual import events
from textual.binding import BindingType
from textual.message import Message

from appreg.ui.lists.table_commands import TABLE_COMMANDS
from appreg.ui.lists.table_drawing import column_at
from appreg.ui.lists.virtual_rows import HEADER, VirtualRows
from appreg.ui.shell.commands import bindings_of


class VirtualTable(VirtualRows, can_focus=True):
    """A sortable, filterable list; it posts Opened, NoRow, Chosen, Moved and Arranged, and decides nothing."""

    BINDINGS: ClassVar[list[BindingType]] = [*bindings_of(TABLE_COMMANDS)]

    @dataclass
    class Opened(Message):
        """A row was asked for with Enter or a second click."""

        table: "VirtualTable"
        key: str

        @property
        def control(self) -> "VirtualTable":
            """The list, for handlers that tell lists apart."""
            return self.table

    @dataclass
    class NoRow(Message):
        """A key that acts on a row was pressed where there is none."""

        table: "VirtualTable"

        @property
        def control(self) -> "VirtualTable":
            """The list, for handlers that tell lists apart."""
            return self.table

    @dataclass
    class Chosen(Message):
        """Other rows are chosen than before."""

        table: "VirtualTable"
        count: int

        @property
        def control(self) -> "VirtualTable":
            """The list, for handlers that tell lists apart."""
            return self.table

    def keys_to_act_on(self) -> tuple[str, ...]:
        """Return the chosen rows, also those filtered out, or the row under the cursor where none is chosen."""
        if self.choice.keys:
            return tuple(self.choice.keys)
        return () if self.cursor_key is None else (self.cursor_key,)

    def clear_choice(self) -> None:
        """Let go of every chosen row."""
        self.choice.keys.clear()
        self._chosen_changed()

    def action_move(self, rows: int) -> None:
        """Move the cursor by rows."""
        self.cursor += rows

    def action_page(self, pages: int) -> None:
        """Move the cursor and the page together."""
        step = pages * max(self._rows_on_screen - 1, 1)
        self.scroll_to(y=self.scroll_offset.y + step, animate=False, force=True)
        self.cursor += step

    def action_first(self) -> None:
        """Go to the first row."""
        self.cursor = 0

    def action_last(self) -> None:
        """Go to the last row."""
        self.cursor = self.row_count - 1

    def action_open(self) -> None:
        """Ask for the row under the cursor."""
        if self.cursor_key is None:
            self._tell(self.NoRow(self))
        else:
            self._tell(self.Opened(self, self.cursor_key))

    def action_choose(self) -> None:
        """Choose the row or let it go, and step to the next."""
        if self.cursor_key is None:
            self._tell(self.NoRow(self))
        else:
            self.choice.toggle(self.cursor_key)
            self._chosen_changed()
            self.cursor += 1

    def action_choose_to(self, rows: int) -> None:
        """Choose this row and the one moved to."""
        if self.cursor_key is not None:
            self.choice.add(self._keys_between(self.cursor, self.validate_cursor(self.cursor + rows)))
            self._chosen_changed()
            self.cursor += rows

    def action_choose_all(self) -> None:
        """Choose every row the filter lets through; where all are chosen already, none."""
        if self.row_count:
            self.choice.all_or_none(self._keys_between(0, self.row_count - 1))
            self._chosen_changed()

    def action_sort_beside(self, step: int) -> None:
        """Sort by the column next to the one sorted by."""
        keys = ["", *(column.key for column in self.columns)]
        self.sort(keys[(keys.index(self.arrangement.column) + step) % len(keys)])

    def action_reverse(self) -> None:
        """Sort the other way round."""
        column = self.arrangement.column or self.columns[0].key
        self.sort(column, descending=not self.arrangement.descending)

    def on_click(self, event: events.Click) -> None:
        """Sort by a title; go to a row, open the one already under the cursor."""
        offset = event.get_content_offset(self)
        if offset is None:
            return
        event.stop()
        place = offset.y - HEADER + self.scroll_offset.y
        if offset.y < HEADER:
            self._click_title(offset.x)
        elif place < self.row_count:
            self._click_row(place, event)

    def _click_title(self, x: int) -> None:
        column = column_at(self._placed, x, self.scrollable_content_region.width)
        if column is not None:
            again = self.arrangement.column == column.column.key
            self.sort(column.column.key, descending=again and not self.arrangement.descending)

    def _click_row(self, place: int, event: events.Click) -> None:
        if event.ctrl:
            self.choice.toggle(self._view.key(place))
            self._chosen_changed()
        elif event.shift:
            self.choice.add(self._keys_between(self.cursor, place))
            self._chosen_changed()
        elif place == self.cursor:
            self.action_open()
        self.cursor = place

    def _keys_between(self, one: int, other: int) -> Iterable[str]:
        return (self._view.key(place) for place in range(min(one, other), max(one, other) + 1))

    def _chosen_changed(self) -> None:
        self._forget_strips()
        self._tell(self.Chosen(self, len(self.choice.keys)))
