"""Rule book, class and type as people name them on the command line."""

import argparse
from pathlib import Path
from typing import Final

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.rule_book_loading import RULE_BOOK_IDS, load_own_rule_book, load_rule_book
from appreg.core.values.text import shown
from appreg.errors import InputRefused
from appreg.given_files import read_text

_MOST_BYTES: Final = 250_000
_BOOKS: Final = f"{', '.join(RULE_BOOK_IDS)}, or your own .toml"
_TYPES: Final = ", ".join(kind for kind in EquipmentType if not kind.is_lead) + ", cord-set or lead"
_CLASS_NAMES: Final = {"i": "1", "ii": "2", "iii": "3"}
_TYPE_NAMES: Final = {"lead": EquipmentType.EXTENSION_LEAD.value}


def add_book_options(parser: argparse.ArgumentParser) -> None:
    """Declare which rules are asked."""
    parser.add_argument("--rule-book", metavar="ID", help=f"{_BOOKS} (the default is {RULE_BOOK_IDS[0]})")
    parser.add_argument("--overlay", type=Path, metavar="FILE", help="a TOML file that changes or adds values")


def add_kind_options(parser: argparse.ArgumentParser) -> None:
    """Declare what kind of item is meant."""
    parser.add_argument(
        "--class",
        dest="appliance_class",
        default=ApplianceClass.UNKNOWN.value,
        metavar="CLASS",
        help="1, 2, 3 or unknown; unknown, the default, counts as 1",
    )
    parser.add_argument("--type", dest="equipment_type", default="portable", metavar="TYPE", help=_TYPES)


def class_named(typed: str) -> ApplianceClass:
    """The class named 1, 2, 3, I, II, III or unknown in any case; raises InputRefused."""
    name = _CLASS_NAMES.get(typed.strip().lower(), typed.strip().lower())
    if name not in set(ApplianceClass):
        raise InputRefused(f"--class: '{shown(typed[:40])}' is not a class; choose one of {', '.join(ApplianceClass)}.")
    return ApplianceClass(name)


def type_named(typed: str) -> EquipmentType:
    """The equipment type of that name in any case, 'lead' for an extension lead; raises InputRefused."""
    name = typed.strip().lower()
    name = _TYPE_NAMES.get(name, name)
    if name not in set(EquipmentType):
        raise InputRefused(
            f"--type: '{shown(typed[:40])}' is not an equipment type; choose one of {', '.join(EquipmentType)}, lead."
        )
    return EquipmentType(name)


def book_named(typed: str | None, overlay: Path | None) -> RuleBook:
    """A rule book by id, or a person's own by its .toml file, with an overlay laid over a book given by id.

    None: the book that holds where none is named.
    """
    typed = RULE_BOOK_IDS[0] if typed is None else typed
    if not typed.lower().endswith(".toml"):
        book_id = typed.strip().lower()
        if overlay is None:
            return load_rule_book(book_id)
        return load_rule_book(book_id, _text_of(overlay), overlay.name)
    if overlay is not None:
        raise InputRefused(
            "--overlay goes with a rule book of the program; put the changes into your own file instead."
        )
    return load_own_rule_book(_text_of(Path(typed)), Path(typed).name)


def _text_of(path: Path) -> str:
    return read_text(path, what="a rule book", most_bytes=_MOST_BYTES)
