"""The questions of the appliance form, with what is kept of an item put back into them."""

from collections.abc import Mapping
from typing import Final

from appreg.core.records.appliances import Fact
from appreg.core.records.kept_records import Appliance, Category, Site
from appreg.core.records.provenance import assumed_of, measured_of
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register
from appreg.ui.screens.forms.form_fields import YES_OR_NO, Choice, FormField, flag_shown, number_shown
from appreg.ui.screens.forms.record_choices import (
    NONE,
    appliance_choices,
    category_choices,
    class_and_type,
    connection_choices,
    location_choices,
    owner_choices,
    rcd_answer,
    rcd_choices,
)

TEXTS: Final = ("name", "make", "model", "serial", "owner_name", "longer_interval_reason", "notes")
FIGURES: Final[Mapping[str, tuple[str, ...]]] = {
    "cord_csa_mm2": ("mm²", "mm2"),
    "cord_length_m": ("m",),
    "fuse_a": ("A",),
    "rcd_rating_ma": ("mA",),
    "rcd_delay_ms": ("ms",),
    "flat_earth_limit_ohm": ("Ω", "ohm"),
    "rated_current_a": ("A",),
}
FLAGS: Final[Mapping[str, str]] = {
    "tinned": "Cord strands tinned",
    "moulded_plug": "Moulded plug",
    "heating": "Heats or cooks",
    "microwave": "Microwave oven",
    "battery": "Battery powered",
    "unsuitable_500v": "500 V would harm it",
    "double_leakage": "Leakage limit doubled",
    "mineral_insulated": "Mineral-insulated heating",
    "unearthed_metal": "Some metal not earthed",
    "functional_earth": "Functional earth",
}
LENGTH_MEASURED: Final = "length_measured"
"""The question whether the length of the cord was measured."""
CONFIRMED: Final = "all"
"""The answer that everything assumed has been read from the item."""


def questions(register: Register, site: Site, was: Appliance | None) -> tuple[FormField, ...]:
    """All questions, in the order of an inspector's eyes: item, plate, cord and plug, device, the rest."""
    return (
        *_identity(register, site, was),
        *_assumed(register, was),
        *_plate(was),
        *_cord_and_plug(was),
        *_device(was),
        *_rest(register, site, was),
    )


def _identity(register: Register, site: Site, was: Appliance | None) -> tuple[FormField, ...]:
    locations = location_choices(register, site.uid)
    return (
        FormField(name="name", label="Name", value=was.name if was else "", hint="empty: the category's"),
        FormField(
            name="category",
            label="Category",
            value=(was.category or "") if was else "",
            choices=category_choices(register),
            creates="category",
        ),
        FormField(
            name="location",
            label="Location",
            value=was.location if was else "",
            choices=locations,
            required=True,
            creates="location",
        ),
        FormField(name="tag", label="Tag", value=was.tag if was else "", hint=f"empty: the next {site.prefix} number"),
        *(
            FormField(name=name, label=label, value=getattr(was, name) if was else "")
            for name, label in (("make", "Make"), ("model", "Model"), ("serial", "Serial"))
        ),
    )


def _assumed(register: Register, was: Appliance | None) -> tuple[FormField, ...]:
    """What nobody has read from the item yet, to be confirmed as a whole; what is changed below is confirmed by that."""
    category = register.get(Category, was.category) if was and was.category else None
    assumed = assumed_of(was, category) if was else ()
    if not assumed:
        return ()
    named = ", ".join(fact.value.replace("-", " ") for fact in assumed)
    choices = (Choice("", f"assumed: {named}"), Choice(CONFIRMED, "all read from the item"))
    return (FormField(name="confirmed", label="Read or assumed", value="", choices=choices),)


def _plate(was: Appliance | None) -> tuple[FormField, ...]:
    return (
        *class_and_type(was),
        *_flags(was, "unearthed_metal", "functional_earth"),
        FormField(name="power_w", label="Power", value=number_shown(was.power_w, "W") if was else ""),
        FormField(
            name="rated_volts", label="Rated voltage, V", value=str(was.rated_volts) if was else "230", required=True
        ),
        FormField(
            name="phases",
            label="Phases",
            value=str(was.phases) if was else "1",
            choices=(Choice("1", "1"), Choice("3", "3")),
        ),
        FormField(
            name="rated_current_a",
            label="Rated current, A",
            value=number_shown(was.rated_current_a) if was else "",
            hint="only where it is more than a plug carries",
        ),
        FormField(
            name="connection",
            label="Connection",
            value=(was.connection or "") if was else "",
            choices=connection_choices(),
        ),
        *_flags(was, "heating", "mineral_insulated", "microwave", "battery", "unsuitable_500v"),
    )


def _cord_and_plug(was: Appliance | None) -> tuple[FormField, ...]:
    return (
        FormField(name="cord_csa_mm2", label="Cord, mm²", value=number_shown(was.cord_csa_mm2) if was else ""),
        FormField(name="cord_length_m", label="Cord, m", value=number_shown(was.cord_length_m) if was else ""),
        FormField(
            name=LENGTH_MEASURED,
            label="Cord length measured",
            value=flag_shown(bool(was) and Fact.CORD_LENGTH in measured_of(was)) if was else flag_shown(False),
            choices=YES_OR_NO,
        ),
        FormField(name="fuse_a", label="Fuse, A", value=number_shown(was.fuse_a) if was else ""),
        *_flags(was, "moulded_plug", "tinned"),
        FormField(
            name="flat_earth_limit_ohm",
            label="Flat earth limit, Ω",
            value=number_shown(was.flat_earth_limit_ohm) if was else "",
            hint="only where the cord is not known; empty: the rule book's",
        ),
    )


def _device(was: Appliance | None) -> tuple[FormField, ...]:
    return (
        FormField(name="rcd", label="RCD", value=rcd_answer(was), choices=rcd_choices()),
        FormField(
            name="rcd_rating_ma",
            label="RCD rating, mA",
            value=number_shown(was.rcd_rating_ma) if was else "",
        ),
        FormField(name="rcd_delay_ms", label="RCD delay, ms", value=number_shown(was.rcd_delay_ms) if was else ""),
    )


def _rest(register: Register, site: Site, was: Appliance | None) -> tuple[FormField, ...]:
    others = appliance_choices(register, site.uid, was.uid if was else Uid("")) if _is_lead(was) else (NONE,)
    return (
        FormField(name="feeds", label="Cord set feeds", value=(was.feeds or "") if was else "", choices=others),
        *_flags(was, "double_leakage"),
        FormField(name="owner", label="Belongs to", value=(was.owner or "") if was else "", choices=owner_choices()),
        FormField(name="owner_name", label="Its owner, by name", value=was.owner_name if was else ""),
        FormField(
            name="longer_interval_reason",
            label="Longer interval, why",
            value=was.longer_interval_reason if was else "",
            hint="empty: the shorter end of the range is used",
        ),
        FormField(name="notes", label="Notes", value=was.notes if was else ""),
    )


def _is_lead(was: Appliance | None) -> bool:
    return was is None or was.equipment_type.is_lead


def _flags(was: Appliance | None, *names: str) -> tuple[FormField, ...]:
    return tuple(
        FormField(
            name=name,
            label=FLAGS[name],
            value=flag_shown(bool(getattr(was, name)) if was else False),
            choices=YES_OR_NO,
        )
        for name in names
    )
