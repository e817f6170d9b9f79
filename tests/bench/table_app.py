"""Textual's own DataTable with every item of a register, in the same columns: `table_app.py REGISTER`."""

import sys
from pathlib import Path

from textual.app import App, ComposeResult
from textual.widgets import DataTable, Static

from appreg.register.lists.row_windows import ITEM_COLUMNS, ordered_rowids, rows_by_rowid
from appreg.register.opening.register_file import open_register


class TableApp(App[None]):
    """A line of text and the table."""

    ENABLE_COMMAND_PALETTE = False

    def __init__(self, rows: list[tuple[str, ...]]) -> None:
        super().__init__()
        self._rows = rows

    def compose(self) -> ComposeResult:
        yield Static("Items")
        yield DataTable(cursor_type="row")

    def on_mount(self) -> None:
        table = self.query_one(DataTable)
        for name in ITEM_COLUMNS:
            table.add_column(name)
        table.add_rows(self._rows)
        table.focus()


if __name__ == "__main__":
    register = open_register(Path(sys.argv[1]))
    TableApp(rows_by_rowid(register, ordered_rowids(register))).run()
