"""The commands of the label tray."""

from typing import Final

from appreg.ui.shell.commands import Command

TRAY_COMMANDS: Final[tuple[Command, ...]] = (
    Command(
        action="open_item",
        key="enter",
        label="item",
        help="Open the page of the item under the cursor.",
        in_footer=False,
        at_cursor=True,
    ),
    Command(action="print_sheets", key="p", label="print", help="Write the sheets to a PDF file."),
    Command(
        action="next_stock", key="s", label="stock", help="Take the next label stock: sheets, rolls, and your own."
    ),
    Command(
        action="move_start(1)",
        key="right_square_bracket",
        label="start",
        help="Start printing one place later; tab goes to the sheet: arrow keys point, enter starts, space marks used.",
        shown_key="[ ]",
    ),
    Command(
        action="move_start(-1)",
        key="left_square_bracket",
        label="start before",
        help="Start printing one place before.",
        in_footer=False,
        shown_key="[",
    ),
    Command(
        action="next_date",
        key="d",
        label="next date",
        help="Put the next date on pass labels, or leave it off: editions of the guidance differ.",
    ),
    Command(
        action="take_out",
        key="x,delete",
        label="take out",
        help="Take the chosen labels out of the tray unprinted.",
        at_cursor=True,
    ),
    Command(
        action="pick_site",
        key="o",
        label="site",
        help="Show and print the labels of one site only.",
        in_footer=False,
    ),
    Command(
        action="tags_beforehand",
        key="",
        label="tags beforehand",
        help="Print labels of tags that no item bears yet; a scan of one on a walk-round gives it to an item.",
        in_footer=False,
    ),
    Command(
        action="location_labels",
        key="",
        label="location labels",
        help="Print a label for each location of a site; a scan of one tells what is there.",
        in_footer=False,
    ),
    Command(
        action="calibration",
        key="",
        label="calibration page",
        help="Print crosses at the corners of the labels of this stock, to see how far off a printer lays them.",
        in_footer=False,
    ),
)
