"""What the words in cells stand for: answers, classes, types, kinds, states, in English and a few neighbours."""

from collections.abc import Iterable, Mapping
from typing import Final

from appreg.exchange.import_fields import FieldForm, ImportField

_VERDICTS: Final = {
    "ok": ("ok", "okay", "pass", "passed", "p", "good", "satisfactory", "sat", "yes", "y", "true", "✓", "✔", "x ok", "i o", "io", "i.o.", "i.o",
           "in ordnung", "bestanden", "bon", "conforme", "correcto", "goed", "accept", "accepted"),
    "bad": ("bad", "fail", "failed", "f", "unsatisfactory", "unsat", "no", "n", "false", "✗", "✘", "defective", "nicht bestanden", "n.i.o.", "nio",
            "n i o", "mauvais", "non conforme", "incorrecto", "fout", "reject", "rejected", "failure"),
}  # fmt: skip
_FLAGS: Final = {
    "yes": ("yes", "y", "true", "1", "x", "✓", "✔", "ja", "oui", "si", "sí"),
    "no": ("no", "n", "false", "0", "nein", "non", "nee"),
}
_OUTCOMES: Final = {
    "pass": (*_VERDICTS["ok"],),
    "fail": (*_VERDICTS["bad"],),
    "incomplete": ("incomplete", "not complete", "aborted", "stopped", "partial", "unvollständig"),
}
_CLASSES: Final = {
    "1": ("1", "i", "class 1", "class i", "cl 1", "cl i", "cl1", "cli", "c1", "sk i", "sk 1", "sk1", "ski", "earthed", "class one", "classe i"),
    "2": ("2", "ii", "class 2", "class ii", "cl 2", "cl ii", "cl2", "clii", "c2", "sk ii", "sk 2", "sk2", "skii", "double insulated", "di",
          "class two", "classe ii", "double insulation"),
    "3": ("3", "iii", "class 3", "class iii", "cl 3", "cl iii", "cl3", "cliii", "c3", "sk iii", "sk 3", "sk3", "skiii", "selv", "class three"),
    "unknown": ("unknown", "?", "not known", "unbekannt"),
}  # fmt: skip
_TYPES: Final = {
    "hand-held": ("hand-held", "hand held", "handheld", "h", "handgeführt"),
    "portable": ("portable", "p", "ortsveränderlich"),
    "movable": ("movable", "moveable", "m", "transportable"),
    "stationary": ("stationary", "s", "stationär"),
    "fixed": ("fixed", "f", "fixed equipment", "ortsfest"),
    "built-in": ("built-in", "built in", "b", "einbau"),
    "it": ("it", "it equipment", "information technology", "ict", "computer"),
    "cord-set": ("cord-set", "cord set", "detachable lead", "iec lead", "appliance lead", "mains lead", "power lead", "kaltgeräteleitung"),
    "extension-lead": ("extension-lead", "extension lead", "extension", "ext lead", "multiway", "extension cable", "verlängerung"),
}  # fmt: skip
_KINDS: Final = {
    "visual": ("visual", "formal visual", "formal visual inspection", "visual inspection", "inspection", "visual only", "sichtprüfung"),
    "combined": ("combined", "combined inspection and test", "inspection and test", "full", "full test", "test", "electrical test", "in service test",
                 "inspection and testing", "wiederholungsprüfung"),
}  # fmt: skip
_STATES: Final = {
    "in service": ("in service", "in use", "active", "live", "current", "ok", "in betrieb"),
    "withdrawn": ("withdrawn", "out of service", "quarantined", "do not use", "failed", "on repair", "außer betrieb"),
    "missing": ("missing", "not found", "lost", "vermisst"),
    "disposed": ("disposed", "disposed of", "scrapped", "removed", "retired", "verschrottet", "entsorgt"),
}
_METHODS: Final = {
    "protective-conductor": (
        "protective-conductor",
        "protective conductor",
        "pe",
        "direct",
        "earth leakage",
        "protective conductor current",
    ),
    "touch": ("touch", "touch current"),
    "substitute": ("substitute", "alternative", "equivalent", "substitute leakage", "alternative method", "ersatz"),
}
_CONNECTIONS: Final = {
    "plug": ("plug", "13 a plug", "13a plug", "plugged", "mains plug", "stecker"),
    "hard-wired": ("hard-wired", "hard wired", "hardwired", "fixed", "fused spur", "spur", "festanschluss"),
    "industrial-connector": (
        "industrial-connector",
        "industrial connector",
        "16 a",
        "32 a",
        "bs en 60309",
        "iec 60309",
        "cee",
    ),
    "battery": ("battery", "cordless", "akku"),
}
_BY_CHOICES: Final[tuple[Mapping[str, tuple[str, ...]], ...]] = (
    _OUTCOMES, _CLASSES, _TYPES, _KINDS, _STATES, _METHODS, _CONNECTIONS,
)  # fmt: skip
_CHECKS: Final = {
    "earth-continuity": ("bond", "earth bond", "earth continuity", "continuity", "protective conductor", "rpe"),
    "insulation": ("insulation", "insulation resistance", "ir", "riso", "ins"),
    "leakage": ("leakage", "touch current", "touch leakage", "substitute leakage", "alternative leakage", "protective conductor current",
                "earth leakage"),
    "visual": ("visual", "visual inspection", "visual check"),
    "functional": ("functional", "function", "functional check", "function test", "run", "load test"),
    "polarity": ("polarity", "lead polarity", "iec polarity"),
}  # fmt: skip


def plain(text: str) -> str:
    """A word as it is looked up: small letters, one blank between."""
    return " ".join(text.casefold().replace("_", " ").split()).strip(".:")


def _turned(words: Mapping[str, Iterable[str]]) -> Mapping[str, str]:
    return {plain(each): meant for meant, called in words.items() for each in (meant, *called)}


_VERDICT_WORDS: Final = _turned(_VERDICTS)
_FLAG_WORDS: Final = _turned(_FLAGS)
_CHOICE_WORDS: Final = {frozenset(words): _turned(words) for words in _BY_CHOICES}
CHECK_WORDS: Final = _turned(_CHECKS)
"""By word: the check of that name, where a line tells one test."""


def word_meant(field: ImportField, text: str) -> str | None:
    """What a word stands for in a field of answers, yes or no, or a closed set; None where it is not known."""
    word = plain(text)
    if field.form is FieldForm.VERDICT:
        return _VERDICT_WORDS.get(word)
    if field.form is FieldForm.FLAG:
        return _FLAG_WORDS.get(word)
    own = {plain(each): each for each in field.choices}
    return own.get(word) or _CHOICE_WORDS.get(frozenset(field.choices), {}).get(word)


def verdict_meant(text: str) -> str | None:
    """Ok or bad, where a word says that something passed or failed; None where it says neither."""
    return _VERDICT_WORDS.get(plain(text))


def says_pass_or_fail(text: str) -> bool:
    """Tell whether a word says that something passed or failed, and not only yes or no."""
    word = plain(text)
    return word in _VERDICT_WORDS and word not in _FLAG_WORDS


def answers_of(field: ImportField) -> tuple[str, ...]:
    """The words that a field takes; none where it takes any."""
    return {FieldForm.VERDICT: ("ok", "bad"), FieldForm.FLAG: ("yes", "no")}.get(field.form, field.choices)
