"""People, instruments and visits as rows of results name them; a visit that the register lacks is made, others where asked."""

from collections.abc import Callable, Collection, Iterable, Sequence
from datetime import date
from typing import Final, TypeVar

from appreg.core.records.kept_records import Instrument, Person, Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked

R = TypeVar("R", Person, Instrument)
_OR_ADD: Final = ", or let the import add it with --add-people"


class KnownTesters:
    """The people, instruments and visits of a register, and the visits that rows add to them."""

    def __init__(self, register: Register, new_uid: Callable[[], Uid], *, adds: str = "") -> None:
        """Read the people and instruments; visits are read with their site and day.

        `adds`: the file by which people and instruments that are not known are added; empty: none are.
        """
        self._register = register
        self._new_uid = new_uid
        self._people = register.find(Person)
        self._instruments = register.find(Instrument)
        self._visits: dict[tuple[Uid, date], list[Visit]] = {}
        self._waiting: dict[Uid, Visit] = {}
        self._adds = adds
        self._added: dict[Uid, Person | Instrument] = {}
        self.made: dict[str, list[str]] = {"person": [], "instrument": [], "visit": []}
        """By kind in words: what was needed and is new."""

    def person(self, named: str) -> Person:
        """The person of this name or these initials; raises InputRefused."""
        if not named:
            raise InputRefused(
                "the row does not say who inspected; fill it in, or name the person in the mapping for all rows.",
                field="person",
            )
        by_name = _called(self._people, named, lambda each: each.name)
        found = by_name or _called(self._people, named, lambda each: each.initials)
        if self._adds and not found:
            return self._new_person(named)
        todo = f"add the person, or correct the name{_OR_ADD}"
        return _one(found, named, field="person", what="person", todo=todo)

    def instrument(self, named: str) -> Instrument | None:
        """The instrument of this serial number or name; raises InputRefused; None where the row names none."""
        if not named:
            return None
        by_serial = _called(self._instruments, named, lambda each: each.serial)
        found = by_serial or _called(self._instruments, named, lambda each: each.name)
        if self._adds and not found:
            return self._new_instrument(named)
        todo = f"add it, or correct its serial number{_OR_ADD}"
        return _one(found, named, field="instrument", what="instrument", todo=todo)

    def _new_person(self, named: str) -> Person:
        """A person of whom the file tells no more than the name, or the initials."""
        initials = _initials(named, {each.initials.casefold() for each in self._people})
        person = checked(self._register, Person(uid=self._new_uid(), name=named, initials=initials))
        self._people.append(person)
        self._added[person.uid] = person
        return person

    def _new_instrument(self, named: str) -> Instrument:
        """An instrument of which neither calibration nor accuracy is known."""
        notes = f"added as {self._adds} names it: look up its name, serial number and calibration"
        instrument = checked(self._register, Instrument(uid=self._new_uid(), name=named, serial=named, notes=notes))
        self._instruments.append(instrument)
        self._added[instrument.uid] = instrument
        return instrument

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

    def needed(self, visit: Visit) -> tuple[Person | Instrument | Visit, ...]:
        """The visit and whom it names, where they are new and nobody has needed them before: they have to be kept first."""
        made = self._waiting.pop(visit.uid, None)
        if made is None:
            return ()
        who = next(each.name for each in self._people if each.uid == made.person)
        at = self._register.get(Site, made.site).name
        self.made["visit"].append(f"{date_words(made.date)} at {at} by {who}")
        added = [self._added.pop(uid) for uid in (made.person, made.instrument) if uid in self._added]
        for each in added:
            self.made["person" if isinstance(each, Person) else "instrument"].append(each.name)
        return (*added, made)


def _initials(named: str, taken: Collection[str]) -> str:
    """Initials that nobody else has: of a name in one word the word, else the first letters, with more of the last where needed."""
    *first, last = [word for word in named.split() if word[0].isalnum()] or [named]
    if not first:
        return last
    begun = "".join(word[0] for word in first)
    some = (begun + last[:letters] for letters in range(1, len(last) + 1))
    return next((each for each in some if each.casefold() not in taken), named)


def _called(known: Iterable[R], named: str, name: Callable[[R], str]) -> list[R]:
    wanted = " ".join(named.casefold().split())
    return [each for each in known if " ".join(name(each).casefold().split()) == wanted]


def _one(found: Sequence[R], named: str, *, field: str, what: str, todo: str) -> R:
    if len(found) == 1:
        return found[0]
    if found:
        raise InputRefused(f"“{named[:60]}” may be {len(found)} of that kind here; write the whole name.", field=field)
    raise InputRefused(f"no {what} here is called “{named[:60]}”; {todo}.", field=field)
