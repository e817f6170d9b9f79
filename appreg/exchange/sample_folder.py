"""Reading a whole sample site: three kinds of file, and whether they agree with each other."""

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from pathlib import Path
from typing import Final, TypeVar

from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdKind, RcdMounting, ServiceState
from appreg.core.records.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.readings import Reading, Unit
from appreg.exchange.csv_cells import Cells, Column, read_cells
from appreg.exchange.file_problems import FileProblem
from appreg.exchange.sample_records import SampleInspection, SampleItem, SampleRepair, SampleSite
from appreg.exchange.sample_site_file import read_site_file
from appreg.given_files import GivenFileRefused, read_text

_RCD_COLUMNS = {Check.RCD_HALF: "rcd_half", Check.RCD_1X: "rcd_1x", Check.RCD_5X: "rcd_5x"}


def item_of(cells: Cells) -> SampleItem:
    """An item; problems are noted in the cells."""
    return SampleItem(
        line=cells.line,
        tag=cells.text("tag").upper(),
        category=cells.text("category").upper(),
        name=cells.text("name"),
        location=cells.text("location"),
        make=cells.text("make"),
        model=cells.text("model"),
        serial=cells.text("serial"),
        appliance_class=cells.choice("class", ApplianceClass),
        equipment_type=cells.choice("type", EquipmentType),
        cord_csa_mm2=cells.figure("cord_mm2"),
        cord_length_m=cells.figure("cord_m"),
        moulded_plug=cells.flag("moulded"),
        fuse_a=cells.figure("fuse_a"),
        power_w=cells.whole("power_w"),
        rated_volts=cells.whole("rated_v"),
        rcd=cells.choice("rcd", RcdKind),
        rcd_rating_ma=cells.figure("rcd_ma"),
        rcd_mounting=cells.choice("rcd_mounting", RcdMounting),
        feeds=cells.text("feeds").upper(),
        longer_interval_reason=cells.text("longer_because"),
        state=cells.choice("state", ServiceState),
        notes=cells.text("notes"),
    )


def inspection_of(cells: Cells) -> SampleInspection | None:
    """An inspection; None where its day or kind cannot be read."""
    on, kind = cells.day("date"), cells.choice("kind", InspectionKind)
    entries, remarks = _entries(cells), cells.text("remarks")
    if on is None or kind is None:
        return None
    return SampleInspection(
        line=cells.line, on=on, tag=cells.text("tag").upper(), kind=kind, entries=entries, remarks=remarks
    )


def repair_of(cells: Cells) -> SampleRepair | None:
    """A repair; None where its day cannot be read."""
    on = cells.day("date")
    told, repair = cells.text("told"), cells.text("repair")
    if on is None:
        return None
    return SampleRepair(line=cells.line, tag=cells.text("tag").upper(), on=on, told=told, repair=repair)


def _entries(cells: Cells) -> Entries:
    earth = cells.reading("earth_ohm", Unit.OHM)
    return Entries(
        visual=cells.verdict("visual"),
        earth=EarthEntry(reading=earth) if earth else None,
        polarity=cells.verdict("polarity"),
        insulation=_insulation(cells),
        leakage=_leakage(cells),
        functional=cells.verdict("functional"),
        rcd_trips=_rcd_trips(cells),
        rcd_button=cells.verdict("rcd_button"),
        microwave=cells.reading("microwave_mw_cm2", Unit.MILLIWATT_PER_CM2),
    )


def _insulation(cells: Cells) -> InsulationEntry | None:
    reading, volts = cells.reading("insulation_mohm", Unit.MEGOHM), cells.whole("insulation_v")
    return InsulationEntry(reading=reading, volts=volts) if reading else None


def _leakage(cells: Cells) -> LeakageEntry | None:
    reading = cells.reading("leakage_ma", Unit.MILLIAMP)
    method, applied = cells.choice("leakage_method", LeakageMethod), cells.figure("applied_v")
    return LeakageEntry(reading=reading, method=method, applied_volts=applied) if reading else None


def _rcd_trips(cells: Cells) -> dict[Check, Reading | None]:
    trips: dict[Check, Reading | None] = {}
    for check, column in _RCD_COLUMNS.items():
        text = cells.values.get(column, "").strip()
        if text.casefold() == "none":
            trips[check] = None
        elif text:
            reading = cells.reading(column, Unit.MILLISECOND)
            if reading is not None:
                trips[check] = reading
    return trips


ITEM_COLUMNS: Final = (
    Column(name="tag", meaning="the asset tag", required=True),
    Column(name="location", meaning="a location of site.toml", required=True),
    Column(name="category", meaning="a category's code; empty: none"),
    Column(name="name", meaning="what it is; empty: the category's name"),
    Column(name="make", meaning="maker"),
    Column(name="model", meaning="model"),
    Column(name="serial", meaning="serial number"),
    Column(name="class", meaning="1, 2, 3 or unknown; empty: the category's"),
    Column(name="type", meaning="equipment type; empty: the category's"),
    Column(name="cord_mm2", meaning="cross-section of the cord, mm²; empty: the category's"),
    Column(name="cord_m", meaning="length of the cord, m; empty: the category's"),
    Column(name="moulded", meaning="yes where the plug is moulded onto the cord"),
    Column(name="fuse_a", meaning="plug fuse, A; empty: the category's"),
    Column(name="power_w", meaning="rated power, W; empty: the category's"),
    Column(name="rated_v", meaning="rated voltage, V; empty: 230"),
    Column(name="rcd", meaning="kind of residual current device fitted"),
    Column(name="rcd_ma", meaning="its rated residual current, mA"),
    Column(name="rcd_mounting", meaning="portable or fixed, where the item is itself such a device"),
    Column(name="feeds", meaning="for a cord set: the tag of what it feeds"),
    Column(name="longer_because", meaning="why the longer end of an interval is used"),
    Column(name="state", meaning="missing or disposed; empty: as its inspections leave it"),
    Column(name="notes", meaning="anything else"),
)

INSPECTION_COLUMNS: Final = (
    Column(name="date", meaning="the date of a visit of site.toml", required=True),
    Column(name="tag", meaning="the tag of an item", required=True),
    Column(name="kind", meaning="visual or combined", required=True),
    Column(name="visual", meaning="ok or bad"),
    Column(name="earth_ohm", meaning="earth continuity, Ω"),
    Column(name="polarity", meaning="ok or bad"),
    Column(name="insulation_mohm", meaning="insulation resistance, MΩ"),
    Column(name="insulation_v", meaning="its test voltage, V d.c."),
    Column(name="leakage_ma", meaning="leakage current, mA"),
    Column(name="leakage_method", meaning="protective-conductor, touch or substitute"),
    Column(name="applied_v", meaning="substitute method: voltage applied, V"),
    Column(name="functional", meaning="ok or bad"),
    Column(name="rcd_half", meaning="trip time at half the rated current, ms, or none"),
    Column(name="rcd_1x", meaning="trip time at the rated current, ms, or none"),
    Column(name="rcd_5x", meaning="trip time at five times the rated current, ms, or none"),
    Column(name="rcd_button", meaning="ok or bad: trips at its test button"),
    Column(name="microwave_mw_cm2", meaning="microwave leakage, mW/cm²"),
    Column(name="remarks", meaning="anything said"),
)

REPAIR_COLUMNS: Final = (
    Column(name="date", meaning="when it was repaired", required=True),
    Column(name="tag", meaning="the tag of an item that failed", required=True),
    Column(name="told", meaning="who was told of the failure"),
    Column(name="repair", meaning="what was done", required=True),
)


Line = TypeVar("Line")

_MOST_BYTES: Final = 250_000
_MOST_BYTES_OF_LINES: Final = 5_000_000

SITE_FILE: Final = "site.toml"
ITEM_FILE: Final = "items.csv"
INSPECTION_FILE: Final = "inspections.csv"
REPAIR_FILE: Final = "repairs.csv"


def read_sample_site(folder: Path) -> tuple[SampleSite | None, tuple[FileProblem, ...]]:
    """The site a folder describes, or None with every problem found in its files."""
    problems: list[FileProblem] = []
    site = None
    text = _text(folder, SITE_FILE, problems)
    if text is not None:
        site, found = read_site_file(text, f"{folder.name}/{SITE_FILE}")
        problems.extend(found)
    items = _lines(folder, ITEM_FILE, ITEM_COLUMNS, item_of, problems)
    inspections = _lines(folder, INSPECTION_FILE, INSPECTION_COLUMNS, inspection_of, problems)
    repairs = _lines(folder, REPAIR_FILE, REPAIR_COLUMNS, repair_of, problems)
    if site is None or problems:
        return None, tuple(problems)
    sample = SampleSite(
        folder=folder.name,
        client=site.client,
        place=site.place,
        locations=site.locations,
        people=site.people,
        instruments=site.instruments,
        visits=site.visits,
        items=tuple(items),
        inspections=tuple(inspections),
        repairs=tuple(repairs),
    )
    disagreements = tuple(_disagreements(sample))
    return (None if disagreements else sample), disagreements


def _text(folder: Path, name: str, problems: list[FileProblem]) -> str | None:
    most_bytes = _MOST_BYTES if name == SITE_FILE else _MOST_BYTES_OF_LINES
    try:
        return read_text(folder / name, what="a sample site", most_bytes=most_bytes)
    except GivenFileRefused as refused:
        problem = FileProblem(
            file=f"{folder.name}/{name}", line=1, column="", what=f"it {refused.what}", todo=refused.todo
        )
        problems.append(problem)
        return None


def _lines(
    folder: Path,
    name: str,
    columns: Sequence[Column],
    read: Callable[[Cells], Line | None],
    problems: list[FileProblem],
) -> list[Line]:
    text = _text(folder, name, problems)
    if text is None:
        return []
    cells, found = read_cells(text, f"{folder.name}/{name}", columns)
    problems.extend(found)
    lines = []
    for each in cells:
        line = read(each)
        problems.extend(each.problems)
        if line is not None:
            lines.append(line)
    return lines


def _disagreements(sample: SampleSite) -> Iterator[FileProblem]:
    yield from _unknown_in_visits(sample)
    yield from _unknown_in_items(sample)
    tags = {each.tag for each in sample.items}
    days = {each.on for each in sample.visits}
    file = f"{sample.folder}/{INSPECTION_FILE}"
    for inspection in sample.inspections:
        if inspection.tag not in tags:
            yield _unknown(file, inspection.line, "tag", inspection.tag, "name an item of items.csv")
        if inspection.on not in days:
            yield _unknown(file, inspection.line, "date", inspection.on.isoformat(), "name a visit of site.toml")
    for repair in sample.repairs:
        if repair.tag not in tags:
            where = f"{sample.folder}/{REPAIR_FILE}"
            yield _unknown(where, repair.line, "tag", repair.tag, "name an item of items.csv")


def _unknown_in_visits(sample: SampleSite) -> Iterator[FileProblem]:
    initials = {each.initials for each in sample.people}
    serials = {each.serial for each in sample.instruments}
    file = f"{sample.folder}/{SITE_FILE}"
    for visit in sample.visits:
        where = f"visit of {visit.on.isoformat()}"
        if visit.person not in initials:
            yield _unknown(file, 1, where, visit.person, "name the initials of a [[person]]")
        if visit.instrument and visit.instrument not in serials:
            yield _unknown(file, 1, where, visit.instrument, "name the serial of an [[instrument]]")


def _unknown_in_items(sample: SampleSite) -> Iterator[FileProblem]:
    locations = {each.name for each in sample.locations}
    tags = Counter(each.tag for each in sample.items)
    file = f"{sample.folder}/{ITEM_FILE}"
    for item in sample.items:
        if item.location not in locations:
            yield _unknown(file, item.line, "location", item.location, "name a location of site.toml")
        if tags[item.tag] > 1:
            yield FileProblem(
                file=file, line=item.line, column="tag", what=f"{item.tag} stands twice", todo="give each its own"
            )
        if item.feeds and item.feeds not in tags:
            yield _unknown(file, item.line, "feeds", item.feeds, "name the tag of another item")


def _unknown(file: str, line: int, column: str, value: str, todo: str) -> FileProblem:
    return FileProblem(file=file, line=line, column=column, what=f"“{value}” is not known", todo=todo)
