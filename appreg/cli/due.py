"""`appreg due`: what is overdue, due soon or never inspected, whole or in groups."""

import argparse
from datetime import date
from typing import TYPE_CHECKING, Final, TypeVar

from appreg.cli.chosen_columns import add_forms, chosen_columns, refuse_forms, write_workbook
from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.json_values import day_text, placed_item
from appreg.cli.opening import opened, site_uid
from appreg.cli.query_words import QUERY_HELP, as_query
from appreg.cli.typed_options import day, whole_number
from appreg.clock import local_today
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from appreg.cli.shapes.due_shapes import BlockedItem, CountsShape, DueAnswer, DueLineShape
    from appreg.core.records.list_queries import ListQuery
    from appreg.tasks.items.list_blocked import BlockedLine
    from appreg.tasks.items.list_user_checks import UserCheckLine
    from appreg.tasks.planning.group_due import DueGroup
    from appreg.tasks.planning.list_due import DueBoard, DueCounts
    from appreg.tasks.standing.due_lines import DueLine

    Groups = Sequence[tuple[DueGroup, list[DueLine]]]

Cell = TypeVar("Cell", str, str | int)

_HEADS: Final = ("tag", "item", "site", "location", "what", "due", "state", "days", "because")
_WHAT, _DUE = _HEADS.index("what"), _HEADS.index("due")
_GROUPINGS: Final = ("site", "location", "environment", "category", "responsible", "month")
_SOON: Final = 30
"""Days ahead that are told where none are named."""
_BARS: Final = "▁▂▃▄▅▆▇█"


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("words", metavar="WORD", nargs="*", help=f"only what answers: {QUERY_HELP}")
    parser.add_argument("--on", type=day, metavar="DATE", help="as of this day (default: today)")
    parser.add_argument(
        "--within",
        type=whole_number,
        metavar="DAYS",
        help=f"how far ahead is soon (default: {_SOON}, or further where words such as due:<90 ask for it)",
    )
    parser.add_argument("--site", metavar="SITE", help="one site alone: its name, prefix or key")
    parser.add_argument(
        "--by",
        choices=_GROUPINGS,
        help="group by site, location, environment, category, who is responsible or month, with twelve months ahead",
    )
    parser.add_argument(
        "--columns", metavar="NAMES", help=f"the columns of the table and of CSV, by commas: {', '.join(_HEADS)}"
    )
    add_forms(parser, "write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """List; exit code 0 whether or not anything is due, 1 where something could not be read."""
    from appreg.tasks.items.list_blocked import list_blocked  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.items.list_user_checks import list_user_checks  # noqa: PLC0415
    from appreg.tasks.planning.list_due import list_due  # noqa: PLC0415

    refuse_forms(args)
    today, groups = args.on or local_today(), None
    columns = chosen_columns("lines", args.columns, usual=_HEADS)
    query = _query(args, today)
    within = _days_ahead(args, query, today)
    with opened(args, console) as register:
        site = site_uid(register, args.site)
        board = list_due(register, today=today, within_days=within, site=site)
        blocked, checks = list_blocked(register, site=site), list_user_checks(register, site=site)
        if query:
            from appreg.tasks.items import find_due_lines  # noqa: PLC0415 - only where words are given

            board = find_due_lines.board_answering(register, board, query, site=site)
            blocked = find_due_lines.blocked_answering(register, blocked, query)
            checks = find_due_lines.checks_answering(checks, query)
        if args.by:
            from appreg.tasks.planning.group_due import DueGrouping, group_due, lines_by_group  # noqa: PLC0415 - if asked for

            by = DueGrouping(args.by)
            lines = lines_by_group(register, board.with_repairs, by=by)
            counted = group_due(register, by=by, today=today, within_days=within, site=site)
            groups = [(group, lines.get(group.title, [])) for group in counted]
    if args.json:
        console.json(_as_json(board, groups, blocked, checks, damaged=register.damage.sentences))
    elif args.csv or args.xlsx:
        _write_cells(board, groups, columns, args, console)
    else:
        _show(board, groups, columns, console)
        _show_repairs(board, columns, console)
        _show_events(blocked, checks, console)
    return ExitCode.FINE


def _query(args: argparse.Namespace, today: date) -> "ListQuery | None":
    """What the lines must answer to; None without words."""
    if not args.words:
        return None
    from appreg.core.records.list_queries import parse_query  # noqa: PLC0415 - only where words are given

    if args.by:
        raise UsageRefused("--by counts whole groups: leave it out where words say what is wanted.")
    within = _SOON if args.within is None else args.within
    return parse_query(as_query(args.words), today=today, within_days=within)


def _days_ahead(args: argparse.Namespace, query: "ListQuery | None", today: date) -> int:
    """The days that were named; else the usual ones, or as many as the words ask for."""
    if args.within is not None:
        return int(args.within)
    last = min((each.last for each in query.due if each.last is not None), default=today) if query else today
    return max(_SOON, (last - today).days)


def _show(board: "DueBoard", groups: "Groups | None", columns: "Sequence[str]", console: Console) -> None:
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register

    counts = board.counts
    console.line(f"On {date_words(board.on)}: {' · '.join(counts.words(board.within_days))}")
    if groups is not None:
        heads = (
            "group",
            "overdue inspections",
            "on items",
            "due soon inspections",
            "never inspected items",
            "withdrawn items",
            "late, 12 months",
        )
        console.table(heads, (_group_cells(group) for group, _ in groups))
    elif board.lines:
        console.table(columns, (_of(columns, _words(line)) for line in board.lines))


def _show_repairs(board: "DueBoard", columns: "Sequence[str]", console: Console) -> None:
    if board.repairs:
        console.line()
        console.line("Failures to be put right by a day:")
        console.table(columns, (_of(columns, _words(line)) for line in board.repairs))


def _show_events(blocked: "Sequence[BlockedLine]", checks: "Sequence[UserCheckLine]", console: Console) -> None:
    from appreg.core.values.due_words import DUE_WORDS  # noqa: PLC0415 - a help text needs no register

    if blocked:
        console.line()
        console.line("Not to be issued or used until inspected:")
        console.table(
            ("tag", "item", "site", "what", "asked for", "because"),
            (
                [
                    line.appliance.tag,
                    line.appliance.name,
                    line.site.name,
                    DUE_WORDS[line.block.kind],
                    line.block.event,
                    line.because,
                ]
                for line in blocked
            ),
        )
    if checks:
        console.line()
        console.line("User checks, which are not recorded unless a fault is found:")
        console.table(
            ("site", "location", "how often", "items", "because"),
            ([line.site.name, line.location.name, line.every, str(line.items), line.because] for line in checks),
        )


def _of(columns: "Sequence[str]", cells: "Sequence[Cell]") -> "list[Cell]":
    """The cells of the columns asked for."""
    return [cells[_HEADS.index(name)] for name in columns]


def _write_cells(
    board: "DueBoard", groups: "Groups | None", columns: "Sequence[str]", args: argparse.Namespace, console: Console
) -> None:
    """Write the cells of the lines, before them the group where there are groups: into a workbook or as CSV."""
    if groups is None:
        rows = [_of(columns, _cells(line)) for line in board.with_repairs]
    else:
        lines = ((group.title, line) for group, own in groups for line in own)
        rows = [[title, *_of(columns, _cells(line))] for title, line in lines]
        columns = ("group", *columns)
    if args.xlsx:
        write_workbook(args, f"due on {board.on.isoformat()}", columns, rows, console)
    else:
        console.csv(columns, rows)


def _group_cells(group: "DueGroup") -> list[str]:
    counts = group.counts
    numbers = (counts.overdue, counts.overdue_items, counts.due_soon, counts.never, counts.withdrawn)
    return [group.title, *(str(number) for number in numbers), _bars(counts.overdue, group.months)]


def _bars(overdue: int, months: "Sequence[int]") -> str:
    """A bar for what is overdue and one a month, full for the fullest, with the fullest month's number; a dot for none."""
    most = max((overdue, *months))
    first, *bars = (_BARS[(count * len(_BARS) - 1) // most] if count else "·" for count in (overdue, *months))
    strip = f"{first}│{''.join(bars)}"
    return f"{strip}  at most {max(months)} a month" if any(months) else strip


def _words(line: "DueLine") -> list[str]:
    """A line as it is read; what is due and when as screens write it."""
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register
    from appreg.core.values.due_words import DUE_WORDS  # noqa: PLC0415

    cells = [str(cell) for cell in _cells(line)]
    cells[_WHAT], cells[_DUE] = DUE_WORDS[line.what], date_words(line.due) if line.due else ""
    return cells


def _cells(line: "DueLine") -> list[str | int]:
    return [
        line.appliance.tag,
        line.appliance.name,
        line.site.name,
        line.location.name,
        line.what,
        line.due.isoformat() if line.due else "",
        line.state.value,
        "" if line.days is None else line.days,
        line.because,
    ]


def _as_json(
    board: "DueBoard",
    groups: "Groups | None",
    blocked: "Sequence[BlockedLine]",
    checks: "Sequence[UserCheckLine]",
    *,
    damaged: "Sequence[str]",
) -> "DueAnswer":
    answer: DueAnswer = {
        "format": "appreg.due",
        "version": 1,
        "on": board.on.isoformat(),
        "within": board.within_days,
        "counts": counts_as_json(board.counts),
        "lines": [_line_as_json(line) for line in board.lines],
        "repairs": [_line_as_json(line) for line in board.repairs],
        "blocked": [_blocked_as_json(line) for line in blocked],
        "user_checks": [
            {
                "site": line.site.name,
                "location": line.location.name,
                "every": line.every,
                "items": line.items,
                "because": line.because,
            }
            for line in checks
        ],
        "damaged": list(damaged),
    }
    if groups is not None:
        answer["groups"] = [
            {
                "group": group.title,
                "counts": counts_as_json(group.counts),
                "months": list(group.months),
                "lines": [_line_as_json(line) for line in lines],
            }
            for group, lines in groups
        ]
    return answer


def counts_as_json(counts: "DueCounts") -> "CountsShape":
    """How many items, and how many inspections of them, stand in each state."""
    return {
        "items": {
            "overdue": counts.overdue_items,
            "due_soon": counts.due_soon_items,
            "never_inspected": counts.never,
            "withdrawn": counts.withdrawn,
        },
        "inspections": {"overdue": counts.overdue, "due_soon": counts.due_soon},
    }


def _blocked_as_json(line: "BlockedLine") -> "BlockedItem":
    return {
        **placed_item(line.appliance, line.site, line.location),
        "what": line.block.kind,
        "event": line.block.event,
        "because": line.because,
    }


def _line_as_json(line: "DueLine") -> "DueLineShape":
    return {
        **placed_item(line.appliance, line.site, line.location),
        "what": line.what,
        "due": day_text(line.due),
        "state": line.state,
        "days": line.days,
        "because": line.because,
    }
