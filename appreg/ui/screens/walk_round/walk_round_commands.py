"""The keys of the walk-round: names are typed, so none is a letter, and a ctrl letter means what it means elsewhere."""

from typing import Final

from appreg.ui.shell.commands import Command

WALK_ROUND_COMMANDS: Final = (
    Command(action="add", key="enter", label="add", help="Add what is typed; a number before it adds that many."),
    Command(action="app.focus_next", key="tab", label="fields", help="Go to class, type, cord, fuse and power."),
    Command(
        action="location",
        key="pageup",
        shown_key="pgup",
        label="location",
        help="Go on in another location, new or known.",
        priority=True,
    ),
    Command(
        action="back",
        key="escape",
        label="to Bench",
        help="Leave the walk-round; all that was added is kept, and the Bench is next.",
    ),
    Command(action="take_back", key="ctrl+z", label="undo", help="Take back the line added last."),
    Command(action="same", key="shift+down", label="same again", help="Add the last line once more.", priority=True),
    Command(
        action="own_tag",
        key="shift+up",
        label="own tag",
        help="Type or scan the tag that the item bears already; without one it gets the next number of the site.",
        priority=True,
    ),
    Command(
        action="meaning(1)",
        key="down",
        label="other meaning",
        help="Take the next category that the name may mean; with nothing typed, go down the list.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="meaning(-1)",
        key="up",
        label="meaning before",
        help="Take the category before; with nothing typed, go up the list.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="change",
        key="ctrl+e",
        label="change",
        help="Open the form of the item at the mark, at first the one added last, with all its fields.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="category",
        key="insert",
        label="new category",
        help="Make a category of the name that is typed, with its defaults.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="save",
        key="ctrl+s",
        label="save",
        help="Keep the name typed, or typed last, as another name of its category, for later walk-rounds too.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="test_now",
        key="pagedown",
        label="test now",
        help="Add what is typed and open it on the Bench at once; with nothing typed, the item at the mark.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="leave_out",
        key="ctrl+x",
        label="not inspected",
        help="Add what is typed, or take the item at the mark, and say why it is not inspected today: it stays due.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="bench",
        key="",
        label="Bench",
        help="Go on to the Bench with today's visit, or a new one, also where nothing was added.",
        in_footer=False,
    ),
)
