"""`appreg print`: labels, the site register or the report of a visit as PDF, issued too, and what was issued once more."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.label_sheets import confirm_labels, preview_labels, print_label_sheets, tell_glyphs
from appreg.cli.label_stocks import calibration_page, list_stocks
from appreg.cli.opening import end_writing, opened, site_named, site_uid
from appreg.cli.operator_name import operator_name
from appreg.cli.typed_options import FORCE_HELP, output_file, whole_number
from appreg.clock import local_today
from appreg.errors import UsageRefused
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import DocumentAnswer
    from appreg.paper.documents.document_outcome import DocumentSummary
    from appreg.register.opening.register_file import Register
    from appreg.tasks.documents.issue_document import IssuedPaper

_KINDS = ("labels", "register", "report", "issued")
_OF_LABELS = (
    *("stock", "start", "next_date", "again", "tags", "room", "order"),
    *("used", "together", "preview", "printed", "confirm", "spoiled"),
    *("stocks", "calibration", "offset_of"),
)


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("kind", choices=_KINDS, help="what to print")
    parser.add_argument("-o", "--output", metavar="FILE", type=output_file, help="the PDF to write")
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)
    parser.add_argument("--site", metavar="SITE", help="its name, prefix or key")
    parser.add_argument(
        "--visit", metavar="VISIT", help="its key, its date, or `latest`; without it a report is of the latest"
    )
    parser.add_argument(
        "--stock", metavar="ID", help="labels: the stock they are printed on (default: a4-24); --stocks lists them"
    )
    parser.add_argument("--start", metavar="N", type=whole_number, help="labels: the first free place, 1 at top left")
    parser.add_argument("--next-date", action="store_true", help="labels: print the next date too")
    parser.add_argument("--again", action="store_true", help="labels: those printed before as well")
    parser.add_argument(
        "--issue", action="store_true", help="register, report: issue it, with a number by which it is printed again"
    )
    parser.add_argument(
        "--document",
        metavar="N[.ISSUE]",
        type=document_named,
        help="issued: its number, and its issue (default: the latest)",
    )
    _add_label_options(parser)
    parser.add_argument("--json", action="store_true", help="write what was printed as JSON")


def _add_label_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--tags", metavar="TAGS", help="labels: of these alone, say HR-001..HR-050,HR-077")
    parser.add_argument("--room", metavar="LOCATION", help="labels: of one location alone")
    parser.add_argument("--order", choices=("tag", "room", "date"), help="labels: the order within a site")
    parser.add_argument("--used", metavar="PLACES", help="labels: places of the first sheet that are used, say 1-5,9")
    parser.add_argument("--together", action="store_true", help="labels: let sites share a sheet")
    parser.add_argument("--preview", action="store_true", help="labels: say what would lie where; write nothing")
    parser.add_argument("--printed", action="store_true", help="labels: count them as printed at once")
    parser.add_argument(
        "--confirm", metavar="PDF", type=Path, help="labels: these sheets came out, count their labels as printed"
    )
    parser.add_argument(
        "--spoiled", metavar="PLACES", help="labels: with --confirm, but not these, which wait again: 2:3,2:7-9"
    )
    parser.add_argument("--stocks", action="store_true", help="labels: list what they can be printed on")
    parser.add_argument(
        "--calibration", action="store_true", help="labels: a page that shows how far off a printer lays them"
    )
    parser.add_argument(
        "--offset-of", metavar="PRINTER", help="labels: move them as printer_offsets in the settings says for it"
    )


def run(args: argparse.Namespace, console: Console) -> int:
    """Write the file; exit code 3 where a statutory statement is missing, 1 where printed labels must be destroyed."""
    _refuse_what_does_not_go_together(args)
    if args.kind == "register" and args.visit:
        raise UsageRefused("--visit belongs to labels and reports; a register shows every item of a site.")
    if args.issue and args.kind not in {"register", "report"}:
        raise UsageRefused(f"--issue belongs to a register or a report, not to {args.kind}.")
    if (args.kind == "issued") != (args.document is not None):
        raise UsageRefused(
            "`print issued` takes --document NUMBER, and nothing else does; `appreg list issued` has the numbers."
        )
    if args.stocks or args.calibration:
        return (list_stocks if args.stocks else calibration_page)(args, console)
    return _run_on_register(args, console)


def _run_on_register(args: argparse.Namespace, console: Console) -> int:
    writes = (args.kind == "labels" and not args.preview) or args.issue
    with opened(args, console, writes=writes, search=Search.WHOLE) as register:
        if args.kind == "labels":
            if args.preview:
                return preview_labels(register, args, console)
            code = (
                confirm_labels(register, args, console) if args.confirm else print_label_sheets(register, args, console)
            )
            end_writing(register, console)
            return code
        if args.kind == "issued":
            return _print_again(register, args, console)
        if args.kind == "register":
            _print_register(register, args, console)
        else:
            _print_report(register, args, console)
        if args.issue:
            end_writing(register, console)
    return ExitCode.FINE


def _refuse_what_does_not_go_together(args: argparse.Namespace) -> None:
    if args.kind != "labels" and any(_given(args, name) for name in _OF_LABELS):
        named = ", ".join(f"--{name.replace('_', '-')}" for name in _OF_LABELS if _given(args, name))
        raise UsageRefused(f"{named} belongs to labels, not to a {args.kind}.")
    if args.spoiled and not args.confirm:
        raise UsageRefused("--spoiled goes with --confirm and the file whose sheets came out.")
    if args.confirm and (args.output or args.preview):
        raise UsageRefused("--confirm counts sheets that are written already; leave out -o and --preview.")
    if args.output is None and not (args.preview or args.confirm or args.stocks):
        raise UsageRefused("Say which file to write, with -o FILE.")


def _given(args: argparse.Namespace, name: str) -> bool:
    value = getattr(args, name)
    return value is not None and value is not False


def _print_register(register: "Register", args: argparse.Namespace, console: Console) -> None:
    from appreg.tasks.documents.issue_document import issue_register  # noqa: PLC0415 - drawing costs
    from appreg.tasks.documents.write_site_register import write_site_register  # noqa: PLC0415

    if not args.site:
        raise UsageRefused("Say which site's register to print, with --site NAME.")
    site = site_named(register, args.site)
    what, out, today = f"the register of {site.name}", args.output, local_today()
    with console.progress("drawing the register") as progress:
        if args.issue:
            issued = issue_register(
                register, operator_name(), site=site.uid, out=out, replace=args.force, today=today, progress=progress
            )
        else:
            written = write_site_register(
                register, site=site.uid, out=out, replace=args.force, today=today, progress=progress
            )
    if args.issue:
        _tell(console, args, issued.summary, what, issued)
    else:
        _tell(console, args, written, what)


def _print_report(register: "Register", args: argparse.Namespace, console: Console) -> None:
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - drawing costs
    from appreg.tasks.documents.issue_document import issue_report  # noqa: PLC0415
    from appreg.tasks.documents.write_visit_report import write_visit_report  # noqa: PLC0415
    from appreg.tasks.inspecting.choose_visit import visit_named  # noqa: PLC0415 - a help text needs no register

    if not args.site and not args.visit:
        raise UsageRefused("Say which visit to report, with --visit KEY, or --site NAME for its latest.")
    today = local_today()
    visit = visit_named(register, args.visit or "latest", site_uid(register, args.site), today=today)
    what = f"the report of the visit of {date_words(visit.date)}"
    if args.issue:
        issued = issue_report(
            register, operator_name(), visit=visit.uid, out=args.output, replace=args.force, today=today
        )
        _tell(console, args, issued.summary, what, issued)
    else:
        written = write_visit_report(register, visit=visit.uid, out=args.output, replace=args.force, today=today)
        _tell(console, args, written, what)


def _print_again(register: "Register", args: argparse.Namespace, console: Console) -> int:
    from appreg.tasks.documents.issue_document import print_again  # noqa: PLC0415 - drawing costs

    number, issue = args.document
    with console.progress("drawing it as it was") as progress:
        printed = print_again(
            register, number=number, issue=issue, out=args.output, replace=args.force, progress=progress
        )
    _tell(console, args, printed.summary, printed.document.scope, printed)
    if not printed.same:
        console.complain(
            "It tells what it told then, but was drawn by another version of appreg than the one that issued it: "
            "its bytes are not the same."
        )
    return ExitCode.FINE if printed.same else ExitCode.FOUND_WRONG


def document_named(typed: str) -> tuple[int, int | None]:
    """A document's number and issue as typed: 17, or 17.2."""
    number, dot, issue = typed.partition(".")
    return whole_number(number), whole_number(issue) if dot else None


def _tell(
    console: Console,
    args: argparse.Namespace,
    written: "DocumentSummary",
    what: str,
    issued: "IssuedPaper | None" = None,
) -> None:
    tell_glyphs(console, written.missing_glyphs)
    if args.json:
        answer: DocumentAnswer = {
            "format": "appreg.document",
            "version": 1,
            "file": str(args.output),
            "document": what,
            "missing_glyphs": list(written.missing_glyphs),
        }
        if issued is not None:
            answer["issued"] = {
                "number": issued.document.number,
                "issue": issued.document.issue,
                "on": issued.document.on.isoformat(),
                "same_bytes": issued.same,
            }
        console.json(answer)
    elif issued is not None:
        console.line(f"{args.output}: {issued.document.called}, {what}.")
    else:
        console.line(f"{args.output}: {what}.")
