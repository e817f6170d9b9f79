"""`appreg scope`: a scope of work to send to a contractor, and what came of one that was sent."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import end_writing, opened, site_named
from appreg.cli.paper_printing import (
    add_printer_options,
    job_as_json,
    job_words,
    place_to_draw,
    print_paper_written,
    ready_order,
    refuse_no_printer,
)
from appreg.cli.typed_options import FORCE_HELP, day, output_file
from appreg.clock import local_today
from appreg.errors import UsageRefused
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from collections.abc import Sequence

    from appreg.cli.shapes.keeping_shapes import DocumentAnswer
    from appreg.core.records.print_jobs import PrintJob
    from appreg.core.values.uids import Uid
    from appreg.paper.documents.document_outcome import DocumentSummary
    from appreg.register.opening.register_file import Register
    from appreg.schedule.scope_of_work import ScopeOfWork

_COMPARED: Final = ("result", "tag", "item", "site", "work", "inspected", "said")


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "sites", metavar="SITE", nargs="*", help="its name, prefix or key; several are told together; without it all"
    )
    parser.add_argument(
        "--until", type=day, metavar="DATE", help="only what falls due by then, a look alone where that is all"
    )
    parser.add_argument("--minutes", type=Path, metavar="FILE", help="your own minutes for each check (TOML)")
    parser.add_argument(
        "-o",
        "--output",
        type=output_file,
        metavar="FILE",
        help="write it to a table (.csv, .xlsx), .json or a page (.pdf)",
    )
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)
    add_printer_options(parser)
    parser.add_argument(
        "--compare",
        type=Path,
        metavar="FILE",
        help="hold the register as it is now against a .csv, .xlsx or .json sent out",
    )
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="write JSON")
    form.add_argument("--csv", action="store_true", help="write CSV (RFC 4180)")


def run(args: argparse.Namespace, console: Console) -> int:
    """Tell or write it; compared, exit code 1 where an item failed, 3 where one is not done."""
    if args.force and not args.output:
        raise UsageRefused("--force belongs to --output; nothing else is written.")
    refuse_no_printer(args)
    if args.compare:
        if args.sites or args.until or args.minutes or args.output or args.printer is not None:
            raise UsageRefused("--compare takes its sites and items from the file; leave sites and other options out.")
        return _compare(args, console)
    if args.output and args.csv:
        raise UsageRefused("--csv writes to standard output; let the name of --output end in .csv instead.")
    if args.output:
        from appreg.tasks.documents.write_scope import refuse_scope_file  # noqa: PLC0415 - a help text needs no register

        refuse_scope_file(args.output, replace=args.force)
    if args.printer is not None:
        return _print(args, console)
    with opened(args, console, search=Search.WHOLE) as register:
        scope = _drawn_up(register, args, console)
    if args.output:
        _tell(scope, _write(scope, args, console), args, console)
    elif args.json:
        from appreg.exchange.scope_form import scope_as_json  # noqa: PLC0415 - if asked for

        console.json(scope_as_json(scope))
    elif args.csv:
        from appreg.exchange.scope_table import HEADS, scope_rows  # noqa: PLC0415 - if asked for

        console.csv(HEADS, scope_rows(scope))
    else:
        _show(scope, console)
    return ExitCode.FINE


def _drawn_up(register: "Register", args: argparse.Namespace, console: Console) -> "ScopeOfWork":
    from appreg.exchange.minutes_file import read_minutes  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.planning.draw_up_scope import scope_of_sites  # noqa: PLC0415

    with console.progress("drawing up the scope of work") as progress:
        return scope_of_sites(
            register,
            sites=_sites(register, args.sites),
            today=local_today(),
            until=args.until,
            minutes=read_minutes(args.minutes) if args.minutes else None,
            progress=progress,
        )


def _sites(register: "Register", named: "Sequence[str]") -> "list[Uid]":
    from appreg.core.records.kept_records import Site  # noqa: PLC0415 - a help text needs no register

    if named:
        return [site_named(register, each).uid for each in named]
    return [site.uid for site in sorted(register.find(Site), key=lambda site: site.name.casefold())]


def _print(args: argparse.Namespace, console: Console) -> int:
    """Draw the page and give it to a printer."""
    from appreg.tasks.documents.send_to_printer import PrintedPaper  # noqa: PLC0415 - only where printed

    with opened(args, console, writes=True, search=Search.WHOLE) as register, place_to_draw(args):
        order = ready_order(register, args)
        scope = _drawn_up(register, args, console)
        written = _write(scope, args, console)
        if order is not None:
            what = f"the scope of work, {scope.words}"
            job = print_paper_written(register, PrintedPaper(file=args.output, sheets=written.pages, what=what), order)
            _tell(scope, written, args, console, job)
        end_writing(register, console)
    return ExitCode.FINE


def _write(scope: "ScopeOfWork", args: argparse.Namespace, console: Console) -> "DocumentSummary":
    from appreg.paper.documents.document_outcome import glyph_sentence  # noqa: PLC0415 - as late as the drawing
    from appreg.tasks.documents.write_scope import write_scope  # noqa: PLC0415

    with console.progress("writing the scope of work") as progress:
        written = write_scope(scope, args.output, replace=args.force, progress=progress)
    if written.missing_glyphs:
        console.complain(glyph_sentence(written.missing_glyphs))
    return written


def _tell(
    scope: "ScopeOfWork",
    written: "DocumentSummary",
    args: argparse.Namespace,
    console: Console,
    job: "PrintJob | None" = None,
) -> None:
    kept = job is None or args.kept
    if args.json:
        answer: DocumentAnswer = {
            "format": "appreg.document",
            "version": 1,
            "file": str(args.output) if kept else None,
            "document": "the scope of work",
            "missing_glyphs": list(written.missing_glyphs),
        }
        if job is not None:
            answer["printed"] = job_as_json(job)
        console.json(answer)
    else:
        said = f"{args.output}: {scope.words}" if kept else f"The scope of work, {scope.words}"
        console.line(f"{said}; {job_words(job)}." if job is not None else f"{said}.")


def _show(scope: "ScopeOfWork", console: Console) -> None:
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register
    from appreg.core.values.due_words import WORK_WORDS  # noqa: PLC0415 - a help text needs no register

    until = f"due until {date_words(scope.until)}" if scope.until else "every item in service"
    console.line(f"Scope of work, {until}: {scope.words}")
    console.table(
        ("site", "class", "type", "work", "items", "minutes"),
        (
            [
                each.site,
                each.appliance_class.label,
                each.equipment_type.label,
                WORK_WORDS[each.work],
                str(each.items),
                str(each.minutes),
            ]
            for each in scope.counts
        ),
    )
    console.line()
    console.line(f"Checks wanted: {' · '.join(f'{check} {items}' for check, items in scope.checks)}")
    for site in scope.sites:
        console.line(f"{site.name}: {'; '.join(site.access)}.")
    if scope.left_out:
        console.line(f"Not in it: {' · '.join(f'{each.why} {each.items}' for each in scope.left_out)}")
    console.line()
    console.table(
        ("tag", "item", "site", "location", "work", "due", "minutes", "checks"),
        (
            [
                item.tag,
                item.name,
                item.site,
                item.location,
                WORK_WORDS[item.work],
                date_words(item.due) if item.due else "",
                str(item.minutes),
                " ".join(item.checks),
            ]
            for item in scope.items
        ),
    )


def _compare(args: argparse.Namespace, console: Console) -> int:
    from appreg.cli.compared_scope import cells_of, comparison_as_json  # noqa: PLC0415 - a help text needs no register
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415
    from appreg.exchange.scope_file import read_scope_file  # noqa: PLC0415
    from appreg.schedule.scope_of_work import ScopeResult  # noqa: PLC0415
    from appreg.tasks.planning.compare_scope import compare_scope  # noqa: PLC0415

    sent = read_scope_file(args.compare)
    with opened(args, console, search=Search.WHOLE) as register, console.progress("comparing") as progress:
        comparison = compare_scope(register, sent, today=local_today(), progress=progress)
    if args.json:
        console.json(comparison_as_json(comparison))
    elif args.csv:
        console.csv(_COMPARED, (cells_of(line, as_words=False) for line in comparison.items))
    else:
        console.line(f"Scope of work of {date_words(comparison.made_on)}, {comparison.words}")
        console.table(_COMPARED, (cells_of(line, as_words=True) for line in comparison.items))
    if comparison.any_failed:
        return ExitCode.FOUND_WRONG
    return ExitCode.INCOMPLETE if comparison.count(ScopeResult.NOT_DONE) else ExitCode.FINE
