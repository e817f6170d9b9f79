"""Plan the rows of a list of people: each is known by the name."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Any

from msgspec.structs import replace

from appreg.core.records.kept_records import Person
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.exchange.mapped_row import MappedRow
from appreg.register.opening.register_file import Register
from appreg.tasks.importing.cell_values import CellReader, problem_of
from appreg.tasks.importing.row_plans import ImportOrder, RowOutcome, RowProblem, RowState
from appreg.tasks.importing.stated_facts import words_of_value
from appreg.tasks.records.check_record import checked


class PeoplePlanner:
    """Plans rows of people."""

    def __init__(self, register: Register, order: ImportOrder, new_uid: Callable[[], Uid]) -> None:
        """Plan for a register as it stands now; `new_uid` gives the keys of what is made."""
        self._register = register
        self._new_uid = new_uid
        self._reader = CellReader(Person, today=order.today)
        self._named: dict[str, list[Person]] = {}
        self._lines: dict[str, int] = {}
        for person in register.find(Person):
            self._named.setdefault(person.name.casefold(), []).append(person)

    @property
    def made(self) -> Mapping[str, tuple[str, ...]]:
        """Nothing is made beside them."""
        return {}

    def words(self, _name: str, value: object) -> str:
        """The value of a field as people know it."""
        return words_of_value(value)

    def waits(self, _row: MappedRow) -> bool:
        """Every row is planned in its turn."""
        return False

    def planned(self, rows: Sequence[MappedRow]) -> Iterator[RowOutcome]:
        """What each row comes to, in their order."""
        return map(self._planned, rows)

    def _planned(self, row: MappedRow) -> RowOutcome:
        given, problems = given_fields(self._reader, row)
        called = str(given.get("name", row.values.get("name", "")))
        if problems:
            return RowOutcome(line=row.line, state=RowState.UNREADABLE, called=called, problems=tuple(problems))
        first = self._lines.setdefault(called.casefold(), row.line)
        known = self._named.get(called.casefold(), [])
        if first != row.line or len(known) > 1:
            what = (
                f"line {first} is of the same name" if first != row.line else f"{len(known)} people bear this name here"
            )
            told = RowProblem("name", what, "tell them apart in the names")
            return RowOutcome(line=row.line, state=RowState.CONFLICT, called=called, problems=(told,))
        before = known[0] if known else None
        person = replace(before, **given) if before else _new(self._new_uid(), given)
        try:
            person = checked(self._register, person)
        except InputRefused as refusal:
            told = problem_of(refusal.field, refusal)
            return RowOutcome(line=row.line, state=RowState.UNREADABLE, called=called, problems=(told,))
        state = RowState.NEW if before is None else RowState.SAME if person == before else RowState.CHANGED
        after = None if state is RowState.SAME else person
        return RowOutcome(line=row.line, state=state, called=called, before=before, after=after, given=tuple(given))


def given_fields(reader: CellReader, row: MappedRow, *, before: str = "") -> tuple[dict[str, Any], list[RowProblem]]:
    """The values of the fields that a row fills, those whose names begin with `before`; and what cannot be read."""
    problems = [RowProblem(each.column, each.what, each.todo) for each in row.problems]
    given: dict[str, Any] = {}
    for name, text in row.values.items():
        field = name.removeprefix(before)
        if name.startswith(before) and field in reader.names and text.strip():
            try:
                given[field] = reader.value(field, text.strip())
            except InputRefused as refusal:
                problems.append(problem_of(name, refusal))
    return given, problems


def _new(uid: Uid, given: Mapping[str, Any]) -> Person:
    name = str(given.get("name", ""))
    usual = {"initials": "".join(word[0] for word in name.split()).upper()}
    return Person(uid=uid, **{"name": name, **usual, **given})
