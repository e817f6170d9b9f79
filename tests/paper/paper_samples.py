"""An invented let with invented readings, as documents receive it."""

from collections.abc import Sequence
from datetime import date
from decimal import Decimal as D
from pathlib import Path

from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.kept_records import (
    Appliance,
    AssetTag,
    Client,
    FindingRecord,
    Inspection,
    InspectionKind,
    Instrument,
    LabelKind,
    Person,
    Site,
    Visit,
)
from appreg.core.values.label_codes import code_text
from appreg.core.values.outcomes import Outcome
from appreg.core.values.uids import Uid, uid_from
from appreg.paper.documents.item_lines import InspectedItem
from appreg.paper.documents.register_content import RegisterDocument
from appreg.paper.documents.report_content import ReportDocument, ReportedVisit
from appreg.paper.labels.label_content import LabelText
from appreg.paper.labels.label_layout import place_labels
from appreg.paper.labels.label_sheet import SheetSummary, write_label_sheet
from appreg.paper.labels.label_stock import Stock
from appreg.progress import Progress

TODAY = date(2026, 11, 24)
CODE_OF_PRACTICE = "Code of Practice for In-service Inspection and Testing, 15.4"


def uid(number: int) -> Uid:
    return uid_from(1_790_000_000_000 + number, number * 7919)


CLIENT = Client(uid=uid(1), name="Harbour Lettings", address="3 Quay Street, Port Ellery")
SITE = Site(
    uid=uid(2),
    client=CLIENT.uid,
    name="Harbour Row 14",
    address="14 Harbour Row, Port Ellery",
    prefix="HR",
    environment="low-risk",
)
PERSON = Person(
    uid=uid(3),
    name="Ada Bramley",
    initials="AB",
    address="5 Dock Road, Port Ellery",
    qualifications="City certificate no. 4471",
)
INSTRUMENT = Instrument(uid=uid(4), name="Bench tester", serial="T2-00931", calibration_due=date(2027, 3, 1))
VISIT = Visit(
    uid=uid(5),
    site=SITE.uid,
    date=TODAY,
    person=PERSON.uid,
    instrument=INSTRUMENT.uid,
    fixed_wiring_reference="CR-2026-118",
)


def finding(check: str, reading: str, result: str = "pass", **limit: object) -> FindingRecord:
    blank = FindingRecord(
        uid=uid(9),
        inspection=uid(9),
        position=0,
        check_name=check,
        reading=reading,
        unit="",
        finding=result,
        arithmetic="",
        source=CODE_OF_PRACTICE,
        basis="second-hand",
    )
    return replace(blank, **limit)


EARTH = finding(
    "earth-continuity",
    "0.08",
    unit="Ω",
    limit_high=D("0.1208"),
    comparison="<=",
    arithmetic="0.1 + 26.0 mΩ/m × 0.8 m = 0.1208 Ω",
)
FAILED_EARTH = replace(EARTH, reading="0.35", finding="fail", remark="screw in the plug loose")
INSULATION = finding("insulation", ">299", unit="MΩ", limit_low=D(1), comparison=">=", arithmetic="Class I: 1 MΩ")
NOT_DONE = finding("insulation", "", "not-done", unit="MΩ", limit_low=D(1), comparison=">=")
UNCLEAR = finding("rcd-1x", "28", "inconclusive", unit="ms", limit_low=D(0), limit_high=D(300), comparison="between")
LOOKED = finding("visual", "ok")
WORKS = finding("functional", "ok")


def item(number: int, name: str, outcome: Outcome | None, *findings: FindingRecord) -> InspectedItem:
    thing = Appliance(
        uid=uid(100 + number),
        site=SITE.uid,
        location=uid(6),
        tag=AssetTag(f"HR-{number:03d}"),
        name=name,
        make="Brewhaus",
        serial=f"SN{number}",
        appliance_class=ApplianceClass.CLASS_I,
        equipment_type=EquipmentType.PORTABLE,
        cord_csa_mm2=D("0.75"),
        cord_length_m=D("0.80"),
        power_w=2200,
        state=ServiceState.WITHDRAWN if outcome is Outcome.FAIL else ServiceState.IN_SERVICE,
        next_visual=date(2027, 5, 24) if outcome else None,
        next_test=date(2027, 11, 24) if outcome else None,
    )
    if outcome is None:
        return InspectedItem(appliance=thing, location="Flat 2, kitchen")
    inspection = Inspection(
        uid=uid(500 + number),
        appliance=thing.uid,
        visit=VISIT.uid,
        date=TODAY,
        kind=InspectionKind.COMBINED,
        person=PERSON.uid,
        instrument=INSTRUMENT.uid,
        rule_book="gb",
        rule_book_version="gb 1",
        outcome=outcome,
        missing=("functional",) if outcome is Outcome.INCOMPLETE else (),
        item_facts="{}",
    )
    return InspectedItem(
        appliance=thing,
        location="Flat 2, kitchen",
        inspection=inspection,
        findings=findings,
        person=PERSON.initials,
        instrument=INSTRUMENT.serial,
        interval="low risk, Class I, 1–2 years",
        remedial_action="landlord told, put aside" if outcome is Outcome.FAIL else "",
    )


KETTLE = item(1, "Kettle", Outcome.PASS, LOOKED, EARTH, INSULATION, WORKS)
TOASTER = item(2, "Toaster", Outcome.FAIL, LOOKED, FAILED_EARTH, NOT_DONE)
LEAD = item(3, "Lead", Outcome.INCOMPLETE, LOOKED, EARTH, UNCLEAR)
DRILL = item(4, "Drill", None)

REGISTER = RegisterDocument(
    site=SITE,
    client=CLIENT,
    items=(KETTLE, TOASTER, LEAD, DRILL),
    people=(PERSON,),
    instruments=(INSTRUMENT,),
    rules=("UK Code of Practice (gb 1)",),
    interval_table="HSG107, 2013",
    environment="low risk",
    printed=TODAY,
    details=True,
)
REPORT = ReportDocument(
    visits=(ReportedVisit(visit=VISIT, person=PERSON, instrument=INSTRUMENT),),
    site=SITE,
    client=CLIENT,
    items=(KETTLE, TOASTER, LEAD),
    rules=("UK Code of Practice (gb 1)",),
    printed=TODAY,
)


def of_visit(document: ReportDocument, **fields: object) -> ReportDocument:
    """The report with another visit, person or instrument."""
    (visit,) = document.visits
    return replace(document, visits=(replace(visit, **fields),))


def label(number: int, *, kind: LabelKind = LabelKind.PASS, **changes: object) -> LabelText:
    plain = LabelText(
        tag=f"HR-{number:03d}",
        kind=kind,
        site=SITE.name,
        on=TODAY,
        initials="AB",
        item="Kettle",
        payload=code_text(f"HR-{number:03d}", uid(number)),
    )
    return replace(plain, **changes)


def write_sheet(
    labels: Sequence[LabelText],
    *,
    stock: Stock,
    start: int,
    out: Path,
    progress: Progress | None = None,
    created: date = TODAY,
) -> SheetSummary:
    """Labels one after another from a place on."""
    places = place_labels(stock, len(labels), start)
    return write_label_sheet(zip(places, labels, strict=True), stock=stock, out=out, created=created, progress=progress)
