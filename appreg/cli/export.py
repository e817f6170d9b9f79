"""`appreg export`: the whole register as one file, sites as folders, or the list of items; each can be imported again."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING, Final, Literal

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened, site_uid
from appreg.cli.typed_options import FORCE_HELP
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from collections.abc import Callable

    from appreg.cli.shapes.keeping_shapes import ExportedAnswer

_PARTS: Final = ("issued", "printed", "plans")


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "file",
        metavar="FILE",
        help="NAME.jsonl: the whole register, lossless; NAME.csv or NAME.xlsx: the list of items; any other name: a new "
        "folder for the site, or one for each",
    )
    parser.add_argument("--site", metavar="SITE", help="one site alone, by name, prefix or key")
    parser.add_argument(
        "--leave-out",
        metavar="PART",
        action="append",
        default=[],
        choices=_PARTS,
        help="what no folder of a site can hold: issued (documents), printed (what printers took), plans (kept plans)",
    )
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Write it; exit code 1 where the register is not sound."""
    from appreg.exchange.list_file import CSV  # noqa: PLC0415 - a help text needs none
    from appreg.exchange.list_workbook import XLSX  # noqa: PLC0415 - the same
    from appreg.exchange.register_lines import LINES_END  # noqa: PLC0415 - the same
    from appreg.tasks.desk.named_file import named_file  # noqa: PLC0415 - the same

    out = named_file(args.file, field="FILE")
    forms: dict[str, Callable[[argparse.Namespace, Console, Path], int]] = {
        LINES_END: _export_lines,
        CSV: _export_items,
        XLSX: _export_items,
    }
    form = forms.get(out.suffix.lower(), _export_folders)
    _refuse_idle_options(args, folder=form is _export_folders, whole=form is _export_lines)
    return form(args, console, out)


def _refuse_idle_options(args: argparse.Namespace, *, folder: bool, whole: bool) -> None:
    if args.leave_out and not folder:
        raise UsageRefused("--leave-out belongs to folders of sites; nothing is left out of a file.")
    if args.force and folder:
        raise UsageRefused("--force belongs to files; a folder of a site is a new one.")
    if args.site is not None and whole:
        raise UsageRefused("--site belongs to folders and lists; JSON Lines are the whole register.")


def _export_folders(args: argparse.Namespace, console: Console, out: Path) -> int:
    from appreg.core.values.counted_words import counted  # noqa: PLC0415 - a help text needs none
    from appreg.tasks.keeping.export_site import export_site, export_sites  # noqa: PLC0415 - the same

    with opened(args, console) as register, console.progress("writing") as progress:
        site = site_uid(register, args.site)
        if site is None:
            made = export_sites(register, out, leave_out=args.leave_out, progress=progress)
        else:
            made = (export_site(register, site, out, leave_out=args.leave_out, progress=progress),)
    if args.json:
        return _answered(console, out, "site-folder", sum(each.items for each in made))
    for each in made:
        console.line(f"{each.folder}: {each.site.name}, {counted(each.items, 'item')}, in readable files.")
    if made:
        console.line(f"It makes an equal site in another register: appreg --register OTHER import {out} --apply")
    else:
        console.line("The register has no site; nothing was written.")
    return ExitCode.FINE


def _export_items(args: argparse.Namespace, console: Console, out: Path) -> int:
    from appreg.core.values.counted_words import counted  # noqa: PLC0415 - a help text needs none
    from appreg.tasks.items.export_items import export_items  # noqa: PLC0415 - the same

    with opened(args, console) as register, console.progress("writing") as progress:
        site = site_uid(register, args.site)
        count = export_items(register, out, site=site, replace=args.force, progress=progress)
    if args.json:
        return _answered(console, out, "items", count)
    console.line(
        f"{out}: {counted(count, 'item')}, a column for each field; imported again it changes what was changed."
    )
    return ExitCode.FINE


def _answered(console: Console, out: Path, form: Literal["register-lines", "site-folder", "items"], rows: int) -> int:
    answer: ExportedAnswer = {"format": "appreg.exported", "version": 1, "file": str(out), "form": form, "rows": rows}
    console.json(answer)
    return ExitCode.FINE


def _export_lines(args: argparse.Namespace, console: Console, out: Path) -> int:
    from appreg.tasks.keeping.export_lines import export_lines  # noqa: PLC0415 - a help text needs none

    with opened(args, console) as register, console.progress("checking and writing") as progress:
        made = export_lines(register, out, replace=args.force, progress=progress)
    if args.json:
        return _answered(console, out, "register-lines", made.lines)
    console.line(
        f"{out}: the whole register, checked; {made.lines} lines, up to line {made.end.line} of the journal "
        f"({made.end.time_in_words})."
    )
    console.line(f"It makes an equal one: appreg --register NEW import {out}")
    return ExitCode.FINE
