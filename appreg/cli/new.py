"""`appreg new`: a new register, where nothing is yet, or a record in the present one."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import end_writing, opened
from appreg.cli.operator_name import operator_name
from appreg.cli.typed_options import day
from appreg.errors import UsageRefused
from appreg.tasks.keeping.begin_work import Search

if TYPE_CHECKING:
    from appreg.cli.new_records import Made
    from appreg.cli.shapes.keeping_shapes import NewRegisterAnswer
    from appreg.cli.shapes.list_shapes import NewRecordsAnswer

_OPTIONS: Final = (
    ("client", "address", "ADDRESS", "of a client, a site, a person or a firm, as documents print it"),
    ("client", "agent-name", "NAME", "a landlord's agent, if any"),
    ("client", "agent-address", "ADDRESS", "where the agent is"),
    ("client", "notes", "TEXT", "notes; of a visit, begun with Limitations, they are printed on the report"),
    ("site", "client", "CLIENT", "the duty holder, by name"),
    ("site", "environment", "ID", "where items are used; `appreg interval --list` names them"),
    ("site", "prefix", "LETTERS", "what its tags begin with; the initials of its name if absent"),
    ("site", "rule-book", "ID", "gb, the default, eu or anz"),
    ("site", "interval-table", "ID", "an interval table of the book; its default if absent"),
    ("site", "landlord-profile", "ID", "the statutory duty that applies, if any"),
    ("site", "responsible", "NAME", "who sees to it there that items are inspected in time"),
    ("site", "responsible-contact", "TEXT", "how to reach that person"),
    ("site", "district", "NAME", "sites of one district can be visited on one day"),
    (
        "site",
        "days",
        "DAYS",
        "days of visits, or of a crew's work: 'tue, thu', or a rule of RFC 5545; Monday to Friday if absent",
    ),
    ("site", "closed", "SPANS", "days on which nobody is let in, with commas: '24.12.2026..3.1.2027 (works closed)'"),
    ("site", "preferred", "SPANS", "days on which a visit suits best, likewise"),
    ("site", "set-up-minutes", "N", "minutes of each visit before the first item and after the last"),
    ("site", "travel-minutes", "N", "minutes from the base to a site, or between two districts, one way"),
    ("location", "site", "SITE", "its name, prefix or key"),
    ("person", "initials", "LETTERS", "as labels show them"),
    ("person", "qualifications", "TEXT", "what makes the person competent"),
    ("person", "firm", "NAME", "whom the person works for"),
    ("instrument", "serial", "NUMBER", "its serial number"),
    ("instrument", "accuracy", "TEXT", "as its sheet states it: earth-continuity: 2 %% + 5 × 0.01"),
    ("category", "code", "CODE", "a short code, 1 to 8 letters or figures"),
    ("category", "also-called", "NAMES", "other names that people type for it, with commas between"),
    ("category", "connection", "HOW", "plug, hard-wired, industrial-connector or battery; as its type says if absent"),
    ("category", "volts", "V", "rated voltage; the usual supply if absent"),
    ("crew", "people", "N", "how many of them inspect and test; 1 if absent"),
    ("crew", "minutes-a-day", "N", "minutes of each person and day, ways included; 420 if absent"),
    ("crew", "away", "SPANS", "days on which they do not work, with commas: '1.8.2027..14.8.2027 (leave)'"),
    ("crew", "base", "TEXT", "where they set out from"),
    ("way", "other", "DISTRICT", "the other of the two districts"),
    ("item", "location", "NAME", "the room or area it stands in"),
    ("item", "tag", "TAG", "the tag that is on it already; the next of the site if absent"),
    ("item", "cord", "CORD", "size and length: 0.75 x 0.8; of an item as read, 0.75 x 0.8 measured too"),
    ("item", "owner-name", "NAME", "whose it is, where it is not the client's"),
    ("item", "fuse", "A", "the fuse in the plug; - for none"),
    ("item", "power", "POWER", "rated power: 2.2 kW"),
    ("visit", "person", "NAME", "who inspects and signs; initials do"),
    ("visit", "instrument", "SERIAL", "the instrument, by serial number or name"),
    ("visit", "instrument-check", "TEXT", "its check of the day: leads nulled, a known resistance read"),
    ("visit", "fixed-wiring-reference", "TEXT", "the report on the fixed wiring done alongside"),
    ("visit", "job", "JOB", "the job that it is part of, by its name at that site"),
    ("visit", "period-colour", "WORD", "the colour of the period on a building site"),
    ("job", "visits", "DAYS", "the visits it is of, by their dates or keys with commas; or all, of the site so far"),
    ("job", "extent", "TEXT", "what was to be inspected, as agreed"),
    ("job", "limitations", "TEXT", "what could not be done, or was agreed not to be"),
    ("job", "wiring-report", "NUMBER", "the report on the fixed wiring"),
    ("job", "wiring-rcd", "TEXT", "what that report says of residual current devices for the sockets"),
    ("job", "signatory", "NAME", "who signs for the duty holder"),
    ("figure", "document", "TITLE", "the copy that it was compared with"),
    ("figure", "edition", "TEXT", "the edition of that copy"),
    ("firm", "phone", "NUMBER", "as documents print it"),
    ("firm", "email", "ADDRESS", "as documents print it"),
)
"""Texts: the kind that each is told under, its option, and what it is."""
_ALSO: Final = {
    "address": ("site", "person", "firm"),
    "notes": ("site", "instrument", "visit", "crew", "job"),
    "days": ("crew",),
    "counted_from": ("crew",),
    "rule_book": ("figure",),
    "on": ("figure",),
    "travel_minutes": ("way",),
    "environment": ("location",),
    "site": ("item", "visit", "job"),
    **dict.fromkeys(("appliance_class", "equipment_type", "cord", "fuse", "power"), ("category",)),
}
"""Options that other kinds take too."""
KINDS: Final = (
    "client",
    "site",
    "location",
    "person",
    "instrument",
    "category",
    "crew",
    "way",
    "item",
    "visit",
    "job",
    "firm",
    "figure",
)
_CATEGORY_FLAGS: Final = {
    "heating": "it heats or cooks",
    "microwave": "it is a microwave oven",
    "battery": "it is battery powered",
    "moulded-plug": "its plug is moulded on",
    "mineral-insulated": "its heating element is mineral-insulated",
    "unsuitable-500v": "500 V d.c. would harm it",
}
"""By option: what is so of such an item."""
_DAYS: Final = {
    "site": {"counted-from": "the day from which every second week, say, counts"},
    "instrument": {"calibration-due": "when its calibration falls due, a date"},
    "visit": {"on": "on this day (default: today)"},
    "job": {
        "wiring-on": "the day of the report on the fixed wiring",
        "wiring-next": "when the fixed wiring falls due, by that report",
    },
}
"""By kind and option: which day it is."""


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "what",
        metavar="FILE|KIND",
        help=f"where to make a register, a file or postgresql://…, nothing may be there; or one of {', '.join(KINDS)}",
    )
    parser.add_argument(
        "name", metavar="NAME", nargs="?", help="what it is called; of items as on the walk-round: '4 desk lamp'"
    )
    for kind in KINDS:
        group = parser.add_argument_group(f"a new {kind}")
        for _, option, metavar, text in (each for each in _OPTIONS if each[0] == kind):
            group.add_argument(f"--{option}", metavar=metavar, help=text)
        if kind == "site":
            group.add_argument(
                "--guarded", action="store_true", help="pass only what clears its limit by the uncertainty"
            )
        if kind == "category":
            for option, text in _CATEGORY_FLAGS.items():
                group.add_argument(f"--{option}", action="store_true", help=text)
        if kind == "item":
            group.description = "class, type, cord, fuse and power: of an item as read, of a category as usual"
            group.add_argument("--class", dest="appliance_class", metavar="CLASS", help="1, 2, 3, 1 metal, 2 fe")
            group.add_argument(
                "--type", dest="equipment_type", metavar="TYPE", help="portable, hand-held …; its beginning does"
            )
        for option, text in _DAYS.get(kind, {}).items():
            group.add_argument(f"--{option}", type=day, metavar="DATE", help=text)
        if kind == "visit":
            group.add_argument(
                "--additional-protection", action="store_true", help="the sockets are behind RCDs of 30 mA or less"
            )
    parser.add_argument("--json", action="store_true", help="write JSON")


def run(args: argparse.Namespace, console: Console) -> int:
    """Make it and say what was made; exit code 2 where anything is there, or something is missing."""
    if args.what not in KINDS:
        return _make_register(args, console)
    from appreg.cli.new_records import make_records  # noqa: PLC0415 - a help text needs no register

    _refuse_strangers(args)
    with opened(args, console, writes=True, search=Search.WHOLE) as register:
        made = make_records(register, operator_name(), args, say=console.complain)
        end_writing(register, console)
    if args.json:
        console.json(_as_json(args.what, made))
    else:
        for _, words in made:
            console.line(f"new {args.what}: {words}")
    return ExitCode.FINE


def _as_json(what: str, made: "Made") -> "NewRecordsAnswer":
    return {
        "format": "appreg.new",
        "version": 1,
        "what": what,
        "made": [{"uid": record.uid, "words": words} for record, words in made],
    }


def _refuse_strangers(args: argparse.Namespace) -> None:
    """Raise UsageRefused for an option of another kind: what was typed would be lost."""
    own = {"guarded": "site", "appliance_class": "item", "equipment_type": "item"}
    own |= {
        "additional_protection": "visit",
        **{each[1].replace("-", "_"): each[0] for each in _OPTIONS},
        **{each.replace("-", "_"): "category" for each in _CATEGORY_FLAGS},
        **{each.replace("-", "_"): kind for kind, days in _DAYS.items() for each in days},
    }
    for name, kind in own.items():
        if getattr(args, name) and args.what not in {kind, *_ALSO.get(name, ())}:
            option = {"appliance_class": "class", "equipment_type": "type"}.get(name, name.replace("_", "-"))
            raise UsageRefused(f"--{option} belongs to a new {kind}, not to a new {args.what}.")


def _make_register(args: argparse.Namespace, console: Console) -> int:
    from appreg.tasks.desk.locate_register import named_place  # noqa: PLC0415
    from appreg.tasks.keeping.keep_chains import note_file_made_here  # noqa: PLC0415
    from appreg.tasks.keeping.make_new_register import make_new_register  # noqa: PLC0415
    from appreg.tasks.keeping.remember_seals import note_made_anew  # noqa: PLC0415

    file = args.name if args.what == "register" else args.what
    if file is None or (args.what != "register" and args.name is not None):
        raise UsageRefused(f"A new register is named by its file alone; of records there are {', '.join(KINDS)}.")
    place = named_place(file, os.environ, field="FILE")
    categories = make_new_register(place, operator_name())
    if isinstance(place, Path):
        note_made_anew(place, os.environ)
        note_file_made_here(place, os.environ)
    if args.json:
        answer: NewRegisterAnswer = {
            "format": "appreg.new-register",
            "version": 1,
            "register": str(place),
            "categories": categories,
        }
        console.json(answer)
    else:
        console.line(f"The new register is {place}")
        console.line(f"{categories} categories · no sites yet")
        console.line(f"Open it with: appreg --register {place}")
    return ExitCode.FINE
