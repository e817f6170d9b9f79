"""The visit that an inspection belongs to: the one named, today's, or a new one once person and instrument are said."""

import argparse
import os
from datetime import date

from appreg.cli.asking.talk import Talk
from appreg.cli.named_records import instrument_named, person_named
from appreg.core.records.kept_records import Appliance, Instrument, Person, Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.errors import NotFound, UsageRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.confirm_cautions import NOT_KEPT, cautions_confirmed, confirm_cautions
from appreg.tasks.inspecting.choose_visit import visit_named, visits_of
from appreg.tasks.inspecting.start_visit import start_visit, visit_cautions
from appreg.ui.shell.cautions import CAUTIONS


def read_cautions(register: Register, who: str, talk: Talk, *, today: date) -> None:
    """Have whoever has not read the cautions read them; raises UsageRefused where they are not accepted."""
    if cautions_confirmed(register.path, who, os.environ):
        return
    for head, why in CAUTIONS:
        talk.say(f"{head} {why}")
    if not talk.agrees("I have read this"):
        raise UsageRefused("The cautions are to be read and accepted before anything is inspected.")
    if not confirm_cautions(register.path, who, today, os.environ):
        talk.say(NOT_KEPT)


def asked_visit(
    register: Register, who: str, item: Appliance, args: argparse.Namespace, talk: Talk, *, today: date
) -> Visit:
    """Return the visit, and say what must be said of it before the work starts."""
    person = person_named(register, args.person) if args.person else None
    instrument = instrument_named(register, args.instrument) if args.instrument else None

    def fits(visit: Visit) -> bool:
        return (person is None or person.uid == visit.person) and (
            instrument is None or instrument.uid == visit.instrument
        )

    if args.visit:
        visit = visit_named(register, args.visit, item.site, today=today)
        if not fits(visit):
            raise UsageRefused(
                f"The visit of {date_words(visit.date)} is {_by_whom(register, visit)}: leave --person and --instrument "
                "out, or name another visit."
            )
    else:
        begun = [each for each in visits_of(register, item.site) if each.date == today and fits(each)]
        visit = (
            begun[-1]
            if begun
            else _new_visit(register, who, item, person, instrument=instrument, talk=talk, today=today)
        )
    talk.say(
        f"Visit of {date_words(visit.date)} to {register.get(Site, visit.site).name}, {_by_whom(register, visit)}",
        f"This visit is of {date_words(visit.date)}, not of today." if visit.date != today else "",
        *visit_cautions(register, visit),
    )
    return visit


def _by_whom(register: Register, visit: Visit) -> str:
    tool = register.get(Instrument, visit.instrument) if visit.instrument else None
    with_it = f"with {tool.name}, serial {tool.serial}" if tool else "without an instrument"
    return f"by {register.get(Person, visit.person).name}, {with_it}"


def _new_visit(
    register: Register,
    who: str,
    item: Appliance,
    person: Person | None,
    *,
    instrument: Instrument | None,
    talk: Talk,
    today: date,
) -> Visit:
    """Start one; who and with what is asked for where it was not said."""
    last = next(reversed(visits_of(register)), None)
    person = person or _asked_person(register, last, talk)
    instrument = instrument or _asked_instrument(register, last, talk)
    return start_visit(
        register, who, site=item.site, on=today, person=person.uid, instrument=instrument.uid if instrument else None
    )


def _asked_person(register: Register, last: Visit | None, talk: Talk) -> Person:
    people = sorted(register.find(Person), key=lambda each: each.name.casefold())
    if not people:
        raise NotFound(
            "Nobody is in the register yet; `appreg new person NAME --initials AB` adds who inspects and signs."
        )
    usual = next((at for at, each in enumerate(people) if last is not None and each.uid == last.person), None)
    names = [f"{each.name} ({each.initials})" for each in people]
    return people[talk.choice("Who inspects and signs?", names, usual)]


def _asked_instrument(register: Register, last: Visit | None, talk: Talk) -> Instrument | None:
    kept = sorted(register.find(Instrument), key=lambda each: (each.name.casefold(), each.serial))
    names = [f"{each.name}, serial {each.serial}" for each in kept]
    usual = next((at for at, each in enumerate(kept) if last is not None and each.uid == last.instrument), len(kept))
    chosen = talk.choice("With which instrument?", [*names, "none: readings cannot be traced to one"], usual)
    return kept[chosen] if chosen < len(kept) else None
