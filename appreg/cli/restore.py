"""`appreg restore`: a kept copy put in the register's place, and what stood there moved aside."""

import argparse
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.clock import system_clock
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import CopiesAnswer, KeptCopyShape, LackingShape, RestoredAnswer
    from appreg.register.history.history_comparing import Lacking
    from appreg.tasks.desk.list_copies import KeptCopy
    from appreg.tasks.keeping.restore_copy import PreparedRestore, Restored


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("file", metavar="FILE", nargs="?", help="a copy: its path, its name in the list, or `latest`")
    parser.add_argument("--list", action="store_true", help="list the kept copies, the newest first")
    parser.add_argument("--yes", action="store_true", help="do not ask")
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Check it, say what it lacks, ask, and put it in place; exit code 1 where the copy is damaged or the answer no."""
    from appreg.tasks.desk.locate_register import register_file, register_place  # noqa: PLC0415 - a help needs no register
    from appreg.tasks.keeping.restore_copy import settle_restore  # noqa: PLC0415

    if (args.file is None) == (not args.list):
        raise UsageRefused("Name the copy to restore, `latest` say, or give --list to see the kept copies.")
    place = register_place(args.register, os.environ)
    path = register_file(place, because="a copy is put into an empty database with `appreg copy FILE postgresql://…`")
    if settle_restore(path):
        console.complain(f"An earlier restore was cut short; what stood at {path} is back in its place.")
    if args.list:
        _list(path, console, as_json=args.json)
        return ExitCode.FINE
    if not args.yes and (args.json or not sys.stdin.isatty()):
        raise UsageRefused("A restore asks before it puts anything in the register's place; give --yes to do without.")
    return _restore(path, args, console)


def tell_restored(restored: "Restored", console: Console) -> None:
    """Say what a restore did."""
    console.line(
        f"{restored.register} is the copy now, up to line {restored.end.line} of the journal "
        f"({restored.end.time_in_words})."
    )
    if restored.set_aside is not None:
        console.line(f"What stood there is kept as {restored.set_aside}.")


def _restore(path: Path, args: argparse.Namespace, console: Console) -> int:
    from appreg.tasks.keeping.restore_copy import (  # noqa: PLC0415
        lacking_sentences,
        named_copy,
        prepare_restore,
        put_restored,
    )

    copy = named_copy(path, args.file)
    with console.progress("checking the copy") as progress:
        prepared = prepare_restore(path, copy, progress=progress)
    try:
        lacks = lacking_sentences(prepared)
        if not args.json:
            console.line(
                f"{copy}: sound, up to line {prepared.end.line} of the journal ({prepared.end.time_in_words})."
            )
            for sentence in lacks:
                console.line(sentence)
        if not args.yes and not console.ask(f"Put it in the place of {prepared.register}?"):
            console.line("Nothing was changed.")
            return ExitCode.FOUND_WRONG
        restored = put_restored(prepared, environ=os.environ, now=system_clock())
    finally:
        prepared.discard()
    if args.json:
        _write_json(prepared, restored, lacks, console)
    else:
        tell_restored(restored, console)
    return ExitCode.FINE


def _write_json(prepared: "PreparedRestore", restored: "Restored", lacks: tuple[str, ...], console: Console) -> None:
    answer: RestoredAnswer = {
        "format": "appreg.restored",
        "version": 1,
        "register": str(restored.register),
        "copy": str(prepared.copy),
        "line": restored.end.line,
        "last_saved": restored.end.time,
        "set_aside": None if restored.set_aside is None else str(restored.set_aside),
        "lacking": None if prepared.lacking is None else _lacking(prepared.lacking),
        "said": list(lacks),
    }
    console.json(answer)


def _lacking(found: "Lacking") -> "LackingShape":
    return {
        "standing": found.standing,
        "lines": found.lines,
        "changes": found.changes,
        "inspections": found.inspections,
        "items": found.items,
        "half_filled": found.half_filled,
    }


def _copy(copy: "KeptCopy") -> "KeptCopyShape":
    from datetime import UTC, datetime  # noqa: PLC0415 - only where JSON is asked for

    return {
        "file": str(copy.path),
        "made": datetime.fromtimestamp(copy.name.made / 1000, tz=UTC).isoformat(),
        "line": copy.name.line,
        "bytes": copy.size,
        "sound": copy.name.sound,
        "set_aside": copy.name.set_aside,
    }


def _list(path: Path, console: Console, *, as_json: bool) -> None:
    from appreg.tasks.desk.list_copies import copies_folder, kind_words, list_copies, stamp_words  # noqa: PLC0415

    copies = list_copies(copies_folder(path))
    if as_json:
        answer: CopiesAnswer = {
            "format": "appreg.copies",
            "version": 1,
            "register": str(path),
            "copies": [_copy(copy) for copy in copies],
        }
        console.json(answer)
    elif not copies:
        console.line(f"No copy of {path} is kept beside it; `appreg backup` makes one.")
    else:
        rows = [
            (stamp_words(copy.name.made), str(copy.name.line or ""), str(copy.size), kind_words(copy), copy.path.name)
            for copy in copies
        ]
        console.table(("made", "line", "bytes", "kind", "file"), rows)
