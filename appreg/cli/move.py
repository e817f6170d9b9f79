"""`appreg move`: an item is issued, comes back, is brought on site, or the home it is let with changes its tenant."""

import argparse
import os
import sys
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.json_values import day_text, item_name
from appreg.cli.opening import end_writing, opened
from appreg.cli.operator_name import operator_name
from appreg.cli.typed_options import day
from appreg.clock import local_today
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from appreg.cli.shapes.item_shapes import MovementAnswer

_MOVEMENTS: Final = {
    "issued": "issued",
    "returned": "returned",
    "brought": "brought on site",
    "tenancy": "change of tenancy",
}


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("tag", metavar="TAG", help="the tag in any case, the key, or what the label's code says")
    parser.add_argument("movement", choices=[*_MOVEMENTS], help="what happened to it")
    parser.add_argument("--on", type=day, metavar="DATE", help="on this day (default: today)")
    parser.add_argument("--note", default="", metavar="TEXT", help="to whom it was issued, say")
    parser.add_argument(
        "--past-limit", action="store_true", help="issue it although its last test is older than the house's limit"
    )
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Record it; exit code 2 where an inspection must come first, 1 where no item has that tag."""
    from appreg.cli.item_output import blocks_as_json  # noqa: PLC0415 - a help text needs no register
    from appreg.core.records.work_records import Movement  # noqa: PLC0415 - a help text needs no register
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415
    from appreg.tasks.items.find_items import item_meant  # noqa: PLC0415
    from appreg.tasks.items.list_blocked import blocks_of  # noqa: PLC0415
    from appreg.tasks.items.record_movement import record_movement  # noqa: PLC0415
    from appreg.tasks.items.weigh_issue import ages_in_words, ages_of_tests  # noqa: PLC0415

    on, limit, movement = args.on or local_today(), _limit_days(), Movement(_MOVEMENTS[args.movement])
    with opened(args, console, writes=True, search=Search.WHOLE) as register:
        item = item_meant(register, args.tag)
        (age,) = ages_of_tests(register, appliances=[item.uid], on=on, limit_days=limit)
        asked = movement is Movement.ISSUED and age.is_past_limit and not (args.past_limit or args.json)
        if asked and sys.stdin is not None and sys.stdin.isatty():
            args.past_limit = console.ask(f"{item.tag} {item.name}: {age.words}. Issue it all the same?")
        moved = record_movement(
            register,
            operator_name(),
            appliance=item.uid,
            movement=movement,
            on=on,
            note=args.note,
            limit_days=limit,
            past_limit=args.past_limit,
        )
        blocks = blocks_of(register, item)
        end_writing(register, console)
    if args.json:
        answer: MovementAnswer = {
            "format": "appreg.movement",
            "version": 1,
            **item_name(item),
            "movement": moved.movement,
            "on": moved.on.isoformat(),
            "note": moved.note,
            "last_tested": day_text(age.tested),
            "days_since_test": age.days,
            "issue_limit_days": limit,
            "blocked": blocks_as_json(blocks),
        }
        console.json(answer)
        return ExitCode.FINE
    console.line(f"{item.tag} {item.name}: {moved.movement} on {date_words(moved.on)}")
    if movement is Movement.ISSUED:
        console.line(ages_in_words([age]))
    for block in blocks:
        console.line(f"Not to be issued or used: {block.because} ({block.event}).")
    return ExitCode.FINE


def _limit_days() -> int:
    """How old the last test of an item may be at issue, as the settings have it."""
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415 - a help text needs none

    return load_settings(settings_path(os.environ)).issue_limit_days
