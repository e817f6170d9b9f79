"""The columns of a sample site's CSV files."""

from typing import Final

from appreg.exchange.csv_cells import Column

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
