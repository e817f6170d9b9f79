"""Start a visit: a day's work at one site, by one person, with one instrument."""

from datetime import date, timedelta
from typing import Final

from appreg.core.records.kept_records import Instrument, Person, Site, Visit
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.records.check_record import checked

CALIBRATION_WARNING: Final = timedelta(days=30)
"""How long before its day a calibration is said to fall due."""
_AHEAD: Final = timedelta(days=1)
"""How far ahead of the clock a day of work may lie: clocks and midnights differ."""


def start_visit(
    register: Register,
    who: str,
    *,
    site: Uid,
    on: date,
    person: Uid,
    instrument: Uid | None = None,
    fixed_wiring_reference: str = "",
    notes: str = "",
    instrument_check: str = "",
    period_colour: str = "",
    additional_protection: bool = False,
    job: Uid | None = None,
) -> Visit:
    """Start a visit; raises NotFound where site, person, instrument or job do not exist."""
    with register.change(who) as change:
        visit = Visit(
            uid=change.new_uid(),
            site=site,
            date=on,
            person=person,
            instrument=instrument,
            fixed_wiring_reference=fixed_wiring_reference,
            notes=notes,
            instrument_check=instrument_check,
            period_colour=period_colour,
            additional_protection=additional_protection,
            job=job,
        )
        visit = checked(register, visit)
        change.put(visit)
    return visit


def refuse_day_ahead(on: date, *, today: date, field: str) -> None:
    """Raise InputRefused for a day later than tomorrow: what is recorded has been done, whatever a clock shows."""
    if on - today > _AHEAD:
        raise InputRefused(
            f"{date_words(on)} lies ahead; give the day it was done, tomorrow at the latest.", subject=field
        )


def visit_cautions(register: Register, visit: Visit) -> list[str]:
    """What must be said before the work starts, the most pressing first."""
    return cautions_for(
        on=visit.date,
        person=register.get(Person, visit.person),
        instrument=register.get(Instrument, visit.instrument) if visit.instrument else None,
        site=register.get(Site, visit.site),
    )


def cautions_for(*, on: date, person: Person, instrument: Instrument | None, site: Site) -> list[str]:
    """What must be said of such a visit; pure."""
    said = list(_instrument_cautions(on, instrument))
    if not person.qualifications:
        said.append(f"No qualifications are recorded for {person.name}: inspection and test is for competent persons.")
    if site.landlord_profile and not person.address:
        said.append(f"No address is recorded for {person.name}: the landlord's report will need it.")
    said.append("Local codes, the duty holder's rules and licensed practice come first; work dead wherever you can.")
    return said


def _instrument_cautions(on: date, instrument: Instrument | None) -> list[str]:
    if instrument is None:
        return ["No instrument is named for this visit: readings cannot be traced to one."]
    name = f"{instrument.name} (serial {instrument.serial})"
    due = instrument.calibration_due
    if due is None:
        return [f"No calibration date is recorded for {name}: its readings cannot be relied on."]
    if due < on:
        return [f"The calibration of {name} lapsed on {date_words(due)}: use another instrument or have it calibrated."]
    if due - on <= CALIBRATION_WARNING:
        return [f"The calibration of {name} falls due on {date_words(due)}."]
    return []
