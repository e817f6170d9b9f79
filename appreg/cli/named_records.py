"""People, instruments, clients and locations as they are named on the command line."""

from collections.abc import Callable, Sequence
from typing import TypeVar

from appreg.core.records.kept_records import Client, Instrument, Location, Person, Site
from appreg.core.records.planning_records import Crew
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register

T = TypeVar("T", Client, Crew, Instrument, Location, Person)


def person_named(register: Register, named: str) -> Person:
    """The person with these initials, this name or this key; raises InputRefused naming those there are."""
    people = register.find(Person)
    return _only(people, named, lambda each: (each.initials, each.name, each.uid), _person_words, option="--person")


def instrument_named(register: Register, named: str) -> Instrument:
    """The instrument with this serial number, name or key; raises InputRefused naming those there are."""
    kept = register.find(Instrument)
    return _only(kept, named, lambda each: (each.serial, each.name, each.uid), _tool_words, option="--instrument")


def client_named(register: Register, named: str) -> Client:
    """The client of this name or key; raises InputRefused naming those there are."""
    return _only(
        register.find(Client), named, lambda each: (each.name, each.uid), lambda each: each.name, option="--client"
    )


def crew_named(register: Register, named: str) -> Crew:
    """The crew of this name or key; raises InputRefused naming those there are."""
    return _only(
        register.find(Crew), named, lambda each: (each.name, each.uid), lambda each: each.name, option="--crew"
    )


def location_named(register: Register, site: Site, named: str) -> Location:
    """The location of a site of this name or key; raises InputRefused naming those there are."""
    kept = register.find(Location, site=site.uid)
    return _only(kept, named, lambda each: (each.name, each.uid), lambda each: each.name, option="--location")


def _person_words(person: Person) -> str:
    return f"{person.name} ({person.initials})"


def _tool_words(instrument: Instrument) -> str:
    return f"{instrument.name} ({instrument.serial})"


def _only(
    records: Sequence[T], named: str, names: Callable[[T], Sequence[str]], words: Callable[[T], str], *, option: str
) -> T:
    wanted = " ".join(named.split()).casefold()
    found = [each for each in records if wanted in {name.casefold() for name in names(each)}]
    if len(found) == 1:
        return found[0]
    known = ", ".join(sorted(map(words, records), key=str.casefold)) or "none yet"
    how_many = f"{len(found)} answer to {named}" if found else f"there is no {named}"
    raise InputRefused(f"{option}: {how_many}; the register has {known}.", field=option.removeprefix("--"))
