"""People, instruments and visits as rows of results name them; a visit that the register lacks is made."""

from collections.abc import Callable, Iterable, Sequence
from datetime import date
from typing import TypeVar

from appreg.core.records.kept_records import Instrument, Person, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register

R = TypeVar("R", Person, Instrument)


class KnownTesters:
    """The people, instruments and visits of a register, and the visits that rows add to them."""

    def __init__(self, register: Register, new_uid: Callable[[], Uid]) -> None:
        """Read the people and instruments; visits are read with their site and day."""
        self._register = register
        self._new_uid = new_uid
        self._people = register.find(Person)
        self._instruments = register.find(Instrument)
        self._visits: dict[tuple[Uid, date], list[Visit]] = {}
        self._waiting: dict[Uid, Visit] = {}
        self.made: list[str] = []
        """The visits that were needed and are new, in words."""

    def person(self, named: str) -> Person:
        """The person of this name or these initials; raises InputRefused."""
        if not named:
            raise InputRefused(
                "the row does not say who inspected; fill it in, or name the person in the mapping for all rows.",
                field="person",
            )
        by_name = _called(self._people, named, lambda each: each.name)
        found = by_name or _called(self._people, named, lambda each: each.initials)
        return _one(found, named, field="person", what="person", todo="add the person, or correct the name")

    def instrument(self, named: str) -> Instrument | None:
        """The instrument of this serial number or name; raises InputRefused; None where the row names none."""
        if not named:
            return None
        by_serial = _called(self._instruments, named, lambda each: each.serial)
        found = by_serial or _called(self._instruments, named, lambda each: each.name)
        return _one(found, named, field="instrument", what="instrument", todo="add it, or correct its serial number")

    def visit(self, site: Uid, on: date, person: Person, instrument: Instrument | None) -> Visit:
        """The visit of that day by that person with that instrument; a new one where there is none."""
        there = self._visits.get((site, on))
        if there is None:
            there = self._register.find(Visit, site=site, date=on)
            self._visits[site, on] = there
        tool = instrument.uid if instrument else None
        found = next((each for each in there if (each.person, each.instrument) == (person.uid, tool)), None)
        if found is None:
            found = Visit(uid=self._new_uid(), site=site, date=on, person=person.uid, instrument=tool)
            there.append(found)
            self._waiting[found.uid] = found
        return found

    def needed(self, visit: Visit) -> tuple[Visit, ...]:
        """The visit, where it is new and nobody has needed it before: it has to be kept first."""
        made = self._waiting.pop(visit.uid, None)
        if made is None:
            return ()
        who = next(each.name for each in self._people if each.uid == made.person)
        self.made.append(f"{date_words(made.date)}, {who}")
        return (made,)


def _called(known: Iterable[R], named: str, name: Callable[[R], str]) -> list[R]:
    wanted = " ".join(named.casefold().split())
    return [each for each in known if " ".join(name(each).casefold().split()) == wanted]


def _one(found: Sequence[R], named: str, *, field: str, what: str, todo: str) -> R:
    if len(found) == 1:
        return found[0]
    if found:
        raise InputRefused(f"“{named[:60]}” may be {len(found)} of that kind here; write the whole name.", field=field)
    raise InputRefused(f"no {what} here is called “{named[:60]}”; {todo}.", field=field)
