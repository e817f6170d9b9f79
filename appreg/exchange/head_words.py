"""What the heads of tables say: the words of a field, a unit behind them, or that it is something else."""

import re
from collections import defaultdict
from collections.abc import Mapping
from functools import cache, lru_cache
from typing import Final

from msgspec import Struct

from appreg.core.records.checks import LeakageMethod
from appreg.exchange.cell_units import fits, unit_named
from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind, by_name

_LONGEST: Final = 120
"""Characters of a head that are looked at."""
_BRACKETED: Final = re.compile(r"[(\[{]([^()\[\]{}]{1,15})[)\]}]")
_ANSWERS: Final = re.compile(r"(?i)[(\[]\s*p(?:ass)?\s*(?:/|or)\s*f(?:ail)?\s*[)\]]")
"""What is said behind a head of how to answer it."""
_BEHIND: Final = re.compile(r"(?:\bin|[,/])?\s*(\S{1,8})\s*\Z")
_WITHIN: Final = re.compile("[mkMGµ]?Ω|[mµ]A|[mµ]s")
"""Units that no word is like, wherever they stand."""
_ANY_UNIT: Final = frozenset(
    ("Ω", "mΩ", "kΩ", "MΩ", "GΩ", "µΩ", "mA", "µA", "A", "ms", "s", "µs", "mW/cm²", "W/m²", "V", "kV", "W", "kW", "kVA", "VA", "m", "cm", "mm", "mm²",
     "°C", "min", "V DC", "VDC")
)  # fmt: skip
_SHORT_UNITS: Final = frozenset(("m", "s", "A", "V", "W", "min", "r"))
"""Units that are words or initials elsewhere, taken for units only where brackets stand around them or a word before."""
_FILLERS: Final = frozenset(
    ("test", "reading", "value", "measured", "the", "of", "in", "res", "result", "dc", "d", "c", "item", "appliance", "equipment", "asset", "wert")
)  # fmt: skip
_SOMETHING_ELSE: Final = frozenset(
    ("limit", "limits", "lim", "max", "maximum", "min", "minimum", "permitted", "allowed", "allowable", "required", "previous", "grenzwert", "limite",
     "nominal", "uncertainty", "price", "cost", "target")
)  # fmt: skip
"""Words of a head that is not about what was found."""
_TURNS_ROUND: Final = frozenset(
    ("fail", "fails", "failed", "failure", "failures", "fault", "faults", "faulty", "defect", "defects", "defective", "damage", "damaged", "wrong",
     "not", "without", "problem", "problems", "bad", "unsafe", "mangel", "mängel", "fehler", "défaut", "défauts")
)  # fmt: skip
"""Words of a head below which a yes is bad news."""
_NO_KNOWN_UNIT: Final = re.compile(r"(?i)[kmgµu]|\S?\s?(?:ohm\w*|\S?Ω\S*|\ufffd|\?\S?)")
"""What is meant as a unit of resistance, though nobody can say as which: k, M?, kΩm."""
_METHODS: Final[Mapping[str, LeakageMethod]] = {
    "touch": LeakageMethod.TOUCH,
    "berührungsstrom": LeakageMethod.TOUCH,
    "substitute": LeakageMethod.SUBSTITUTE,
    "alternative": LeakageMethod.SUBSTITUTE,
    "ersatzableitstrom": LeakageMethod.SUBSTITUTE,
    "protective": LeakageMethod.PROTECTIVE_CONDUCTOR,
    "pe": LeakageMethod.PROTECTIVE_CONDUCTOR,
    "ipe": LeakageMethod.PROTECTIVE_CONDUCTOR,
    "schutzleiterstrom": LeakageMethod.PROTECTIVE_CONDUCTOR,
}
"""By word of a head or of the name of a test: how leakage was measured; the limits differ."""
_LEAST_LETTERS: Final = 3
"""Letters that a word must have to be short for another."""
SURE: Final = 0.85
LIKELY: Final = 0.5


class Head(Struct, frozen=True, kw_only=True):
    """A head taken apart."""

    words: tuple[str, ...]
    """Small letters, without marks and unit."""
    unit: str
    """As the program writes it; empty: none is said."""
    unclear: str = ""
    """What seems to be a unit and is none that is known."""

    @property
    def is_something_else(self) -> bool:
        """Tell whether it names a limit or the like, and no finding."""
        return not _SOMETHING_ELSE.isdisjoint(self.words)

    @property
    def turns_round(self) -> bool:
        """Tell whether it asks for what is wrong, so that a yes below it is no pass."""
        return "pass" not in self.words and not _TURNS_ROUND.isdisjoint(self.words)


@lru_cache(2000)
def head_of(text: str) -> Head:
    """Take a head apart."""
    kept = text[:_LONGEST].replace("\u2126", "Ω").replace("\u03bc", "µ").strip()
    kept = _ANSWERS.sub("", kept).strip() or kept
    unit = unclear = ""
    for found in _BRACKETED.finditer(kept):
        if unit_named(found[1]) in _ANY_UNIT:
            unit = unit_named(found[1])
            kept = f"{kept[: found.start()]} {kept[found.end() :]}".strip()
            break
        unclear = found[1] if _NO_KNOWN_UNIT.fullmatch(found[1]) else unclear
    if not unit and (behind := _BEHIND.search(kept)) and _is_unit(behind[1], alone=behind.start() == 0):
        unit, kept = unit_named(behind[1]), kept[: behind.start()]
    for word in () if unit else kept.split():
        if _WITHIN.fullmatch(unit_named(word)):
            unit, kept = unit_named(word), " ".join(kept.split()).replace(word, " ", 1)
            break
    return Head(words=_words(kept), unit=unit, unclear="" if unit else unclear)


def is_unit(text: str) -> bool:
    """Tell whether a text is a unit and nothing else."""
    return unit_named(text) in _ANY_UNIT


def _is_unit(word: str, *, alone: bool) -> bool:
    named = unit_named(word)
    return named in _ANY_UNIT and (word not in _SHORT_UNITS or not alone)


def _words(text: str) -> tuple[str, ...]:
    return tuple(re.findall(r"\w+", re.sub(r"(?<=[a-z])(?=[A-Z][a-z])|_", " ", text).casefold()))


def method_said(text: str) -> LeakageMethod | None:
    """How a head or the name of a test says that leakage was measured; None where it does not, or says two ways."""
    said = {_METHODS[word] for word in head_of(text).words if word in _METHODS}
    return next(iter(said)) if len(said) == 1 else None


class _Names(Struct, frozen=True, kw_only=True):
    """The names of all fields of a kind, found by one of their words or by its first letters."""

    by_word: Mapping[str, frozenset[tuple[str, tuple[str, ...], int]]]
    """By word: field, the words of a name, and how far down its list it stands."""


@cache
def _names(kind: ImportKind, one_test: bool) -> _Names:
    found: defaultdict[str, set[tuple[str, tuple[str, ...], int]]] = defaultdict(set)
    for field in by_name(kind, one_test=one_test).values():
        for place, called in enumerate((*field.called, field.name.replace("_", " "))):
            words = _words(called)
            for word in words:
                found[word].add((field.name, words, place))
                found[word[:_LEAST_LETTERS]].add((field.name, words, place))
    return _Names(by_word={word: frozenset(names) for word, names in found.items()})


@lru_cache(8000)
def fields_named(text: str, kind: ImportKind, *, one_test: bool = False) -> Mapping[str, float]:
    """How well a head names each field of a kind, from 0 to 1; fields that it does not name are not there."""
    head = head_of(text)
    if not head.words:
        return {}
    index = _names(kind, one_test).by_word
    names = {name for word in head.words for key in (word, word[:_LEAST_LETTERS]) for name in index.get(key, ())}
    if head.is_something_else:
        names = {name for name in names if name[1] == head.words}  # a field may be a limit of its own
    found: dict[str, float] = {}
    for field, words, place in names:
        score = _alike(head.words, words) - place * 0.002
        if score > found.get(field, 0.3):
            found[field] = score
    own = by_name(kind, one_test=one_test)
    return {
        name: score
        for name, score in found.items()
        if _unit_fits(head.unit, own[name]) and not (head.turns_round and own[name].form is not FieldForm.TEXT)
    }


def _unit_fits(unit: str, field: ImportField) -> bool:
    """Tell whether a field can have the unit of a head; milliohms of insulation are a slip that is asked about."""
    if not unit or field.form in {FieldForm.TEXT, FieldForm.CHOICE}:
        return not unit or field.form is FieldForm.TEXT or field.name == "earth_current"
    return fits(unit, field.unit, reading=field.form is FieldForm.READING) or unit == "mΩ" == f"m{field.unit[1:]}"


def _alike(head: tuple[str, ...], name: tuple[str, ...]) -> float:
    """How well the words of a head are those of a name."""
    if head == name:
        return 1.0
    if sorted(head) == sorted(name):
        return 0.95
    if set(name) <= set(head):
        return max(0.5 + 0.35 * len(name) / len(head), _alike_bare(head, name))
    if len(head) == len(name) and all(map(_is_short_for, head, name)):
        return 0.8
    return _alike_bare(head, name)


def _alike_bare(head: tuple[str, ...], name: tuple[str, ...]) -> float:
    """How well they are alike without the words that stand in any head."""
    bare, bare_name = (tuple(dict.fromkeys(word for word in words if word not in _FILLERS)) for words in (head, name))
    if not bare or not bare_name:
        return 0.0
    if set(bare) == set(bare_name):
        return 0.9
    if len(bare) == 1 == len(bare_name) and _is_short_for(bare[0], bare_name[0]):
        return 0.7
    return 0.45 if set(bare) < set(bare_name) else 0.0


def _is_short_for(word: str, whole: str) -> bool:
    return word == whole or (len(word) >= _LEAST_LETTERS and whole.startswith(word))
