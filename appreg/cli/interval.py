"""The command `interval`: how often an item is to be checked, inspected and tested, and who says so."""

import argparse

from appreg.cli.console import Console, JsonValue
from appreg.cli.exit_codes import ExitCode
from appreg.cli.rule_options import add_book_options, add_kind_options, book_named, class_named, type_named
from appreg.core.records.appliances import RcdMounting
from appreg.core.rules.interval_tables import EquipmentKey, Interval, IntervalAnswer, IntervalTable
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS
from appreg.errors import UsageRefused
from appreg.schedule.due_reasons import interval_words
from appreg.schedule.interval_choice import choose_interval, interval_table


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
        console.json(_as_json(answer, longer=args.longer))
    else:
        _tell(answer, interval_table(book, args.table), console, longer=args.longer)
    return ExitCode.FINE


def _as_json(answer: IntervalAnswer, *, longer: bool) -> JsonValue:
    return {
        "user_check": _interval_json(answer.user_check, longer=longer),
        "visual": _interval_json(answer.visual, longer=longer),
        "test": _interval_json(answer.test, longer=longer),
        "source": answer.citation.source,
        "edition": answer.citation.edition,
        "basis": answer.citation.basis.value,
        "table": answer.table_id,
        "row": answer.title,
        "note": answer.note,
    }


def _interval_json(interval: Interval | None, *, longer: bool) -> JsonValue:
    if interval is None:
        return None
    ends = {"shortest": interval.shortest, "longest": interval.longest, "chosen": interval.chosen(longer)}
    return {**{name: str(end) if end else None for name, end in ends.items()}, "when": list(interval.when)}


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
        console.json([_table_json(book, table) for book, table in listed])
        return
    for book, table in listed:
        default = ", the default" if table.id == book.default_interval_table else ""
        console.line(f"{book.id} · {table.id}: {table.title}, {table.edition}{default}")
        for name, title in table.environments.items():
            console.line(f"    {name:24}{title}")


def _table_json(book: RuleBook, table: IntervalTable) -> JsonValue:
    return {
        "rule_book": book.id,
        "table": table.id,
        "title": table.title,
        "edition": table.edition,
        "default": table.id == book.default_interval_table,
        "note": table.note,
        "environments": [{"id": name, "title": title} for name, title in table.environments.items()],
    }
