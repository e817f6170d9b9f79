"""What F1 says of each field of an item and of a category, on forms and on the lines of walk-round and Bench."""

from collections.abc import Mapping
from typing import Final

from appreg.ui.shell.field_help import FieldHelp

_ITEM: Final[Mapping[str, FieldHelp]] = {
    "name": FieldHelp(
        "What the item is, as the client calls it. Left empty it is called as its category is.", "Kettle"
    ),
    "category": FieldHelp("The kind of item. It fills in the facts that nobody has typed, each marked as assumed."),
    "location": FieldHelp("The room or area where the item belongs; walk-round and Bench go by it."),
    "tag": FieldHelp("What stands on its label. Left empty it gets the next number of the site.", "HR-042"),
    "make": FieldHelp("The maker, as on the plate.", "Nordwell"),
    "model": FieldHelp("The model, as on the plate.", "K 22"),
    "serial": FieldHelp("The serial number, as on the plate.", "0417-A"),
    "confirmed": FieldHelp("Whether somebody has read from the item itself what its category assumed of it."),
    "longer_interval_reason": FieldHelp(
        "Why the longer end of a range of intervals is justified here. Without a reason the shorter end holds.",
        "seldom used, kept locked away",
    ),
    "notes": FieldHelp("Anything else; it stands on the item's page.", "spare key in the office"),
    "feeds": FieldHelp("The item that this cord set belongs to, where it always goes with the same one."),
    "owner": FieldHelp("Whose the item is. In let homes the landlord answers for what he provides."),
    "owner_name": FieldHelp("Whose it is, where it is not the client's; reports name the owner.", "Bo Quill"),
}
_PLATE: Final[Mapping[str, FieldHelp]] = {
    "appliance_class": FieldHelp(
        "Class I is earthed, Class II is double insulated (two squares on the plate), Class III has extra-low "
        "voltage. Not known: it is judged by its strictest case."
    ),
    "equipment_type": FieldHelp("How the item is used and moved; intervals and the visual list go by it."),
    "unearthed_metal": FieldHelp("Class I with metal that can be touched and is not earthed: it is tested by itself."),
    "functional_earth": FieldHelp("Class II with an earth that only makes it work, not safe: it is tested by itself."),
    "power_w": FieldHelp("The rated power on the plate, W or kW. Leakage limits of heating items follow it.", "2.2 kW"),
    "rated_volts": FieldHelp("The supply voltage on the plate, V.", "230"),
    "phases": FieldHelp("1 for an ordinary plug, 3 for a three-phase one."),
    "rated_current_a": FieldHelp("The current on the plate, A, where it is more than a plug carries.", "32"),
    "connection": FieldHelp("How it is connected: plug, hard-wired, industrial connector or battery."),
    "heating": FieldHelp("It heats or cooks: its leakage limit follows its power."),
    "mineral_insulated": FieldHelp("Heating elements that take up moisture and may leak until they have run warm."),
    "microwave": FieldHelp("A microwave oven: its radiation leakage is a check of its own."),
    "battery": FieldHelp("Runs from a battery while in use; its charger is an item of its own."),
    "unsuitable_500v": FieldHelp(
        "500 V d.c. would harm it or mislead, say electronics or surge protection: 250 V or leakage instead."
    ),
}
_CORD: Final[Mapping[str, FieldHelp]] = {
    "cord_csa_mm2": FieldHelp("Cross-section of one core of the cord, mm², as printed on it.", "0.75"),
    "cord_length_m": FieldHelp("Length of the cord, m; the earth limit grows with it.", "1.5"),
    "length_measured": FieldHelp("Whether the length was measured; an estimated one makes no limit laxer."),
    "fuse_a": FieldHelp("The fuse in the plug, A; nothing where there is none.", "13"),
    "moulded_plug": FieldHelp("The plug cannot be opened: only the fuse is looked at."),
    "tinned": FieldHelp("Strands tinned all over; under screws they work loose."),
    "flat_earth_limit_ohm": FieldHelp(
        "One limit for the earth, Ω, where the cord is not known. Left empty the rule book's holds.", "0.2"
    ),
    "rcd": FieldHelp("A residual current device in lead or plug, or the item itself being one; its trip is timed."),
    "rcd_rating_ma": FieldHelp("Its rated residual current, mA.", "30"),
    "rcd_delay_ms": FieldHelp("The delay set on it, ms, where it has one.", "60"),
    "double_leakage": FieldHelp("The standard of the item allows twice the usual leakage."),
}

ITEM_HELP: Final[Mapping[str, FieldHelp]] = {**_ITEM, **_PLATE, **_CORD}
CATEGORY_HELP: Final[Mapping[str, FieldHelp]] = {
    **_PLATE,
    **_CORD,
    "name": FieldHelp("What such items are called.", "Kettle"),
    "code": FieldHelp("A short code that finds it on the walk-round; no two are alike.", "KET"),
    "rated_volts": FieldHelp("The supply voltage of such items, V. Left empty: the usual supply.", "230"),
    "synonyms": FieldHelp("Other names that people type for it, with commas.", "tea kettle, jug"),
}
WALKED_HELP: Final[Mapping[str, FieldHelp]] = {
    "where": FieldHelp(
        "The room or area you stand in. The first letters find one that is known; Enter goes on there.", "kitchen"
    ),
    "tag": FieldHelp("The tag that the item bears already. Left empty it gets the next number of the site.", "HR-042"),
    "what": FieldHelp(
        "What you see: a name, a category's short code, or a number and a name for several alike. "
        "Pasted lines are added one after another.",
        "4 desk lamp",
    ),
    "class": FieldHelp(
        "1, 2 or 3; ? where it is not known. Behind 1 stands metal where some is not earthed, behind 2 fe with a "
        "functional earth, - takes either away.",
        "1 metal",
    ),
    "type": FieldHelp("How it is used and moved; the first letters are enough: h, p, m, s.", "portable"),
    "cord": FieldHelp(
        "Cross-section × length, mm² and m; with measured behind it where the length was measured.",
        "0.75 x 1.5 measured",
    ),
    "fuse": FieldHelp("The fuse in the plug, A; - where there is none.", "13"),
    "power": FieldHelp("The rated power on the plate.", "2.2 kW"),
}
"""By the name of the field on the one line of walk-round and Bench."""
