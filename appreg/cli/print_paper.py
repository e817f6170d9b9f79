"""`appreg print`: labels, every declared document as a PDF, lists as CSV too, and what was issued once more."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.label_names import print_name_labels, refuse_other_labels
from appreg.cli.label_sheets import confirm_labels, preview_labels, print_label_sheets, tell_glyphs
from appreg.cli.label_stocks import calibration_page, list_stocks
from appreg.cli.opening import end_writing, opened, site_named, site_uid
from appreg.cli.operator_name import operator_name
from appreg.cli.paper_printing import (
    add_printer_options,
    add_spoiled_job,
    job_as_json,
    job_words,
    place_to_draw,
    print_paper_written,
    ready_order,
    refuse_printer_options,
    spoil_labels,
)
from appreg.cli.typed_options import FORCE_HELP, day, output_file, whole_number
from appreg.clock import local_today
from appreg.errors import UsageRefused
from appreg.tasks.documents.paper_kinds import (
    ASK_HELP,
    PAPERS,
    Ask,
    Asked,
    Of,
    PaperKind,
    asked_by,
    paper_named,
)
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

    from appreg.cli.shapes.keeping_shapes import DocumentAnswer
    from appreg.core.records.print_jobs import PrintJob
    from appreg.core.values.uids import Uid
    from appreg.paper.documents.document_outcome import DocumentSummary
    from appreg.printers import PrintOrder
    from appreg.register.opening.register_file import Register
    from appreg.tasks.documents.issue_document import IssuedPaper

_LABELS, _ISSUED = "labels", "issued"
_OF_LABELS = (
    *("stock", "start", "next_date", "again", "tags", "room", "order"),
    *("used", "together", "preview", "printed", "confirm", "spoiled"),
    *("stocks", "calibration", "offset_of", "beforehand", "locations"),
)


_FORMS: "Final[dict[Ask, Callable[[str], object]]]" = {
    Ask.SINCE: day,
    Ask.UNTIL: day,
    Ask.WITHIN: whole_number,
    Ask.SPARE: whole_number,
}
_METAVARS: "Final[dict[Ask, str]]" = {
    Ask.SINCE: "DATE",
    Ask.UNTIL: "DATE",
    Ask.WITHIN: "DAYS",
    Ask.SPARE: "N",
    Ask.ALSO: "TAGS",
}
_BOTH: Final = frozenset({Ask.ROOM})
"""What labels are told too, by an option of theirs."""
_SAY_OF_WHAT: "Final[dict[Of, str]]" = {
    Of.SITE: "Say of which site, with --site NAME.",
    Of.VISIT: "Say which visit to report, with --visit KEY, or --site NAME for its latest; or which job, with --job NAME.",
    Of.ITEM: "Say of which item, with --item TAG.",
}


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "kind",
        metavar="WHAT",
        choices=(_LABELS, _ISSUED, *(each.name for each in PAPERS)),
        help=f"what to print: {_said_of_all()}",
    )
    parser.add_argument(
        "-o", "--output", metavar="FILE", type=output_file, help="the PDF to write; of a list also .csv or .xlsx"
    )
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
    parser.add_argument("--job", metavar="JOB", help="report: of this job, by its name or key")
    parser.add_argument("--item", metavar="TAG", help="of this item alone: its tag in any case, or its key")
    parser.add_argument(
        "--issue",
        action="store_true",
        help=f"{_names(each.name for each in PAPERS if each.issues)}: issue it, with a number by which it is printed again",
    )
    _add_asks(parser)
    parser.add_argument(
        "--document",
        metavar="N[.ISSUE]",
        type=document_named,
        help="issued: its number, and its issue (default: the latest)",
    )
    _add_label_options(parser)
    add_printer_options(parser)
    add_spoiled_job(parser)
    parser.add_argument("--json", action="store_true", help="write what was printed as JSON")


def _add_label_options(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--tags", metavar="TAGS", help="labels: of these alone, say HR-001..HR-050,HR-077")
    rooms = _names((_LABELS, *asked_by(PAPERS, Ask.ROOM)))
    parser.add_argument("--room", metavar="LOCATION", help=f"{rooms}: {ASK_HELP[Ask.ROOM]}")
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
    parser.add_argument(
        "--beforehand", metavar="TAGS", help="labels: tags and codes for items that are still to come, HR-101..HR-140"
    )
    parser.add_argument("--locations", action="store_true", help="labels: of the locations of a site, to be scanned")
    parser.add_argument("--stocks", action="store_true", help="labels: list what they can be printed on")
    parser.add_argument(
        "--calibration", action="store_true", help="labels: a page that shows how far off a printer lays them"
    )
    parser.add_argument(
        "--offset-of", metavar="PRINTER", help="labels: move them as printer_offsets in the settings says for it"
    )


def _add_asks(parser: argparse.ArgumentParser) -> None:
    """Declare what documents may be told, each with the names of those that may."""
    for ask in Ask:
        names = asked_by(PAPERS, ask)
        if not names or ask in _BOTH:
            continue
        said = f"{_names(names)}: {ASK_HELP[ask]}"
        if ask is Ask.DETAILS:
            parser.add_argument(f"--{ask}", action=argparse.BooleanOptionalAction, help=said)
        else:
            parser.add_argument(
                f"--{ask}", type=_FORMS.get(ask, str), metavar=_METAVARS.get(ask, ask.upper()), help=said
            )


def _said_of_all() -> str:
    own = f"{_LABELS} (those that wait); {_ISSUED} (an issued document as it was)"
    return "; ".join((own, *(f"{each.name} ({each.help})" for each in PAPERS)))


def _names(names: "Iterable[str]") -> str:
    return ", ".join(names)


def run(args: argparse.Namespace, console: Console) -> int:
    """Write the file; exit code 3 where a statutory statement is missing, 1 where printed labels must be destroyed."""
    _refuse_what_does_not_go_together(args)
    if args.stocks:
        return list_stocks(args, console)
    if args.calibration and args.printer is None:
        return calibration_page(None, args, console)
    reads_only = args.preview or args.beforehand or args.locations
    writes = (args.kind == _LABELS and not reads_only) or args.issue or args.printer is not None
    with opened(args, console, writes=writes, search=Search.WHOLE) as register, place_to_draw(args):
        code = _printed(register, args, console)
        if writes:
            end_writing(register, console)
    return code


def _printed(register: "Register", args: argparse.Namespace, console: Console) -> int:
    if args.kind == _LABELS:
        return _labels(register, args, console)
    if args.kind == _ISSUED:
        return _print_again(register, args, console)
    return _print_paper(register, args, console, paper_named(args.kind))


def _labels(register: "Register", args: argparse.Namespace, console: Console) -> int:
    if args.calibration:
        return calibration_page(register, args, console)
    if args.beforehand or args.locations:
        return print_name_labels(register, args, console)
    if args.preview:
        return preview_labels(register, args, console)
    if args.print_job is not None:
        return spoil_labels(register, args, console)
    return confirm_labels(register, args, console) if args.confirm else print_label_sheets(register, args, console)


def _refuse_what_does_not_go_together(args: argparse.Namespace) -> None:
    if args.kind in {_LABELS, _ISSUED}:
        _refuse(args, args.kind, [*(ask.value for ask in Ask if ask not in _BOTH), "item", "issue", "job"])
    else:
        paper = paper_named(args.kind)
        _refuse(args, args.kind, [ask.value for ask in Ask if ask not in paper.asks])
        _refuse_other_things(args, paper)
    if (args.kind == _ISSUED) != (args.document is not None):
        raise UsageRefused(
            "`print issued` takes --document NUMBER, and nothing else does; `appreg list issued` has the numbers."
        )
    theirs = [name for name in _OF_LABELS if _given(args, name) and not _is_told(args.kind, name)]
    if args.kind != _LABELS and theirs:
        named = ", ".join(f"--{name.replace('_', '-')}" for name in theirs)
        raise UsageRefused(f"{named} belongs to labels, not to a {args.kind}.")
    refuse_printer_options(args)
    if args.spoiled and not args.confirm and args.print_job is None:
        raise UsageRefused(
            "--spoiled goes with --confirm and the file whose sheets came out, or --print-job and what was printed."
        )
    if args.confirm and (args.output or args.preview):
        raise UsageRefused("--confirm counts sheets that are written already; leave out -o and --preview.")
    if args.beforehand or args.locations:
        refuse_other_labels(args)
    elsewhere = args.preview or args.confirm or args.stocks or args.printer is not None or args.print_job is not None
    if args.output is None and not elsewhere:
        raise UsageRefused("Say which file to write, with -o FILE, or where to print it, with --printer NAME.")


def _is_told(kind: str, name: str) -> bool:
    """Tell whether a document takes an option that labels take too."""
    return kind not in {_LABELS, _ISSUED} and any(ask.value == name for ask in paper_named(kind).asks)


def _given(args: argparse.Namespace, name: str) -> bool:
    value = getattr(args, name, None)
    return value is not None and (value is not False or name == Ask.DETAILS)


def _refuse(args: argparse.Namespace, kind: str, names: "Iterable[str]") -> None:
    """Refuse options that say nothing to this document."""
    for name in names:
        if _given(args, name):
            raise UsageRefused(
                f"--{name} says nothing to `print {kind}`; `appreg print --help` tells which it belongs to."
            )


def _refuse_other_things(args: argparse.Namespace, paper: PaperKind) -> None:
    """Refuse a site, a visit or an item that such a document cannot be of, and one that it cannot be issued."""
    if args.visit and Of.VISIT not in paper.of:
        raise UsageRefused(f"--visit belongs to labels and reports; the {paper.label} is not of one visit.")
    if args.job and Of.JOB not in paper.of:
        raise UsageRefused(f"--job says nothing to `print {paper.name}`: the {paper.label} is not of one job.")
    if args.job and args.visit:
        raise UsageRefused("Name a visit or a job, not both.")
    if args.item and Of.ITEM not in paper.of:
        raise UsageRefused(f"--item says nothing to `print {paper.name}`: the {paper.label} is not of one item.")
    if args.site and not set(paper.of) & {Of.SITE, Of.VISIT}:
        raise UsageRefused(f"--site says nothing to `print {paper.name}`: the {paper.label} is not of one site.")
    if args.site and args.item:
        raise UsageRefused("Name a site or an item, not both.")
    if args.issue and not paper.issues:
        raise UsageRefused(f"--issue says nothing to `print {paper.name}`: it is printed only, and has no number.")


def _asked(register: "Register", args: argparse.Namespace, paper: PaperKind) -> Asked:
    """What the options ask for."""
    told = {ask.value: getattr(args, ask) for ask in paper.asks if _given(args, ask.value)}
    if args.job:
        from appreg.tasks.inspecting.keep_job import job_named  # noqa: PLC0415 - only where a job is named

        return Asked(job=job_named(register, args.job, site_uid(register, args.site)).uid, **told)
    if args.visit or (args.site and Of.SITE not in paper.of):
        from appreg.tasks.inspecting.choose_visit import visit_named  # noqa: PLC0415 - a help text needs no register

        visit = visit_named(register, args.visit or "latest", site_uid(register, args.site), today=local_today())
        return Asked(visit=visit.uid, **told)
    if args.item:
        from appreg.tasks.items.find_items import item_meant  # noqa: PLC0415 - only where an item is named

        return Asked(item=item_meant(register, args.item).uid, **told)
    if not args.site and Of.ALL not in paper.of:
        raise UsageRefused(_SAY_OF_WHAT[paper.of[0]])
    return Asked(site=site_named(register, args.site).uid if args.site else None, **told)


def _print_paper(register: "Register", args: argparse.Namespace, console: Console, paper: PaperKind) -> int:
    from appreg.tasks.documents.name_paper import paper_site, paper_words  # noqa: PLC0415 - a help text needs no drawing
    from appreg.tasks.documents.write_paper import issue_paper, write_paper  # noqa: PLC0415

    asked = _asked(register, args, paper)
    what, today = paper_words(register, paper, asked), local_today()
    order = ready_order(register, args)
    with console.progress(f"drawing the {paper.name}") as progress:
        if args.issue:
            issued = issue_paper(
                register,
                operator_name(),
                paper,
                asked,
                out=args.output,
                replace=args.force,
                today=today,
                progress=progress,
            )
        else:
            written = write_paper(
                register, paper, asked, out=args.output, replace=args.force, today=today, progress=progress
            )
    summary, known = (issued.summary, issued) if args.issue else (written, None)
    document = known.document.uid if known is not None else None
    job = _sent(register, args, order, summary, what, site=paper_site(register, asked), document=document)
    _tell(console, args, summary, what, known, job=job)
    return ExitCode.FINE


def _sent(
    register: "Register",
    args: argparse.Namespace,
    order: "PrintOrder | None",
    written: "DocumentSummary",
    what: str,
    *,
    site: "Uid | None",
    document: "Uid | None",
) -> "PrintJob | None":
    """Print what was written, where that was asked for."""
    if order is None:
        return None
    from appreg.tasks.documents.send_to_printer import PrintedPaper  # noqa: PLC0415 - only where printed

    paper = PrintedPaper(file=args.output, sheets=written.pages, what=what, site=site, document=document)
    return print_paper_written(register, paper, order)


def _print_again(register: "Register", args: argparse.Namespace, console: Console) -> int:
    from appreg.tasks.documents.issue_document import print_again  # noqa: PLC0415 - drawing costs

    number, issue = args.document
    order = ready_order(register, args)
    with console.progress("drawing it as it was") as progress:
        printed = print_again(
            register, number=number, issue=issue, out=args.output, replace=args.force, progress=progress
        )
    document = printed.document
    what = f"{document.called}, {document.scope}"
    job = _sent(register, args, order, printed.summary, what, site=document.site, document=document.uid)
    _tell(console, args, printed.summary, document.scope, printed, job=job)
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
    *,
    job: "PrintJob | None" = None,
) -> None:
    tell_glyphs(console, written.missing_glyphs)
    if args.json:
        answer: DocumentAnswer = {
            "format": "appreg.document",
            "version": 1,
            "file": str(args.output) if job is None or args.kept else None,
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
        if job is not None:
            answer["printed"] = job_as_json(job)
        console.json(answer)
    else:
        named = what if issued is None else f"{issued.document.called}, {what}"
        where = [f"{args.output}: {named}"] if job is None or args.kept else [f"{named[:1].upper()}{named[1:]}"]
        console.line(f"{'; '.join([*where, *([job_words(job)] if job is not None else [])])}.")
