"""Which columns of a list are written, in which order its lines stand, and in which form."""

import argparse
from collections.abc import Mapping, Sequence
from datetime import date
from pathlib import Path
from typing import Final, TypeVar

from appreg.cli.console import Console
from appreg.cli.typed_options import FORCE_HELP, output_file
from appreg.core.values.counted_words import counted
from appreg.errors import InputRefused, UsageRefused

USUAL_OF_ITEMS: Final = ("tag", "item", "site", "location", "state", "last_outcome", "next_visual", "next_test")
"""The columns of items where none are chosen."""
MORE_OF_ITEMS: Final = ("uid", "class", "type", "category", "make", "model", "serial", "last_date")
_DAYS: Final = frozenset({"date", "due", "on", "last_date", "next_visual", "next_test", "oldest_overdue"})
"""The columns that hold dates."""

Line = TypeVar("Line", bound=Mapping[str, object])


def chosen_columns(what: str, typed: str | None, *, usual: Sequence[str], more: Sequence[str] = ()) -> tuple[str, ...]:
    """The columns asked for by commas, or the usual ones; raises InputRefused naming those there are."""
    if typed is None:
        return tuple(usual)
    known = (*usual, *more)
    named = tuple(word.strip().lower().replace(" ", "_") for word in typed.split(",") if word.strip())
    unknown = next((name for name in named if name not in known), None)
    if unknown is not None or not named:
        raise InputRefused(f"--columns: {what} have no column {unknown or typed!r}; choose from {', '.join(known)}.")
    return named


def in_order(lines: Sequence[Line], column: str, *, reverse: bool) -> list[Line]:
    """The lines sorted by a column, small and capital letters alike, tags in their own order.

    Those without a value stand last either way.
    """
    from appreg.core.values.asset_tags import tag_order  # noqa: PLC0415 - only where lines are sorted

    def place(line: Line) -> tuple[bool, float, str]:
        return _place(tag_order(str(line[column])) if column == "tag" else line[column])

    valued = [line for line in lines if line[column] not in {None, ""}]
    rest = [line for line in lines if line[column] in {None, ""}]
    return [*sorted(valued, key=place, reverse=reverse), *rest]


def add_forms(parser: argparse.ArgumentParser, json_help: str = "write JSON, with every key") -> None:
    """Declare the forms in which a list is written."""
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help=json_help)
    form.add_argument("--csv", action="store_true", help="write CSV (RFC 4180)")
    form.add_argument(
        "--xlsx",
        type=output_file,
        metavar="FILE",
        help="write a workbook for spreadsheets, its days and counts as such",
    )
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)


def refuse_forms(args: argparse.Namespace) -> None:
    """Raise UsageRefused for --force where no file is written."""
    if args.force and args.xlsx is None:
        raise UsageRefused("--force belongs to --xlsx; nothing else is written.")


def write_workbook(
    args: argparse.Namespace, title: str, columns: Sequence[str], rows: Sequence[Sequence[str | int]], console: Console
) -> None:
    """Write rows into the workbook that was named; raises InputRefused where it cannot be written."""
    from appreg.exchange.list_file import ListHead  # noqa: PLC0415 - only where a workbook is asked for
    from appreg.tasks.documents.export_list import export_list  # noqa: PLC0415 - the same

    head = ListHead(title=title, filter="", sorted_by="", descending=False, columns=tuple(columns), days=_DAYS)
    out = workbook_named(args)
    count = export_list(head, lambda start, stop: rows[start:stop], len(rows), out=out, replace=args.force)
    console.line(f"Written: {out}, {counted(count, 'row')}.")


def workbook_named(args: argparse.Namespace) -> Path:
    """The workbook that was named, with its ending."""
    named: Path = args.xlsx
    return named if named.suffix.lower() == ".xlsx" else named.with_name(f"{named.name}.xlsx")


def write_lines(
    args: argparse.Namespace,
    title: str,
    columns: Sequence[str],
    lines: Sequence[Mapping[str, object]],
    console: Console,
) -> None:
    """Write the columns of some lines, as CSV, a workbook, or a table whose dates read as screens write them."""
    if args.xlsx is not None:
        write_workbook(args, title, columns, [[_cell(line[name]) for name in columns] for line in lines], console)
    elif args.csv:
        console.csv(columns, ([_cell(line[name]) for name in columns] for line in lines))
    else:
        heads = [name.replace("_", " ") for name in columns]
        console.table(heads, ([_in_words(name, line[name]) for name in columns] for line in lines))


def _cell(value: object) -> str | int:
    return value if isinstance(value, int) else "" if value is None else str(value)


def _in_words(column: str, value: object) -> str:
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register

    return date_words(date.fromisoformat(str(value))) if column in _DAYS and value else str(_cell(value))


def _place(value: object) -> tuple[bool, float, str]:
    number = isinstance(value, int)
    return not number, float(value) if isinstance(value, int) else 0.0, str(value).casefold()
