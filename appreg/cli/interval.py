"""The command `interval`: how often an item is to be checked, inspected and tested, and who says so."""

import argparse
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.rule_options import add_book_options, add_kind_options, book_named, class_named, type_named
from appreg.core.records.appliances import RcdMounting
from appreg.core.rules.interval_tables import EquipmentKey, IntervalAnswer, IntervalTable
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS
from appreg.errors import UsageRefused
from appreg.schedule.due_reasons import interval_words
from appreg.schedule.interval_choice import choose_interval, interval_table

if TYPE_CHECKING:
    from appreg.cli.shapes.interval_shapes import IntervalAnswerOfTable, TablesAnswer, TableShape


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    add_book_options(parser)
    parser.add_argument(
        "--table", default="", metavar="ID", help="an interval table of the book; its default if absent"
    )
    parser.add_argument("--environment", metavar="ID", help="where the item is used; --list names them")
    add_kind_options(parser)
    parser.add_argument("--battery", action="store_true", help="battery operated")
    parser.add_argument("--rcd", choices=[*RcdMounting], help="the item is itself a residual current device")
    parser.add_argument("--longer", action="store_true", help="take the longer end of a range")
    parser.add_argument("--list", action="store_true", help="list the tables and their environments")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Answer for one item, or list the tables."""
    if args.list:
        named = [args.rule_book] if args.rule_book or args.overlay else RULE_BOOK_IDS
        _list([book_named(each, args.overlay) for each in named], console, as_json=args.json)
        return ExitCode.FINE
    if not args.environment:
        raise UsageRefused("Say where the item is used with --environment; appreg interval --list names them.")
    book = book_named(args.rule_book, args.overlay)
    key = EquipmentKey(
        appliance_class=class_named(args.appliance_class),
        equipment_type=type_named(args.equipment_type),
        battery=args.battery,
        rcd_mounting=RcdMounting(args.rcd) if args.rcd else None,
    )
    answer = choose_interval(book, args.table, args.environment.lower(), key)
    if args.json:
        from appreg.cli.item_output import interval_answer_as_json  # noqa: PLC0415 - only where JSON is asked for

        told: IntervalAnswerOfTable = {
            "format": "appreg.interval",
            "version": 1,
            **interval_answer_as_json(answer, longer=args.longer),
        }
        console.json(told)
    else:
        _tell(answer, interval_table(book, args.table), console, longer=args.longer)
    return ExitCode.FINE


def _tell(answer: IntervalAnswer, table: IntervalTable, console: Console, *, longer: bool) -> None:
    console.line(f"{answer.title} · {table.title}, {table.edition}")
    for name, interval in (
        ("user check", answer.user_check),
        ("formal visual inspection", answer.visual),
        ("combined inspection and test", answer.test),
    ):
        in_use = interval_words(interval, longer=longer)
        whole = "none needed" if interval is None else interval.words
        console.line(f"{name:30}{whole}" + (f" (in use: {in_use})" if whole != in_use else ""))
    console.line(f"{'source':30}{answer.citation.line} ({answer.citation.basis.value})")
    for note in (answer.note, table.note):
        if note:
            console.line(f"{'note':30}{note}")


def _list(books: list[RuleBook], console: Console, *, as_json: bool) -> None:
    listed = [(book, table) for book in books for table in book.interval_tables.values()]
    if as_json:
        answer: TablesAnswer = {
            "format": "appreg.interval-tables",
            "version": 1,
            "tables": [_table_json(book, table) for book, table in listed],
        }
        console.json(answer)
        return
    for book, table in listed:
        default = ", the default" if table.id == book.default_interval_table else ""
        console.line(f"{book.id} · {table.id}: {table.title}, {table.edition}{default}")
        for name, title in table.environments.items():
            console.line(f"    {name:24}{title}")


def _table_json(book: RuleBook, table: IntervalTable) -> "TableShape":
    return {
        "rule_book": book.id,
        "rule_book_version": book.version,
        "table": table.id,
        "title": table.title,
        "edition": table.edition,
        "default": table.id == book.default_interval_table,
        "note": table.note,
        "environments": [{"id": name, "title": title} for name, title in table.environments.items()],
    }
