"""`appreg find`: items by words, tag or the code on a label."""

import argparse
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened
from appreg.cli.query_words import QUERY_HELP, as_query
from appreg.clock import local_today
from appreg.errors import NotFound

if TYPE_CHECKING:
    from appreg.tasks.items.find_items import FoundItem

_HEADS: Final = ("tag", "item", "site", "location", "state", "last", "next look", "next test")


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "text", metavar="TEXT_OR_CODE", nargs="+", help=f"a tag, what a label's code says, or {QUERY_HELP}"
    )
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Find; exit code 1 where nothing answers."""
    from appreg.tasks.items.find_items import find_items, foreign_label  # noqa: PLC0415 - a help text needs no register

    text = as_query(args.text)
    with opened(args, console) as register:
        found = find_items(register, text, today=local_today())
        foreign = "" if found else foreign_label(register, text)
        if args.json:
            from appreg.cli.item_output import items_answer  # noqa: PLC0415 - only where JSON is asked for

            console.json(items_answer(register, found))
    if args.json:
        return ExitCode.FINE if found else ExitCode.FOUND_WRONG
    if not found:
        raise NotFound(
            foreign or f"Nothing in the register answers to {text}; try fewer letters of its name, or its tag."
        )
    console.table(_HEADS, (_cells(each) for each in found))
    return ExitCode.FINE


def _cells(found: "FoundItem") -> list[str]:
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register
    from appreg.schedule.due_states import waited_dates  # noqa: PLC0415

    item = found.appliance
    return [
        item.tag,
        item.name,
        found.site.name,
        found.location.name,
        item.state.value,
        item.last_outcome.value if item.last_outcome else "never inspected",
        *(date_words(day) if day else "-" for day in waited_dates(item)),
    ]
