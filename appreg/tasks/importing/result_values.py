"""The cells of a result, read as the Bench reads what is typed there."""

from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from typing import Final

from msgspec import Struct

from appreg.core.judging.typed_checks import Figure, ReadChecks, Setup, TypedChecks, read_checks
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import InspectionKind
from appreg.core.rules.check_limits import UNIT_OF_CHECK
from appreg.core.values.outcomes import Outcome
from appreg.errors import InputRefused
from appreg.exchange.mapped_row import MappedRow
from appreg.tasks.importing.cell_values import CellReader, problem_of
from appreg.tasks.importing.row_plans import RowProblem
from appreg.tasks.inspecting.start_visit import refuse_day_ahead

_CHECKS: Final = {str(check): check for check in Check}
_ANSWERED: Final = tuple(name for name, check in _CHECKS.items() if check not in UNIT_OF_CHECK)
"""The checks without a figure."""
_ANSWERS: Final = {"ok": True, "bad": False}
_FIGURES: Final = {"applied_volts": Figure.APPLIED_VOLTS, "load_kva": Figure.LOAD}
_VOLTS: Final = "_volts"
_SECOND_VOLTS: Final = {f"{check}{_VOLTS}": check for check in Check}
_OF_CHECKS: Final = frozenset({*_CHECKS, *_FIGURES, *_SECOND_VOLTS, *Setup.__annotations__})
_KEPT: Final = 5000
"""Rows whose readings are kept: of many items alike the same few come again and again."""
_Day = date
"""The type, where a field is called as it is."""


class StatedResult(Struct, frozen=True, kw_only=True):
    """What one row says of an inspection."""

    on: date
    kind: InspectionKind | None
    """None: it says neither."""
    read: ReadChecks
    checks: tuple[tuple[str, str], ...]
    """Name and text of each check and of how it was measured; two rows with the same were read off alike."""
    readings: bool
    """Any check of it was answered or measured."""
    outcome: Outcome | None
    next_on: date | None
    person: str
    instrument: str
    remarks: str

    @property
    def is_look(self) -> bool:
        """It answers the visual check and no other."""
        return [name for name, _ in self.checks if name in _CHECKS] == [Check.VISUAL]


class _Said(Struct, frozen=True, kw_only=True):
    """What a row says beside its checks."""

    date: _Day
    kind: InspectionKind | None = None
    outcome: Outcome | None = None
    next: _Day | None = None
    person: str = ""
    instrument: str = ""
    remarks: str = ""


class ResultReader:
    """Reads rows of results."""

    def __init__(self, *, today: date) -> None:
        """`today` is what that word means in a cell, and the day after which nothing has been tested."""
        self._today = today
        self._setups = CellReader(Setup, today=today)
        self._said = CellReader(_Said, today=today)
        self._checks = lru_cache(_KEPT)(self._read_checks)

    def read(self, row: MappedRow) -> tuple[StatedResult | None, tuple[RowProblem, ...]]:
        """What a row says; None, and why, where any cell of it cannot be read: no verdict rests on half of a row."""
        problems = [RowProblem(each.column, each.what, each.todo) for each in row.problems]
        said = self._values(row.values, problems)
        checks = tuple((name, text) for name, text in sorted(row.values.items()) if _is_of_checks(name))
        read, unread = self._checks(checks)
        problems += unread
        if problems or said is None:
            return None, tuple(problems)
        return StatedResult(
            on=said.date,
            kind=said.kind,
            read=read,
            checks=checks,
            readings=any(name in _CHECKS for name, _ in checks),
            outcome=said.outcome,
            next_on=said.next,
            person=said.person,
            instrument=said.instrument,
            remarks=said.remarks,
        ), ()

    def _read_checks(self, checks: tuple[tuple[str, str], ...]) -> tuple[ReadChecks, tuple[RowProblem, ...]]:
        """The checks of a row, and what of them cannot be read."""
        problems: list[RowProblem] = []
        read = read_checks(self._typed(dict(checks), problems))
        problems += [RowProblem(name, what.rstrip("."), "correct the reading") for name, what in read.problems.items()]
        return read, tuple(problems)

    def _values(self, values: Mapping[str, str], problems: list[RowProblem]) -> _Said | None:
        given = {}
        for name in sorted(self._said.names & values.keys()):
            try:
                given[name] = self._said.value(name, values[name])
                if name == "date":
                    refuse_day_ahead(given[name], today=self._today, field=name)
            except InputRefused as refusal:
                problems.append(problem_of(name, refusal))
        if "date" not in given:
            if not problems:
                problems.append(RowProblem("date", "the row has no day", "fill it in"))
            return None
        return _Said(**given)

    def _typed(self, values: Mapping[str, str], problems: list[RowProblem]) -> TypedChecks:
        answers = {name: values[name] for name in _ANSWERED if name in values}
        problems += [
            RowProblem(name, f"“{text[:40]}” is neither ok nor bad", "write one of them")
            for name, text in answers.items()
            if text not in _ANSWERS
        ]
        return TypedChecks(
            seen={_CHECKS[name]: _ANSWERS[text] for name, text in answers.items() if text in _ANSWERS},
            readings={_CHECKS[name]: text for name, text in values.items() if _CHECKS.get(name) in UNIT_OF_CHECK},
            figures={figure: values[name] for name, figure in _FIGURES.items() if name in values},
            setup=self._setup(values, problems),
        )

    def _setup(self, values: Mapping[str, str], problems: list[RowProblem]) -> Setup:
        given = {}
        second = {}
        for name in values:
            try:
                if name in self._setups.names:
                    given[name] = self._setups.value(name, values[name])
                elif name in _SECOND_VOLTS and name not in self._setups.names:
                    second[_SECOND_VOLTS[name]] = self._setups.value("insulation_volts", values[name])
            except InputRefused as refusal:
                problems.append(problem_of(name, refusal))
        return Setup(**given, second_volts=second)


def _is_of_checks(name: str) -> bool:
    return name in _OF_CHECKS
