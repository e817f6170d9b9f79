"""`appreg find`: items by words, tag or the code on a label."""

import argparse
from typing import TYPE_CHECKING, Final

from appreg.cli.chosen_columns import (
    MORE_OF_ITEMS,
    USUAL_OF_ITEMS,
    add_forms,
    chosen_columns,
    refuse_forms,
    write_lines,
)
from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened
from appreg.cli.query_words import QUERY_HELP, as_query
from appreg.clock import local_today
from appreg.errors import NotFound

if TYPE_CHECKING:
    from appreg.tasks.items.find_items import FoundItem

_HEADS: Final = ("tag", "item", "site", "location", "state", "last", "next look", "next test")
_EVERY: Final = (*USUAL_OF_ITEMS, *MORE_OF_ITEMS)


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "text", metavar="TEXT_OR_CODE", nargs="+", help=f"a tag, what a label's code says, or {QUERY_HELP}"
    )
    parser.add_argument(
        "--columns", metavar="NAMES", help=f"the columns of the table and of CSV, by commas: {', '.join(_EVERY)}"
    )
    add_forms(parser)


def run(args: argparse.Namespace, console: Console) -> int:
    """Find; exit code 1 where nothing answers."""
    from appreg.tasks.items.find_items import find_items, said_of_label  # noqa: PLC0415 - a help text needs no register

    refuse_forms(args)
    text = as_query(args.text)
    columns = chosen_columns("items", args.columns, usual=USUAL_OF_ITEMS, more=MORE_OF_ITEMS)
    with opened(args, console) as register:
        found = find_items(register, text, today=local_today())
        foreign = "" if found else said_of_label(register, text)
        if args.json or args.csv or args.columns or args.xlsx:
            from appreg.cli.item_output import items_answer  # noqa: PLC0415 - only where more than the table is asked for

            answer = items_answer(register, found)
    if args.json:
        console.json(answer)
        return ExitCode.FINE if found else ExitCode.FOUND_WRONG
    if not found and not args.csv:
        raise NotFound(
            foreign or f"Nothing in the register answers to {text}; try fewer letters of its name, or its tag."
        )
    if args.csv or args.columns or args.xlsx:
        write_lines(args, f"found: {text}", columns, answer["items"], console)
    else:
        console.table(_HEADS, (_cells(each) for each in found))
    return ExitCode.FINE if found else ExitCode.FOUND_WRONG


def _cells(found: "FoundItem") -> list[str]:
    from appreg.core.records.stated_words import outcome_words  # noqa: PLC0415 - a help text needs no register
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415
    from appreg.schedule.due_states import waited_dates  # noqa: PLC0415

    item = found.appliance
    return [
        item.tag,
        item.name,
        found.site.name,
        found.location.name,
        item.state.value,
        outcome_words(item),
        *(date_words(day) if day else "-" for day in waited_dates(item)),
    ]
