"""All that a person has typed and ticked for the item on the bench, before anything is judged."""

import json
from collections.abc import Iterable, Mapping
from enum import StrEnum
from functools import cache
from typing import Final, NewType

from msgspec import Struct, field
from msgspec.structs import replace

from appreg.core.judging.several_readings import parse_readings
from appreg.core.judging.typed_checks import Figure
from appreg.core.records.checks import Check, EarthCurrent, LeakageMethod
from appreg.core.records.kept_records import InspectionKind
from appreg.core.rules.second_lines import INSULATIONS
from appreg.errors import InputRefused

LineId = NewType("LineId", str)
"""A check by its name, or a part of one after a stroke: 'insulation', 'visual/plug', 'rcd-1x/180'."""

VOLTS: Final = ("", "250", "500")
"""Insulation test voltages in the order a key turns them, V d.c.; empty: the rule book's own."""
_LINKED: Final = ", lines linked"
VOLTS_BY_LINES: Final = (*VOLTS, *(volts + _LINKED for volts in VOLTS if volts))
"""Those of a three-phase item, whose lines may be linked and measured together."""
SYMMETRIC: Final = "substitute, two-pole symmetric"
"""The substitute method on a two-pole symmetric capacitive circuit, for rule books that halve its reading."""
REFERRED: Final = "substitute, as displayed"
"""The substitute method with an instrument that shows the current referred to rated voltage, as most do."""
METHODS: Final = ("", *LeakageMethod, REFERRED, SYMMETRIC)
"""Leakage methods likewise; empty: the usual one of the class."""
CURRENTS: Final = ("", *EarthCurrent)
"""Earth test currents that instruments offer; empty: not stated."""
_TURNED: Final = {**dict.fromkeys(INSULATIONS, VOLTS), Check.LEAKAGE: METHODS, Check.EARTH_CONTINUITY: CURRENTS}
"""What a key turns on a line."""


class Mark(StrEnum):
    """The answer to a line without a figure."""

    OK = "ok"
    BAD = "bad"


class BenchEntries(Struct, frozen=True, kw_only=True):
    """The state of a half-filled bench; every change gives a new one."""

    kind: InspectionKind = InspectionKind.COMBINED
    marks: Mapping[LineId, Mark] = field(default_factory=dict)
    typed: Mapping[LineId, str] = field(default_factory=dict)
    """The text of each field as it stands, readable or not."""
    times: Mapping[LineId, str] = field(default_factory=dict)
    """When each field was last typed in, HH:MM:SS."""
    attempts: Mapping[LineId, tuple[str, ...]] = field(default_factory=dict)
    """Readings taken again, as 'HH:MM:SS reading', oldest first; the one in `typed` comes after them."""
    remarks: Mapping[LineId, str] = field(default_factory=dict)
    settings: Mapping[LineId, str] = field(default_factory=dict)
    """How a line is measured: test voltage, method, test current."""
    added: tuple[LineId, ...] = ()
    """Lines asked for beyond those the item needs."""
    put_right: Mapping[LineId, str] = field(default_factory=dict)
    """What was done on the spot about a line that had failed; the remark beside it says what was found."""
    read_so: Mapping[LineId, tuple[str, ...]] = field(default_factory=dict)
    """By line: the doubts about its reading, in their words, that the person has confirmed."""
    carried: frozenset[LineId] = frozenset()
    """Lines that stand as an inspection kept them and have not been touched since."""
    left_out: Mapping[LineId, str] = field(default_factory=dict)
    """Why a line is left out."""
    begun: Mapping[str, int] = field(default_factory=dict)
    """By check that was ever measured or answered here: how many readings stood side by side; it stays asked for."""

    @property
    def is_untouched(self) -> bool:
        """Nothing has been entered that would be lost."""
        return not (self.marks or self.attempts or self.remarks or self.left_out or any(self.typed.values()))

    def typing(self, line: LineId, text: str, at: str, *, anew: bool = False) -> "BenchEntries":
        """Hold what now stands in a field; `anew`: it was read now, though the same stood there that was kept or confirmed."""
        if self.typed.get(line, "") == text and not (anew and (line in self.carried or line in self.read_so)):
            return self
        typed, times = {**self.typed, line: text}, {**self.times, line: at}
        held = self._beginning([line]) if text.strip() else self
        return replace(held, typed=typed, times=times, read_so=self._doubting(line), carried=self.carried - {line})

    def marking(self, lines: Iterable[LineId], mark: Mark | None) -> "BenchEntries":
        """Answer lines without a figure; None takes the answer back."""
        chosen = frozenset(lines)
        kept = {line: old for line, old in self.marks.items() if line not in chosen}
        marks = kept if mark is None else {**kept, **dict.fromkeys(sorted(chosen), mark)}
        still = {line: done for line, done in self.put_right.items() if mark is Mark.OK or line not in chosen}
        held = self if mark is None else self._beginning(chosen)
        return replace(held, marks=marks, put_right=still, carried=self.carried - chosen)

    def marking_rest(self, lines: Iterable[LineId]) -> "BenchEntries":
        """Call good what has no answer yet, or only the one an inspection kept; what is bad stays so."""
        open_lines = [line for line in lines if line not in self.marks or line in self.carried]
        return self.marking([line for line in open_lines if self.marks.get(line) is not Mark.BAD], Mark.OK)

    def mending(self, line: LineId, done: str, at: str) -> "BenchEntries":
        """Call a failed line good after something was done about it; that it was found failed stays."""
        marked = self.marking([line], Mark.OK)
        return replace(marked, put_right={**self.put_right, line: done}, times={**self.times, line: at})

    def leaving_out(self, line: LineId, reason: str) -> "BenchEntries":
        """Leave a line out with a reason; empty opens it again."""
        kept = {other: old for other, old in self.left_out.items() if other != line}
        return replace(self, left_out={**kept, line: reason} if reason else kept, carried=self.carried - {line})

    def standing(self, line: LineId) -> "BenchEntries":
        """Hold how many readings stand side by side on a line that the keys leave; none of them is taken away unseen."""
        count = readings_beside(line, self.typed.get(line, ""))
        check = check_begun(line)
        if check is None or count <= self.begun.get(check, 0):
            return self
        return replace(self, begun={**self.begun, check: count})

    def anew(self) -> "BenchEntries":
        """Every line empty; what was begun stays asked for, unless an inspection kept it and it was not touched since."""
        kept = {check_begun(line) for line in self.carried}
        begun = {check: count for check, count in self.begun.items() if check not in kept}
        return BenchEntries(kind=self.kind, begun=begun)

    def _beginning(self, lines: Iterable[LineId]) -> "BenchEntries":
        """Something stands on these lines now: they are begun, and not left out."""
        checks = {check for line in lines if (check := check_begun(line)) is not None}
        begun = {**dict.fromkeys(sorted(checks), 1), **self.begun}
        left_out = {line: reason for line, reason in self.left_out.items() if line not in checks}
        return replace(self, begun=begun, left_out=left_out)

    def carrying(self) -> "BenchEntries":
        """The same, every line of it known to stand as an inspection kept it."""
        typed = (line for line, text in self.typed.items() if text)
        return replace(self, carried=frozenset({*self.marks, *typed, *self.left_out}))

    def correcting(self, begun: Mapping[Check, int]) -> "BenchEntries":
        """Ask for all that the record to be corrected had begun; emptying the item takes what it adds back."""
        added = {LineId(check.value) for check in begun if check not in self.begun}
        wanted = {check.value: count for check, count in begun.items()}
        return replace(self, begun={**self.begun, **wanted}, carried=self.carried | added)

    def remarking(self, line: LineId, remark: str) -> "BenchEntries":
        """Keep a remark on a line; empty takes it away."""
        kept = {other: old for other, old in self.remarks.items() if other != line}
        return replace(self, remarks={**kept, line: remark} if remark else kept)

    def repeating(self, line: LineId) -> "BenchEntries":
        """Put the reading of a line among its earlier attempts and clear the field for the next."""
        text = self.typed.get(line, "").strip()
        if not text:
            return self
        attempt = f"{self.times.get(line, '')} {text}".strip()
        attempts = {**self.attempts, line: (*self.attempts.get(line, ()), attempt)}
        begun = {**self.begun, line: 1} if line in self.begun else self.begun
        typed, carried = {**self.typed, line: ""}, self.carried - {line}
        return replace(self, attempts=attempts, typed=typed, begun=begun, read_so=self._doubting(line), carried=carried)

    def confirming(self, line: LineId, doubt: str) -> "BenchEntries":
        """Say of a reading that it was read so, whatever this doubt has against it."""
        read_so = {**self.read_so, line: (*self.read_so.get(line, ()), doubt)}
        return replace(self, read_so=read_so, carried=self.carried - {line})

    def _doubting(self, line: LineId) -> dict[LineId, tuple[str, ...]]:
        """What was confirmed of the readings of other lines."""
        return {other: words for other, words in self.read_so.items() if other != line}

    def setting(self, line: LineId, value: str) -> "BenchEntries":
        """Choose how a line is measured."""
        return replace(self, settings={**self.settings, line: value})

    def turning(self, check: Check, *, phases: int) -> "BenchEntries | None":
        """Turn how a check is measured, or ask for the load; None where it is measured in one way only."""
        if check is Check.FUNCTIONAL:
            return self.toggling(LineId(Figure.LOAD.value))
        line, choices = LineId(check.value), _TURNED.get(check)
        if choices is None:
            return None
        choices = VOLTS_BY_LINES if check is Check.INSULATION and phases > 1 else choices
        return self.setting(line, next_of(choices, self.settings.get(line, "")))

    def toggling(self, line: LineId) -> "BenchEntries":
        """Add a line, or take an added one away; what was typed in it stays until the item is saved."""
        present = line in self.added
        return replace(self, added=tuple(a for a in self.added if a != line) if present else (*self.added, line))

    def of_kind(self, kind: InspectionKind) -> "BenchEntries":
        """Change between a formal visual inspection and a combined inspection and test."""
        return replace(self, kind=kind)

    def all_attempts(self, line: LineId) -> tuple[str, ...]:
        """Every attempt of a line with its time, the one that counts last."""
        text = self.typed.get(line, "").strip()
        last = (f"{self.times.get(line, '')} {text}".strip(),) if text else ()
        return (*self.attempts.get(line, ()), *last)

    def to_json(self) -> str:
        """Write the state so that a crash does not lose it."""
        state = {
            "kind": self.kind.value,
            "marks": dict(self.marks),
            "typed": dict(self.typed),
            "times": dict(self.times),
            "attempts": {line: list(each) for line, each in self.attempts.items()},
            "remarks": dict(self.remarks),
            "settings": dict(self.settings),
            "added": list(self.added),
            "put_right": dict(self.put_right),
            "read_so": {line: list(words) for line, words in self.read_so.items()},
            "carried": sorted(self.carried),
            "left_out": dict(self.left_out),
            "begun": dict(self.begun),
        }
        return json.dumps(state, ensure_ascii=False, sort_keys=True)


def entries_from_json(text: str) -> BenchEntries:
    """Read a state that to_json wrote; raises InputRefused where it is something else."""
    try:
        state = json.loads(text)
        entries = BenchEntries(
            kind=InspectionKind(state["kind"]),
            marks={LineId(line): Mark(mark) for line, mark in state["marks"].items()},
            typed=_texts(state["typed"]),
            times=_texts(state["times"]),
            attempts={LineId(line): tuple(str(a) for a in each) for line, each in state["attempts"].items()},
            remarks=_texts(state["remarks"]),
            settings=_texts(state["settings"]),
            added=tuple(LineId(str(line)) for line in state["added"]),
            put_right=_texts(state.get("put_right", {})),
            read_so={LineId(line): tuple(map(str, words)) for line, words in state.get("read_so", {}).items()},
            carried=frozenset(LineId(str(line)) for line in state.get("carried", ())),
            left_out=_texts(state.get("left_out", {})),
        )
        held = {str(check): int(count) for check, count in state.get("begun", {}).items()}
        return replace(entries, begun={**_begun_by(entries), **held})
    except (ValueError, KeyError, TypeError, AttributeError) as cause:
        raise InputRefused("The half-filled bench cannot be read back; start the item again.") from cause


def _begun_by(entries: BenchEntries) -> dict[str, int]:
    """What a state of an earlier version shows to have been begun."""
    begun: dict[str, int] = {}
    for line in (*entries.marks, *entries.typed, *entries.attempts):
        check = check_begun(line)
        stands = line in entries.marks or line in entries.attempts or entries.typed.get(line, "").strip()
        if check is not None and stands:
            begun[check] = max(begun.get(check, 1), readings_beside(line, entries.typed.get(line, "")))
    return begun


def check_begun(line: LineId) -> str | None:
    """The name of the check that is begun on a line; None for a figure beside one, as the voltage applied."""
    check, stroke, _ = line.partition("/")
    return check if not stroke or check == Check.VISUAL else None


def readings_beside(line: LineId, text: str) -> int:
    """How many readings stand side by side in a text; 0 where nothing stands there."""
    if not text.strip():
        return 0
    try:
        return len(parse_readings(text, Check(line)))
    except (InputRefused, ValueError, KeyError):
        return 1


def _texts(values: Mapping[str, object]) -> dict[LineId, str]:
    return {LineId(line): str(text) for line, text in values.items()}


@cache
def leakage_method_set(setting: str) -> LeakageMethod | None:
    """The leakage method that a setting chooses; None: the usual one of the class."""
    if setting in {SYMMETRIC, REFERRED}:
        return LeakageMethod.SUBSTITUTE
    return LeakageMethod(setting) if setting else None


@cache
def insulation_set(setting: str) -> tuple[int | None, bool]:
    """The test voltage that a setting chooses, V d.c., None for the rule book's own; and whether lines are linked."""
    volts = setting.removesuffix(_LINKED)
    return (int(volts) if volts in VOLTS and volts else None), setting.endswith(_LINKED)


@cache
def earth_current_set(setting: str) -> EarthCurrent | None:
    """The earth test current that a setting chooses; None: not stated."""
    return EarthCurrent(setting) if setting in {*EarthCurrent} else None


def next_of(choices: tuple[str, ...], present: str) -> str:
    """The choice after the present one, the first after the last."""
    return choices[(choices.index(present) + 1) % len(choices)] if present in choices else choices[0]
