"""What keys do in every list; declared once, for the list itself and for the screens that hold one."""

from typing import Final

from appreg.ui.shell.commands import Command, at_home

MOVES: Final = (
    Command(action="move(-1)", key="up", label="up", help="Go to the row above.", in_footer=False),
    Command(action="move(1)", key="down", label="down", help="Go to the row below.", in_footer=False),
    Command(action="page(-1)", key="pageup", label="page up", help="Go up by a page.", in_footer=False),
    Command(action="page(1)", key="pagedown", label="page down", help="Go down by a page.", in_footer=False),
    Command(action="first", key="home,ctrl+home", label="first", help="Go to the first row.", in_footer=False),
    Command(action="last", key="end,ctrl+end", label="last", help="Go to the last row.", in_footer=False),
)
CHOICES: Final = (
    Command(
        action="choose",
        key="space",
        label="choose",
        help="Choose the row for an action on many, or let it go.",
        in_footer=False,
    ),
    Command(
        action="choose_to(-1)",
        key="shift+up",
        label="choose upwards",
        help="Choose this row and the one above.",
        in_footer=False,
    ),
    Command(
        action="choose_to(1)",
        key="shift+down",
        label="choose downwards",
        help="Choose this row and the one below.",
        in_footer=False,
    ),
    Command(
        action="choose_all",
        key="ctrl+a",
        label="choose all",
        help="Choose every row the filter lets through, or let them all go.",
        in_footer=False,
    ),
)
ORDERS: Final = (
    Command(
        action="sort_beside(1)",
        key="greater_than_sign",
        label="sort by the next",
        help="Sort by the column to the right of the sorted one.",
        in_footer=False,
        shown_key=">",
    ),
    Command(
        action="sort_beside(-1)",
        key="less_than_sign",
        label="sort by the one before",
        help="Sort by the column to the left of the sorted one.",
        in_footer=False,
        shown_key="<",
    ),
    Command(
        action="reverse",
        key="equals_sign",
        label="turn the order",
        help="Sort the other way round.",
        in_footer=False,
        shown_key="=",
    ),
)
OPEN: Final = Command(action="open", key="enter", label="open", help="Open the row under the cursor.", in_footer=False)
FILTER: Final = Command(
    action="filter",
    key="slash",
    label="filter",
    help="Type words that the rows must hold; esc clears them.",
    id="list.filter",
)
EXPORT: Final = Command(
    action="export_list",
    key="f",
    label="export",
    help="Write the list as it stands, its filter, order and columns, as CSV or JSON.",
    in_footer=False,
    id="list.export",
)

TABLE_COMMANDS: Final = at_home("list", (OPEN, *MOVES, *CHOICES, *ORDERS))
