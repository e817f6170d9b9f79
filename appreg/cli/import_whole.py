"""`appreg import` of what `appreg export` wrote whole: a register, made where none stands, or the sites of a folder."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import ImportedRegisterAnswer, ImportedSitesAnswer


def import_register(args: argparse.Namespace, console: Console, source: Path) -> int:
    """Make it at the place that `--register` names; exit code 1 where what the file holds is not sound."""
    from appreg.tasks.desk.locate_register import register_file, register_place  # noqa: PLC0415 - a help needs none
    from appreg.tasks.keeping.import_lines import import_lines  # noqa: PLC0415 - the same
    from appreg.tasks.keeping.remember_seals import note_made_anew  # noqa: PLC0415 - the same

    place = register_file(
        register_place(args.register, os.environ),
        because="a whole register is imported into a file, which `appreg copy` takes into a database",
    )
    with console.progress("reading and checking") as progress:
        end = import_lines(source, place, progress=progress)
    note_made_anew(place, os.environ)
    if args.json:
        answer: ImportedRegisterAnswer = {
            "format": "appreg.imported-register",
            "version": 1,
            "register": str(place),
            "line": end.line,
            "last_saved": end.time,
        }
        console.json(answer)
        return ExitCode.FINE
    console.line(f"{place}: all of {source}, checked, up to line {end.line} of the journal ({end.time_in_words}).")
    console.line("Go on with one of the two only, or take in later with `appreg merge` what was saved in the other.")
    return ExitCode.FINE


def import_sites(args: argparse.Namespace, console: Console, source: Path) -> int:
    """Import the sites of a folder, or tell without `--apply` what would come in; nothing comes in by halves."""
    from appreg.cli.opening import end_writing, opened  # noqa: PLC0415 - a help text needs none
    from appreg.cli.operator_name import operator_name  # noqa: PLC0415 - the same
    from appreg.clock import system_clock  # noqa: PLC0415
    from appreg.core.values.counted_words import counted  # noqa: PLC0415
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415
    from appreg.tasks.keeping.begin_work import Search  # noqa: PLC0415
    from appreg.tasks.keeping.import_folder import import_folder  # noqa: PLC0415
    from appreg.tasks.keeping.keep_copy import keep_copy  # noqa: PLC0415

    with opened(args, console, writes=True, search=Search.WHOLE) as register:
        if args.apply:
            with console.progress("keeping a copy") as progress:
                settings = load_settings(settings_path(os.environ))
                keep_copy(register, settings=settings, now=system_clock(), progress=progress)
        with console.progress("importing") as progress:
            made = import_folder(register, operator_name(), source, apply=args.apply, progress=progress)
        if args.apply:
            end_writing(register, console)
    if args.json:
        answer: ImportedSitesAnswer = {
            "format": "appreg.imported-sites",
            "version": 1,
            "applied": made.applied,
            "sites": [
                {"site": each.site.name, "items": each.items, "inspections": each.inspections} for each in made.sites
            ],
        }
        console.json(answer)
        return ExitCode.FINE
    for each in made.sites:
        console.line(f"{each.site.name}: {counted(each.items, 'item')}, {counted(each.inspections, 'inspection')}.")
    if not made.applied:
        console.line("Nothing was imported yet; add --apply.")
    return ExitCode.FINE
