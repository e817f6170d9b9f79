"""`appreg print`: labels, the site register or the report of a visit as PDF, issued too, and what was issued once more."""

import argparse
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import end_writing, opened, site_named, site_uid
from appreg.cli.operator_name import operator_name
from appreg.cli.typed_options import FORCE_HELP, output_file, whole_number
from appreg.clock import local_today
from appreg.errors import UsageRefused
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from collections.abc import Sequence

    from appreg.cli.shapes.keeping_shapes import DocumentAnswer, LabelsAnswer
    from appreg.paper.documents.document_outcome import DocumentSummary
    from appreg.register.opening.register_file import Register
    from appreg.tasks.documents.issue_document import IssuedPaper
    from appreg.tasks.documents.print_labels import PrintedLabels

_KINDS = ("labels", "register", "report", "issued")


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("kind", choices=_KINDS, help="what to print")
    parser.add_argument("-o", "--output", metavar="FILE", required=True, type=output_file, help="the PDF to write")
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)
    parser.add_argument("--site", metavar="SITE", help="its name, prefix or key")
    parser.add_argument(
        "--visit", metavar="VISIT", help="its key, its date, or `latest`; without it a report is of the latest"
    )
    parser.add_argument("--stock", metavar="ID", help="labels: a4-24 (the default), a4-40 or a4-65 a sheet")
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
    parser.add_argument("--json", action="store_true", help="write what was printed as JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Write the file; exit code 3 where a statutory statement is missing, 1 where printed labels must be destroyed."""
    if args.kind != "labels" and (args.stock or args.start is not None or args.next_date or args.again):
        raise UsageRefused(f"--stock, --start, --next-date and --again belong to labels, not to a {args.kind}.")
    if args.kind == "register" and args.visit:
        raise UsageRefused("--visit belongs to labels and reports; a register shows every item of a site.")
    if args.issue and args.kind not in {"register", "report"}:
        raise UsageRefused(f"--issue belongs to a register or a report, not to {args.kind}.")
    if (args.kind == "issued") != (args.document is not None):
        raise UsageRefused(
            "`print issued` takes --document NUMBER, and nothing else does; `appreg list issued` has the numbers."
        )
    writes = args.kind == "labels" or args.issue
    with opened(args, console, writes=writes, search=Search.WHOLE) as register:
        if args.kind == "labels":
            code = _print_labels(register, args, console)
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


def _print_labels(register: "Register", args: argparse.Namespace, console: Console) -> int:
    from appreg.tasks.documents.print_labels import print_labels  # noqa: PLC0415
    from appreg.tasks.inspecting.choose_visit import visit_named  # noqa: PLC0415 - a help text needs no register

    site = site_uid(register, args.site)
    visit = visit_named(register, args.visit, site, today=local_today()).uid if args.visit else None
    with console.progress("drawing labels") as progress:
        printed = print_labels(
            register,
            operator_name(),
            out=args.output,
            replace_file=args.force,
            stock_id=args.stock or "a4-24",
            start=1 if args.start is None else args.start,
            site=site,
            visit=visit,
            with_next_date=args.next_date,
            again=args.again,
            today=local_today(),
            progress=progress,
            before=console.complain,
        )
    _tell_glyphs(console, printed.missing_glyphs)
    for sentence in (*(each.sentence for each in printed.left_out), *(each.sentence for each in printed.spoilt)):
        console.complain(sentence)
    code = ExitCode.FOUND_WRONG if printed.spoilt else ExitCode.FINE
    if args.json:
        console.json(_labels_as_json(printed))
        return code
    console.line(
        f"{printed.path}: {_counted(printed.count, 'label')} on {_counted(printed.sheets, 'sheet')}; "
        f"the next may start at place {printed.next_start}."
    )
    return code


def _labels_as_json(printed: "PrintedLabels") -> "LabelsAnswer":
    return {
        "format": "appreg.labels",
        "version": 1,
        "file": str(printed.path),
        "labels": printed.count,
        "sheets": printed.sheets,
        "next_start": printed.next_start,
        "missing_glyphs": list(printed.missing_glyphs),
        "lacking": list(printed.lacking),
        "left_out": [{"tag": each.tag, "why": each.why} for each in printed.left_out],
        "destroy": [
            {"tag": each.tag, "sheet": each.sheet, "place": each.place, "why": each.why} for each in printed.spoilt
        ],
    }


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
    _tell_glyphs(console, written.missing_glyphs)
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


def _tell_glyphs(console: Console, missing: "Sequence[str]") -> None:
    """Say on standard error what does not stand on paper as it was typed; what was asked for is done all the same."""
    from appreg.paper.documents.document_outcome import glyph_sentence  # noqa: PLC0415 - as late as the drawing

    if missing:
        console.complain(glyph_sentence(missing))


def _counted(number: int, what: str) -> str:
    return f"1 {what}" if number == 1 else f"{number} {what}s"
