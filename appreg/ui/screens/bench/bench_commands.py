"""The keys of the Bench.

All have priority: a key typed ahead, by a quick hand or a reader, acts in its turn and on its own line.
"""

from typing import Final

from appreg.ui.shell.commands import Command

BENCH_COMMANDS: Final = (
    Command(
        action="go_on",
        key="enter",
        label="next",
        help="Go to the next line; on the outcome, keep the inspection and open the next item.",
        priority=True,
    ),
    Command(
        action="all_ok",
        key="space",
        label="all ok",
        help="On the visual list: everything not marked is good. On a line without a figure: it is good.",
        priority=True,
    ),
    Command(
        action="fail",
        key="x,X",
        label="fail",
        help="Fail the word or line at the cursor and ask for a remark; again to take it back.",
        priority=True,
    ),
    Command(
        action="repeat",
        key="exclamation_mark",
        label="repeat",
        help="Keep this reading with its time and take another; the last one counts.",
        priority=True,
    ),
    Command(action="undo", key="ctrl+z", label="undo", help="Take back the last inspection kept.", priority=True),
    Command(
        action="why",
        key="question_mark",
        label="why",
        help="Show the arithmetic, the source and what would change the verdict.",
        priority=True,
    ),
    Command(
        action="confirm",
        key="ctrl+b",
        label="as it stands",
        help="Confirm what this line takes from the category, say the cord, then a doubted reading; on the outcome, all.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="turn",
        key="ctrl+t",
        label="how measured",
        help="Turn the test voltage, the leakage method, the test current, or ask for the load.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="leakage",
        key="ctrl+l",
        label="leakage",
        help="Add or take away a leakage measurement (insulation, where leakage stands in its place), on a second line its own.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="unsuitable",
        key="ctrl+y",
        label="500 V unsuitable",
        help="Mark the item as one that 500 V d.c. must not be applied to, or take the mark away.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="repair",
        key="ctrl+f",
        label="repair",
        help="Record the repair of an item that failed, and who was told.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="plate",
        key="ctrl+e",
        label="change",
        help="Type class, cord, fuse, power or tag as read from the item, or its cord as measured, on one line.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="put_right",
        key="ctrl+k",
        label="put right",
        help="Say what was done on the spot about the word or line that failed; what was found stays on record.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="do_without",
        key="ctrl+d",
        label="do without",
        help="Leave out the check at hand with a reason, where the rule book lets it be; again to open it.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="anew",
        key="ctrl+n",
        label="start anew",
        help="Empty every line of this item.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="remark",
        key="ctrl+r",
        label="remark",
        help="Write a remark on this line; it changes no verdict.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="change_kind",
        key="ctrl+o",
        label="look only",
        help="Change between a formal visual inspection and a combined inspection and test.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="save",
        key="ctrl+s",
        label="save",
        help="Keep the inspection as it stands, complete or not, and open the next item.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="leave_out",
        key="ctrl+x",
        label="not inspected",
        help="Say why the item cannot be inspected on this visit: no access, refused, in use and the like; it stays due.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="skip(1)",
        key="pagedown",
        label="next item",
        help="Leave this item as it is and open the next.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="skip(-1)",
        key="pageup",
        label="item before",
        help="Leave this item as it is and open the one before.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="step(1)", key="down,tab", label="line down", help="Go down a line.", in_footer=False, priority=True
    ),
    Command(
        action="step(-1)", key="up,shift+tab", label="line up", help="Go up a line.", in_footer=False, priority=True
    ),
    Command(
        action="slide(1)",
        key="right",
        label="word right",
        help="Move along the visual list.",
        in_footer=False,
        priority=True,
    ),
    Command(
        action="slide(-1)", key="left", label="word left", help="Move back along it.", in_footer=False, priority=True
    ),
)
