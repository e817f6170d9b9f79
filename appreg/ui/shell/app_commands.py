"""The commands of every screen: where to go, the palette, help, leaving."""

from typing import Final

from appreg.ui.shell.commands import Command, at_home

APP_COMMANDS: Final = at_home(
    "app",
    (
        Command(
            action="palette", key="ctrl+p", label="commands", help="Find any command by a few letters.", in_footer=False
        ),
        Command(
            action="go('sites')", key="f2", label="Sites", help="All sites with what is due there.", in_footer=False
        ),
        Command(action="go('due')", key="f3", label="Due", help="What is due, across all sites.", in_footer=False),
        Command(
            action="go('label_tray')",
            key="f4",
            label="Label tray",
            help="Labels waiting to be printed.",
            in_footer=False,
        ),
        Command(
            action="go('rule_book')",
            key="f5",
            label="Rule book",
            help="Every value in use, with its source and basis.",
            in_footer=False,
        ),
        Command(
            action="go('plan')",
            key="f6",
            label="Plan",
            help="The fewest visits that keep nothing overdue; move them, suppose other rules, export a calendar.",
            in_footer=False,
        ),
        Command(
            action="go('evidence')",
            key="f7",
            label="Evidence",
            help="What past inspections say of intervals: keep, lengthen or shorten them.",
            in_footer=False,
        ),
        Command(
            action="go('items')",
            key="f8",
            label="Items",
            help="Every item of every site; type to find.",
            in_footer=False,
        ),
        Command(
            action="find",
            key="ctrl+g",
            label="find",
            help="Scan a label, or type a tag or words, and go to that item.",
            in_footer=False,
            priority=True,
        ),
        Command(
            action="go('settings')",
            key="f9",
            label="Settings",
            help="Colours, what lists and labels start with, who is working, and the key of every command.",
            in_footer=False,
        ),
        Command(
            action="documents",
            key="",
            label="documents of all sites",
            help="Any document of the whole register: due list, recall, what to put right; pages or a table.",
            in_footer=False,
        ),
        Command(
            action="printed",
            key="",
            label="what was printed",
            help="What printers took, when and for whom; spoiled labels of it wait again.",
            in_footer=False,
        ),
        Command(
            action="copies",
            key="",
            label="kept copies",
            help="Copies of the register: make one, check one, put one in the register's place.",
            in_footer=False,
        ),
        Command(
            action="downloads",
            key="",
            label="downloads",
            help="Tables that came into the folder of downloads: choose one, and see what its rows come to.",
            in_footer=False,
        ),
        Command(
            action="merge",
            key="",
            label="take in another copy",
            help="Two copies that went different ways become one: what another holds is shown, then taken in.",
            in_footer=False,
        ),
        Command(
            action="settle_contests",
            key="",
            label="to be settled",
            help="What two places left different, and tags that are given twice: say which is meant.",
            in_footer=False,
        ),
        Command(
            action="turn_theme", key="", label="light or dark", help="Change between light and dark.", in_footer=False
        ),
        Command(
            action="draw_anew",
            key="f12",
            label="draw anew",
            help="Draw the whole screen anew, where another program wrote over it.",
            in_footer=False,
            priority=True,
        ),
        Command(action="quit", key="ctrl+q", label="quit", help="Close appreg.", in_footer=False, priority=True),
    ),
)
