"""`appreg schema`: the JSON Schema of what a command writes as JSON."""

import argparse
from typing import Any

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.errors import InputRefused


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("name", metavar="FORMAT", nargs="?", help="the `format` of the JSON, say due; all if absent")


def run(args: argparse.Namespace, console: Console) -> int:
    """Write the schema (JSON Schema, draft 2020-12), or list the formats."""
    from appreg.cli.shapes.every_answer import schemas  # noqa: PLC0415 - a help text needs none

    every = schemas()
    if args.name is None:
        console.table(("format", "version", "of"), (_row(name, schema) for name, schema in every.items()))
        return ExitCode.FINE
    named = args.name if args.name.startswith("appreg.") else f"appreg.{args.name}"
    if named not in every:
        raise InputRefused(f"FORMAT: nothing is written as {args.name}; `appreg schema` lists the formats.")
    console.json(every[named])
    return ExitCode.FINE


def _row(name: str, schema: dict[str, Any]) -> tuple[str, str, str]:
    definitions, place = schema["$defs"], str(schema["$ref"]).rpartition("/")[2]
    told = definitions[place]
    bears = told if "properties" in told else definitions["LinesHead"]
    return name, str(bears["properties"]["version"]["enum"][0]), str(told["description"]).replace("`", "").rstrip(".")
