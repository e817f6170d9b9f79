"""Lines that tell one test each, gathered to one for each item and day."""

from collections.abc import Iterator, Mapping
from functools import lru_cache
from itertools import groupby
from typing import Final

from appreg.core.records.checks import Check
from appreg.exchange.cell_refused import CellRefused, quoted
from appreg.exchange.cell_units import apart, fits
from appreg.exchange.cell_words import CHECK_WORDS, plain, word_meant
from appreg.exchange.column_mapping import ColumnMapping, MappedColumn
from appreg.exchange.file_problems import FileProblem
from appreg.exchange.head_words import LIKELY, fields_named, method_said
from appreg.exchange.import_fields import FieldForm, ImportField, ImportKind, by_name
from appreg.exchange.mapped_cells import as_typed
from appreg.exchange.mapped_row import MappedRow

_WHOSE: Final = ("tag", "serial", "make", "site", "date", "kind")
"""What lines of one inspection have alike."""
_OF_ONE_TEST: Final = frozenset({"test", "reading", "unit", "verdict"})
_CLOSE: Final = 0.1
"""How near another check may come to the one that a name means best."""
_WORST_FIRST: Final = ("bad", "ok")


def one_row_an_item(rows: Iterator[MappedRow], mapping: ColumnMapping, name: str) -> Iterator[MappedRow]:
    """Gather lines of one item and day that stand together; where they come again further down, that is a problem."""
    seen: set[int] = set()
    for whose, lines in groupby(rows, key=lambda row: tuple(row.values.get(each, "") for each in _WHOSE)):
        gathered = _gathered(list(lines), mapping, name)
        if hash(whose) in seen:
            again = FileProblem(
                file=name,
                line=gathered.line,
                column="",
                what=f"tests of {whose[0] or whose[1]} on that day stand further up too",
                todo="sort the table by item and day, so that all its tests stand together",
            )
            gathered = MappedRow(line=gathered.line, values=gathered.values, problems=(*gathered.problems, again))
        seen.add(hash(whose))
        yield gathered


def _gathered(lines: list[MappedRow], mapping: ColumnMapping, name: str) -> MappedRow:
    values: dict[str, str] = {}
    problems: list[FileProblem] = []
    for line in lines:
        problems += line.problems
        for field, value in line.values.items():
            if field not in _OF_ONE_TEST:
                values.setdefault(field, value)
        try:
            _take_test(values, line.values, mapping)
        except CellRefused as refused:
            problems.append(_problem(name, line.line, mapping, refused))
    outcome = _outcome(lines)
    if outcome and values.get("outcome") != "fail":
        values["outcome"] = outcome
    return MappedRow(line=lines[0].line, values=values, problems=tuple(problems))


def check_named(text: str, tests: Mapping[str, str]) -> ImportField | None:
    """The field of the check that a test of the table is; None where it is not known."""
    word = plain(text)
    told = {plain(name): check for name, check in tests.items()}
    return _CHECK_FIELDS.get(told.get(word) or _CHECK_NAMES.get(word, "") or _named_by_words(text))


@lru_cache(2000)
def _named_by_words(text: str) -> str:
    """The one check that a name with more words means, as Insulation 500 V does; empty where it may be two."""
    found = fields_named(text, ImportKind.RESULTS)
    best, *others = sorted(((score, name) for name, score in found.items() if name in _CHECK_FIELDS), reverse=True) or [
        (0.0, "")
    ]
    alone = best[0] >= LIKELY and not any(score > best[0] - _CLOSE for score, _ in others)
    return best[1] if alone else ""


_CHECK_FIELDS: Final[Mapping[str, ImportField]] = {
    name: field for name, field in by_name(ImportKind.RESULTS).items() if name in set(map(str, Check))
}
_CHECK_NAMES: Final[Mapping[str, str]] = {
    **{plain(called): name for name, field in _CHECK_FIELDS.items() for called in (name, *field.called)},
    **CHECK_WORDS,
}


def _take_test(values: dict[str, str], line: Mapping[str, str], mapping: ColumnMapping) -> None:
    """Put the test of one line among the values; of answers that differ the bad one, readings side by side."""
    test = line.get("test", "")
    if not test:
        return
    field = check_named(test, mapping.tests)
    if field is None:
        raise CellRefused(f"{quoted(test)} is no check that is known", "say in the mapping which check it is")
    if field.name == Check.LEAKAGE and (method := method_said(test)) is not None:
        if Check.LEAKAGE in values and values.get("leakage_method") != method:
            raise CellRefused(f"{quoted(test)} is another way of measuring leakage than further up", "keep one of them")
        values["leakage_method"] = method.value
    reading, answer = line.get("reading", ""), line.get("verdict", "")
    if field.form is FieldForm.VERDICT:
        answer = answer or (word_meant(field, reading) or "")
        typed = min(answer, values.get(field.name, answer), key=_WORST_FIRST.index) if answer else ""
    else:
        typed = _reading(reading, line.get("unit", ""), field, mapping) if reading else ""
        typed = f"{values[field.name]}/{typed}" if typed and field.name in values else typed
    if typed:
        values[field.name] = typed


def _reading(reading: str, unit: str, field: ImportField, mapping: ColumnMapping) -> str:
    if unit and not fits(unit, field.unit, reading=True):
        raise CellRefused(f"{quoted(unit)} is no unit of {field.words}", "correct the unit")
    if not unit and mapping.column_of("unit") is not None and apart(reading.lstrip("<> "))[1:] == ("",):
        raise CellRefused(f"{quoted(reading)} of {field.words} has no unit beside it", "fill it in")
    column = mapping.column_of("reading")
    own = MappedColumn(head="", position=0, unit=unit, decimal=column.decimal if column else "")
    return as_typed(reading, field, own, mapping, exact=False)


def _outcome(lines: list[MappedRow]) -> str:
    """What the tests together were stated to come to: a fail where one failed, a pass where each passed."""
    answers = [line.values.get("verdict", "") for line in lines]
    return "fail" if "bad" in answers else "pass" if answers and all(each == "ok" for each in answers) else ""


def _problem(name: str, line: int, mapping: ColumnMapping, refused: CellRefused) -> FileProblem:
    column = mapping.column_of("test")
    return FileProblem(
        file=name, line=line, column=column.head if column else "test", what=refused.what, todo=refused.todo
    )
