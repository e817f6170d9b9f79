"""`appreg verify`: the file, its references, its journal, that journal and tables agree, and a seal noted before."""

import argparse
import os
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from appreg.cli.shapes.keeping_shapes import VerificationAnswer
    from appreg.core.records.seals import DocumentSeal
    from appreg.tasks.keeping.verify_register import Verification


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "--seal",
        metavar="SEAL",
        help="tell whether the register goes on from this seal, as verify or a document gave it",
    )
    parser.add_argument(
        "--accept",
        action="store_true",
        help="where it is sound: take it for the register that belongs there from now on",
    )
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Check; exit code 1 where anything is wrong or the seal is not contained, each problem a line with its place."""
    from appreg.core.records.seals import seal_in  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.keeping.remember_seals import accept  # noqa: PLC0415
    from appreg.tasks.keeping.verify_register import verify_with_seal  # noqa: PLC0415

    asked = seal_in(args.seal) if args.seal is not None else None
    with opened(args, console, search=Search.NONE) as register:
        with console.progress("checking") as progress:
            found = verify_with_seal(register, progress, asked=asked, environ=os.environ)
        path = register.place
        accepted = args.accept and not found.problems
        if accepted:
            accept(register, os.environ)
    if args.json:
        _write_json(console, path, found, asked, accepted=accepted if args.accept else None)
    else:
        _write(console, path, found, asked)
        if args.accept:
            console.line(
                "From now on this machine takes it for the register that belongs there."
                if accepted
                else "It is not accepted, as it is not sound."
            )
    return ExitCode.FINE if found.is_as_it_should_be else ExitCode.FOUND_WRONG


def _write(console: Console, path: str, found: "Verification", asked: "DocumentSeal | None") -> None:
    for each in found.problems:
        console.line(f"{each.place}: {each.sentence}")
    if not found.problems:
        console.line(f"{path}: sound; the journal is unbroken and agrees with the tables.")
        console.line(f"Its seal is {found.seal}")
    for remark in found.remarks:
        console.line(remark)
    if asked is not None:
        console.line(f"{asked}: {found.answer}")


def _write_json(
    console: Console, path: str, found: "Verification", asked: "DocumentSeal | None", *, accepted: bool | None
) -> None:
    answer: VerificationAnswer = {
        "format": "appreg.verification",
        "version": 1,
        "register": path,
        "sound": not found.problems,
        "problems": [{"place": each.place, "problem": each.sentence} for each in found.problems],
        "seal": None if found.problems else str(found.seal),
        "remarks": list(found.remarks),
    }
    if asked is not None:
        answer["asked"] = {"seal": str(asked), "answer": found.answer}
    if accepted is not None:
        answer["accepted"] = accepted
    console.json(answer)
