"""What lines of an instrument at the bench say, by a mapping of a person's own: no instrument's protocol is built in."""

import re
from collections.abc import Mapping
from typing import Final

from msgspec import Struct
from msgspec import field as made_anew

from appreg.core.records.checks import Check
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.errors import InputRefused
from appreg.exchange.cell_figures import OVER
from appreg.exchange.cell_refused import CellRefused, quoted
from appreg.exchange.cell_words import verdict_meant
from appreg.exchange.column_mapping import OVER_RANGE, ColumnMapping, MappedColumn
from appreg.exchange.import_fields import ImportKind, by_name
from appreg.exchange.mapped_cells import as_typed

LONGEST_INSTRUMENT_LINE: Final = 200
"""Characters of one line; anything longer is none of an instrument."""
READING: Final = "reading"
"""The place of a reading whose check is named by the line, by the mapping, or by the cursor."""
UNIT: Final = "unit"
CHECK: Final = "check"
ANYTHING: Final = "*"
"""A place that is passed over."""
_LEAST_BEGINNING: Final = 2
_READING_BEGINS: Final = tuple("0123456789<>.,+-")
"""What a person types at the beginning of a reading: no line of an instrument is told by that from typed keys."""


class InstrumentPort(Struct, frozen=True, kw_only=True):
    """How a serial port is set."""

    speed: int = 9600
    """Bits a second."""
    data_bits: int = 8
    parity: str = "none"
    """none, even or odd."""
    stop_bits: int = 1
    encoding: str = "utf-8"


class LinePattern(Struct, frozen=True, kw_only=True):
    """One form of line: words as they stand, and places in braces."""

    written: str
    """As the mapping has it: `PE {earth-continuity} {*}`."""
    places: tuple[str, ...]
    """What stands between braces, from left to right."""
    form: re.Pattern[str]
    """A group for each place; it never goes back over what it took."""
    check: Check | None = None
    """What `{reading}` is of; None: what `{check}` says, or the line under the cursor."""
    unit: str = ""
    """The unit of `{reading}` where the line has none; empty: that of its check."""

    @property
    def beginning(self) -> str:
        """The first word before any place, by which keys are known as a line; empty where it would not tell them apart."""
        word = re.split(r"[\s{]", self.written, maxsplit=1)[0]
        return word if tells_from_typing(word) else ""


class InstrumentLines(Struct, frozen=True, kw_only=True):
    """How the lines of one instrument are read."""

    name: str
    """The file it was read from, for sentences."""
    patterns: tuple[LinePattern, ...]
    """The first that fits a line takes it."""
    port: InstrumentPort = InstrumentPort()
    decimal: str = "."
    over_range: tuple[str, ...] = OVER_RANGE
    skip: tuple[str, ...] = ()
    """How lines begin that say nothing."""
    checks: Mapping[str, Check] = made_anew(default_factory=dict)
    """By word that a line has for it: the check."""
    units: Mapping[Check, str] = made_anew(default_factory=dict)
    """By check: the unit of its readings where neither line nor pattern has one."""
    values: Mapping[str, str] = made_anew(default_factory=dict)
    """By word in the place of a reading: what it stands for."""

    @property
    def beginnings(self) -> tuple[str, ...]:
        """How lines begin that are known when they come as keys."""
        words = [each.beginning for each in self.patterns]
        return tuple(dict.fromkeys(word for word in (*words, *filter(tells_from_typing, self.skip)) if word))


class ReadPart(Struct, frozen=True, kw_only=True):
    """One reading of a line."""

    check: Check | None
    """None: the line does not say which, so it is that of the line under the cursor."""
    text: str
    unit: str = ""
    """The unit where the text has none; empty: that of the check."""


def tells_from_typing(word: str) -> bool:
    """Tell whether keys that begin so can be nobody's typing on the Bench."""
    return len(word) >= _LEAST_BEGINNING and not word.startswith(_READING_BEGINS) and not word.upper().startswith("OL")


def pattern_of(written: str, *, check: Check | None = None, unit: str = "") -> LinePattern:
    """A pattern as a person writes it; raises InputRefused saying what it lacks."""
    words = " ".join(written.split())
    pieces = re.split(r"\{([^{}]*)\}", words)
    literals, places = pieces[::2], tuple(pieces[1::2])
    known = {READING, UNIT, CHECK, *map(str, UNIT_OF_CHECK)}
    if any(mark in literal for literal in literals for mark in "{}"):
        raise InputRefused("has a brace alone; write places as in {reading}.")
    for place in places:
        if place not in {*known, ANYTHING}:
            raise InputRefused(f"has no such place as {quoted(place)}; use {', '.join(sorted(known))} or *.")
    if any(places.count(place) > 1 for place in known):
        raise InputRefused("has the same place twice; write * for what is passed over.")
    if not set(places) - {UNIT, CHECK, ANYTHING}:
        raise InputRefused("has no place for a reading; write {reading}, or the name of a check in braces.")
    if READING not in places and {UNIT, CHECK} & set(places):
        raise InputRefused("has a unit or a check, and no {reading} that it belongs to.")
    if "" in literals[1:-1]:
        raise InputRefused("has two places with nothing between them; write what stands there, or a blank.")
    if CHECK in places and check is not None:
        raise InputRefused("has the check in the line and in the mapping too; keep one of them.")
    form = re.compile(_form_of(literals), re.DOTALL)
    return LinePattern(written=words, places=places, form=form, check=check, unit=unit)


def _form_of(literals: list[str]) -> str:
    """Each place takes all up to what comes behind it, so that no line takes long."""
    parts = [_literal(literals[0])]
    for literal in literals[1:]:
        parts.append("(.++)" if not literal else r"(\S++)" if literal[0] == " " else f"([^{re.escape(literal[0])}]++)")
        parts.append(_literal(literal))
    return "".join(parts)


def _literal(words: str) -> str:
    return r"\s++".join(re.escape(word) for word in words.split(" "))


def line_as_sent(text: str) -> str:
    """A line without the control characters that frame it."""
    return "".join(each if each.isprintable() else " " for each in text).strip()


def read_line(lines: InstrumentLines, text: str) -> tuple[ReadPart, ...]:
    """The readings of a line, none where it says nothing; raises InputRefused where no pattern takes it."""
    line = line_as_sent(text)
    if not line or line.startswith(lines.skip):
        return ()
    if len(line) > LONGEST_INSTRUMENT_LINE:
        raise InputRefused(f"{quoted(line)} is longer than a line of an instrument; nothing was taken.")
    for pattern in lines.patterns:
        found = pattern.form.fullmatch(line)
        if found is not None:
            return _parts(lines, pattern, [each.strip() for each in found.groups()])
    raise InputRefused(f"{quoted(line)} fits no pattern of {lines.name}; nothing was taken.")


def _parts(lines: InstrumentLines, pattern: LinePattern, texts: list[str]) -> tuple[ReadPart, ...]:
    told = dict(zip(pattern.places, texts, strict=True))
    parts = []
    for place, text in told.items():
        if place == READING:
            check = pattern.check
            if CHECK in told:
                check = _check_called(lines, told[CHECK])
            parts.append(_part(lines, check, text, told.get(UNIT, ""), pattern.unit))
        elif place not in {UNIT, CHECK, ANYTHING}:
            parts.append(_part(lines, Check(place), text, "", ""))
    if len({part.check for part in parts}) < len(parts):
        raise InputRefused(f"A line of the instrument tells {parts[0].check} twice; nothing was taken.")
    return tuple(parts)


def _check_called(lines: InstrumentLines, word: str) -> Check:
    check = lines.checks.get(word.casefold())
    if check is None:
        raise InputRefused(f"{quoted(word)} is no check that {lines.name} knows; nothing was taken.")
    return check


def _part(lines: InstrumentLines, check: Check | None, text: str, in_line: str, usual: str) -> ReadPart:
    meant = lines.values.get(text.casefold())
    if meant is not None and verdict_meant(text) is not None and any(map(str.isdigit, meant)):
        raise InputRefused(f"{quoted(text)} is no reading, whatever {lines.name} has it stand for; nothing was taken.")
    if meant is not None:
        return ReadPart(check=check, text=meant)
    read = OVER if text.upper() in lines.over_range else text
    return ReadPart(check=check, text=f"{read} {in_line}" if in_line else read, unit=usual)


def reading_typed(lines: InstrumentLines, part: ReadPart, check: Check) -> str:
    """A reading as a person would type it on the line of its check; raises InputRefused where it is none of that check."""
    field = by_name(ImportKind.RESULTS)[check.value]
    unit = part.unit or lines.units.get(check, "")
    column = MappedColumn(head="", position=1, unit=unit, decimal=lines.decimal)
    mapping = ColumnMapping(kind=ImportKind.RESULTS, blanks=(), over_range=(), columns=())
    try:
        return as_typed(part.text, field, column, mapping, exact=False)
    except CellRefused as refused:
        raise InputRefused(f"{refused.what}; nothing was taken.") from refused
