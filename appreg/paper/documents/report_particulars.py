"""Who, where, with what: the particulars at the head of a report."""

from typing import Final

from appreg.core.records.kept_records import Instrument, Person
from appreg.core.values.dates_in_words import date_words
from appreg.paper.documents.item_words import calibration_words, check_of_the_day
from appreg.paper.documents.report_content import ReportDocument, ReportedVisit
from appreg.paper.documents.report_words import only_looked
from appreg.paper.page.document_parts import Particular

_PROTECTED: Final = "found behind residual current devices of 30 mA or less"


def particulars(document: ReportDocument) -> list[Particular]:
    """Each fact with its label, in the order of the page."""
    client = document.client
    agent = [Particular("agent", (client.agent_name, client.agent_address))] if client.agent_name else []
    return [
        Particular("date of inspection", (document.days,)),
        Particular("address inspected", (document.site.address,)),
        Particular("landlord or duty holder", (client.name, client.address)),
        *agent,
        *_firm(document),
        *_people(document),
        *_instruments(document),
        *_sockets(document),
        Particular("report on the fixed wiring", wiring_lines(document)),
    ]


def _firm(document: ReportDocument) -> list[Particular]:
    firm = document.firm
    return [Particular("firm", (firm.name, firm.address, firm.phone, firm.email))] if firm is not None else []


def _people(document: ReportDocument) -> list[Particular]:
    if len(document.people) == 1:
        (person,) = document.people
        return [
            Particular("inspector", (person.name, _employer(person, document), person.address)),
            Particular("qualifications", (person.qualifications,)),
        ]
    return [
        Particular(
            f"inspector {each.initials}",
            (each.name, _employer(each, document), each.address, each.qualifications or "qualifications not stated"),
        )
        for each in document.people
    ]


def _employer(person: Person, document: ReportDocument) -> str:
    """Whom a person works for, where the firm named on the report does not say it."""
    own = document.firm.name if document.firm is not None else ""
    return "" if person.firm.casefold() == own.casefold() else person.firm


def _instruments(document: ReportDocument) -> list[Particular]:
    if only_looked(document):
        return [Particular("instrument", ("none used: nothing was tested",))]
    if not document.instruments:
        return [Particular("instrument", ("none recorded",))]
    return [Particular("instrument", _instrument_lines(each, document)) for each in document.instruments]


def _instrument_lines(instrument: Instrument, document: ReportDocument) -> tuple[str, ...]:
    checked = () if len(document.visits) > 1 else (_check_words(instrument, document.visits[0]),)
    calibration = calibration_words(instrument, document.last_used(instrument), document.dates)
    return (instrument.name, f"serial {instrument.serial}", calibration, *checked)


def _check_words(instrument: Instrument, on: ReportedVisit) -> str:
    """The check of the day is of the instrument that the visit names, and proves no other."""
    return check_of_the_day(on.visit) if on.instrument == instrument else "check of the day not recorded"


def _sockets(document: ReportDocument) -> list[Particular]:
    protected = [each.visit for each in document.visits if each.visit.additional_protection]
    if not protected:
        return []
    days = ", ".join(date_words(each.date, document.dates) for each in protected)
    words = _PROTECTED if len(protected) == len(document.visits) else f"{_PROTECTED} on {days} alone"
    return [Particular("sockets", (words,))]


def wiring_lines(document: ReportDocument) -> tuple[str, ...]:
    """Number, date and next date of the report on the fixed wiring, and what it says of residual current devices."""
    job, dates = document.job, document.dates
    named = dict.fromkeys(each.visit.fixed_wiring_reference for each in document.visits)
    number = (job.wiring_report if job else "") or ", ".join(each for each in named if each)
    if job is None:
        return (number or "none named",)
    lines = [number or "none named"]
    lines += [f"of {date_words(job.wiring_on, dates)}"] if job.wiring_on else []
    if job.wiring_next:
        past = ", which had passed" if job.wiring_next < document.last_day else ""
        lines.append(f"next due {date_words(job.wiring_next, dates)}{past}")
    lines += [f"residual current devices: {job.wiring_rcd or 'not stated'}"] if number or job.wiring_rcd else []
    return tuple(lines)
