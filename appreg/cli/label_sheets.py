"""The part of `appreg print` that is of labels: sheets written, looked at beforehand, and confirmed once they came out."""

import argparse
from typing import TYPE_CHECKING

from msgspec.structs import replace

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.label_stocks import offset_chosen, stock_chosen
from appreg.cli.opening import site_uid
from appreg.cli.operator_name import operator_name
from appreg.cli.paper_printing import job_as_json, job_words, print_sheets_written, ready_order
from appreg.clock import local_today
from appreg.core.values.counted_words import counted
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from collections.abc import Sequence

    from appreg.cli.shapes.keeping_shapes import ConfirmedAnswer, LabelsAnswer, LabelsPreview
    from appreg.core.records.print_jobs import PrintJob
    from appreg.register.opening.register_file import Register
    from appreg.tasks.documents.choose_labels import LabelChoice
    from appreg.tasks.documents.print_labels import PrintedLabels


def print_label_sheets(register: "Register", args: argparse.Namespace, console: Console) -> int:
    """Write the sheets; exit code 1 where labels on them must be destroyed."""
    from appreg.tasks.documents.print_labels import print_labels  # noqa: PLC0415 - a help text needs no drawing

    order = ready_order(register, args)
    with console.progress("drawing labels") as progress:
        printed = print_labels(
            register,
            operator_name(),
            out=args.output,
            replace_file=args.force,
            stock=stock_chosen(args),
            offset=offset_chosen(args, order.printer if order is not None else ""),
            start=1 if args.start is None else args.start,
            used=used_places(args),
            choice=_choice(register, args),
            with_next_date=args.next_date,
            count_as_printed=args.printed,
            today=local_today(),
            progress=progress,
            before=console.complain,
        )
    tell_glyphs(console, printed.missing_glyphs)
    for each in printed.left_out:
        console.complain(each.sentence)
    job = None
    if order is not None:
        sent = print_sheets_written(register, args, printed, order)
        job, printed = sent.job, replace(printed, spoilt=sent.counted.spoilt, counted=True)
    for spoilt in printed.spoilt:
        console.complain(spoilt.sentence)
    tell_printed(printed, job, args, console)
    if job is None and not (args.json or printed.counted):
        console.line(f"They wait until they came out: appreg print labels --confirm {printed.path}")
    return ExitCode.FOUND_WRONG if printed.spoilt else ExitCode.FINE


def tell_printed(printed: "PrintedLabels", job: "PrintJob | None", args: argparse.Namespace, console: Console) -> None:
    """Say what was written, and where it went."""
    if args.json:
        answer = _labels_as_json(printed)
        if job is not None:
            answer["file"] = str(printed.path) if args.kept else None
            answer["printed"] = job_as_json(job)
        console.json(answer)
        return
    named = f"{printed.path}: " if job is None or args.kept else ""
    console.line(
        f"{named}{counted(printed.count, 'label')} on {counted(printed.sheets, 'sheet')}; "
        f"the next may start at place {printed.next_start}."
    )
    if job is not None:
        said = job_words(job)
        counting = f": {counted(len(job.labels), 'label')}" if job.labels else ""
        console.line(f"{said[:1].upper()}{said[1:]}{counting}.")


def preview_labels(register: "Register", args: argparse.Namespace, console: Console) -> int:
    """Say what would lie where; nothing is written or counted."""
    from appreg.paper.labels.label_content import verdict_words  # noqa: PLC0415 - a help text needs no drawing
    from appreg.paper.labels.label_layout import Start, iterate_places  # noqa: PLC0415
    from appreg.tasks.documents.print_labels import true_and_untrue  # noqa: PLC0415

    choice, stock = _choice(register, args), stock_chosen(args)
    labels, left_out = true_and_untrue(choice.labels(register, local_today()))
    start = Start(at=1 if args.start is None else args.start, used=used_places(args))
    places = list(iterate_places(stock, choice.counts(labels), start))
    for each in left_out:
        console.complain(each.sentence)
    said = [verdict_words(each.text()) for each in labels]
    if args.json:
        answer: LabelsPreview = {
            "format": "appreg.labels-preview",
            "version": 1,
            "labels": [
                {"sheet": place.sheet, "place": place.position, "tag": label.appliance.tag, "says": words}
                for place, label, words in zip(places, labels, said, strict=True)
            ],
            "left_out": [{"tag": each.tag, "why": each.why} for each in left_out],
        }
        console.json(answer)
        return ExitCode.FINE
    rows = zip(places, labels, said, strict=True)
    console.table(
        ("sheet", "place", "tag", "says", "site", "location"),
        (
            [str(place.sheet), str(place.position), each.appliance.tag, words, each.site.name, each.room]
            for place, each, words in rows
        ),
    )
    return ExitCode.FINE


def confirm_labels(register: "Register", args: argparse.Namespace, console: Console) -> int:
    """Count sheets that came out; exit code 1 where labels on them must be destroyed."""
    from appreg.core.values.places_and_tags import read_places  # noqa: PLC0415 - only where sheets are confirmed
    from appreg.tasks.documents.confirm_printed import confirm_printed  # noqa: PLC0415

    done = confirm_printed(
        register,
        operator_name(),
        file=args.confirm,
        spoiled=read_places(args.spoiled or ""),
        today=local_today(),
    )
    for each in done.spoilt:
        console.complain(each.sentence)
    if args.json:
        answer: ConfirmedAnswer = {
            "format": "appreg.labels-confirmed",
            "version": 1,
            "file": str(args.confirm),
            "printed": done.printed,
            "waiting": done.waiting,
            "destroy": [{"tag": it.tag, "sheet": it.sheet, "place": it.place, "why": it.why} for it in done.spoilt],
        }
        console.json(answer)
    else:
        again = f"; {counted(done.waiting, 'label')} to be printed again" if done.waiting else ""
        console.line(f"{counted(done.printed, 'label')} of {args.confirm} printed{again}.")
    return ExitCode.FOUND_WRONG if done.spoilt else ExitCode.FINE


def _choice(register: "Register", args: argparse.Namespace) -> "LabelChoice":
    from appreg.core.values.places_and_tags import TagRanges  # noqa: PLC0415 - only where labels are chosen
    from appreg.tasks.documents.choose_labels import LabelChoice, LabelOrder  # noqa: PLC0415
    from appreg.tasks.inspecting.choose_visit import visit_named  # noqa: PLC0415

    site = site_uid(register, args.site)
    return LabelChoice(
        site=site,
        visit=visit_named(register, args.visit, site, today=local_today()).uid if args.visit else None,
        tags=TagRanges.read(args.tags) if args.tags is not None else None,
        room=args.room or "",
        order=LabelOrder(args.order or "tag"),
        again=args.again,
        together=args.together,
    )


def used_places(args: argparse.Namespace) -> frozenset[int]:
    """The places of the first sheet that are used; raises UsageRefused for those of another."""
    from appreg.core.values.places_and_tags import read_places  # noqa: PLC0415 - only where places are named

    places = read_places(args.used or "")
    if any(sheet > 1 for sheet, _ in places):
        raise UsageRefused("--used speaks of the first sheet alone; write places like 1-5,9.")
    return frozenset(place for _, place in places)


def _labels_as_json(printed: "PrintedLabels") -> "LabelsAnswer":
    return {
        "format": "appreg.labels",
        "version": 1,
        "file": str(printed.path),
        "labels": printed.count,
        "sheets": printed.sheets,
        "next_start": printed.next_start,
        "counted_as_printed": printed.counted,
        "missing_glyphs": list(printed.missing_glyphs),
        "lacking": list(printed.lacking),
        "left_out": [{"tag": each.tag, "why": each.why} for each in printed.left_out],
        "destroy": [
            {"tag": each.tag, "sheet": each.sheet, "place": each.place, "why": each.why} for each in printed.spoilt
        ],
    }


def tell_glyphs(console: Console, missing: "Sequence[str]") -> None:
    """Say on standard error what does not stand on paper as it was typed; what was asked for is done all the same."""
    from appreg.paper.documents.document_outcome import glyph_sentence  # noqa: PLC0415 - as late as the drawing

    if missing:
        console.complain(glyph_sentence(missing))
