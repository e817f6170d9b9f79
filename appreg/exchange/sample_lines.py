"""From the cells of one line to an item, an inspection or a repair."""

from appreg.core.appliances import ApplianceClass, EquipmentType, RcdKind, RcdMounting, ServiceState
from appreg.core.checks import Check, EarthEntry, Entries, InsulationEntry, LeakageEntry, LeakageMethod
from appreg.core.readings import Reading, Unit
from appreg.core.records import InspectionKind
from appreg.exchange.csv_cells import Cells
from appreg.exchange.sample_records import SampleInspection, SampleItem, SampleRepair

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
