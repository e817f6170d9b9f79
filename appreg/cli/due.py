"""`appreg due`: what is overdue, due soon or never inspected."""

import argparse
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console, JsonValue
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import open_for_reading, site_uid
from appreg.cli.typed_options import day, whole_number
from appreg.clock import local_today

if TYPE_CHECKING:
    from appreg.tasks.list_due import DueBoard, DueLine

_HEADS: Final = ("tag", "item", "site", "location", "what", "due", "state", "days", "because")


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("--on", type=day, metavar="DATE", help="as of this day (default: today)")
    parser.add_argument(
        "--within", type=whole_number, metavar="DAYS", default=30, help="how far ahead is soon (default: 30)"
    )
    parser.add_argument("--site", metavar="SITE", help="one site alone: its name, prefix or key")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="write JSON")
    form.add_argument("--csv", action="store_true", help="write CSV (RFC 4180)")


def run(args: argparse.Namespace, console: Console) -> int:
    """List; exit code 0 whether or not anything is due."""
    from appreg.tasks.list_due import list_due  # noqa: PLC0415 - a help text needs no register

    with open_for_reading(args) as register:
        site = site_uid(register, args.site)
        board = list_due(register, today=args.on or local_today(), within_days=args.within, site=site)
    if args.json:
        console.json(_as_json(board))
    elif args.csv:
        console.csv(_HEADS, (_cells(line) for line in board.lines))
    else:
        _show(board, console)
    return ExitCode.FINE


def _show(board: "DueBoard", console: Console) -> None:
    counts = board.counts
    console.line(
        f"On {board.on.isoformat()}: overdue {counts.overdue} · due in {board.within_days} days {counts.due_soon} · "
        f"never inspected {counts.never} · withdrawn {counts.withdrawn}"
    )
    if board.lines:
        console.table(_HEADS, ([str(cell) for cell in _cells(line)] for line in board.lines))


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


def _as_json(board: "DueBoard") -> JsonValue:
    counts = board.counts
    return {
        "on": board.on.isoformat(),
        "within": board.within_days,
        "counts": {
            "overdue": counts.overdue,
            "due_soon": counts.due_soon,
            "never_inspected": counts.never,
            "withdrawn": counts.withdrawn,
        },
        "lines": [_line_as_json(line) for line in board.lines],
    }


def _line_as_json(line: "DueLine") -> JsonValue:
    return {
        "tag": line.appliance.tag,
        "item": line.appliance.name,
        "site": line.site.name,
        "location": line.location.name,
        "what": line.what,
        "due": line.due.isoformat() if line.due else None,
        "state": line.state.value,
        "days": line.days,
        "because": line.because,
    }
