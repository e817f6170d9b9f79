"""The form for a category: the defaults that fill an item when its name is typed."""

from collections.abc import Sequence
from typing import Any, Final

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType
from appreg.core.records.kept_records import Category
from appreg.tasks.records.add_category import add_category
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import YES_OR_NO, FormField, TypedForm, flag_shown, number_shown
from appreg.ui.screens.forms.record_choices import (
    class_and_type,
    connection_choices,
    rcd_answer,
    rcd_choices,
    rcd_of_answer,
)
from appreg.ui.screens.forms.record_form import RecordForm

_FLAGS: Final = (
    "heating",
    "microwave",
    "unsuitable_500v",
    "battery",
    "moulded_plug",
    "mineral_insulated",
    "unearthed_metal",
    "functional_earth",
)


class CategoryForm(RecordForm[Category]):
    """A kind of item."""

    def __init__(self, desk: Desk, existing: Category | None = None, *, name: str = "") -> None:
        super().__init__(desk, existing)
        self._name = name
        self.title = f"Category · {existing.name}" if existing else "New category"

    def fields(self) -> Sequence[FormField]:
        """Code, name and defaults."""
        was = self._existing
        return (
            FormField(name="name", label="Name", value=was.name if was else self._name, required=True),
            FormField(name="code", label="Code", value=was.code if was else "", required=True),
            *class_and_type(was),
            *self._figures(was),
            *(
                FormField(name=name, label=label, value=flag_shown(flag), choices=YES_OR_NO)
                for name, label, flag in (
                    ("heating", "Heats or cooks", was.heating if was else False),
                    ("microwave", "Microwave oven", was.microwave if was else False),
                    ("unsuitable_500v", "500 V would harm it", was.unsuitable_500v if was else False),
                    ("battery", "Battery powered", was.battery if was else False),
                    ("moulded_plug", "Moulded plug", was.moulded_plug if was else False),
                    ("mineral_insulated", "Mineral-insulated heating", was.mineral_insulated if was else False),
                    ("unearthed_metal", "Some metal not earthed", was.unearthed_metal if was else False),
                    ("functional_earth", "Functional earth", was.functional_earth if was else False),
                )
            ),
        )

    def keep(self, typed: TypedForm) -> Category:
        """Add or change the category."""
        rcd, mounting = rcd_of_answer(typed.values["rcd"])
        connection = typed.values["connection"]
        given: dict[str, Any] = {
            "name": typed.text("name"),
            "code": typed.text("code"),
            "appliance_class": ApplianceClass(typed.values["appliance_class"]),
            "equipment_type": EquipmentType(typed.values["equipment_type"]),
            "cord_csa_mm2": typed.decimal("cord_csa_mm2", "mm²", "mm2"),
            "cord_length_m": typed.decimal("cord_length_m", "m"),
            "fuse_a": typed.decimal("fuse_a", "A"),
            "power_w": typed.power("power_w"),
            "rcd": rcd,
            "rcd_mounting": mounting,
            "rcd_rating_ma": typed.decimal("rcd_rating_ma", "mA"),
            "rated_volts": typed.whole("rated_volts", "V"),
            "connection": Connection(connection) if connection else None,
            "synonyms": tuple(word.strip() for word in typed.text("synonyms").split(",") if word.strip()),
            **{name: typed.flag(name) for name in _FLAGS},
        }
        if self._existing:
            return self.change(self._existing, **given)
        return add_category(self.desk.register, self.desk.who, **given)

    def _figures(self, was: Category | None) -> tuple[FormField, ...]:
        return (
            FormField(name="cord_csa_mm2", label="Cord, mm²", value=number_shown(was.cord_csa_mm2) if was else ""),
            FormField(name="cord_length_m", label="Cord, m", value=number_shown(was.cord_length_m) if was else ""),
            FormField(name="fuse_a", label="Fuse, A", value=number_shown(was.fuse_a) if was else ""),
            FormField(name="power_w", label="Power", value=number_shown(was.power_w, "W") if was else ""),
            FormField(
                name="rated_volts",
                label="Rated voltage, V",
                value=number_shown(was.rated_volts) if was else "",
                hint="empty: the usual supply",
            ),
            FormField(
                name="connection",
                label="Connection",
                value=(was.connection or "") if was else "",
                choices=connection_choices(),
            ),
            FormField(name="rcd", label="RCD", value=rcd_answer(was), choices=rcd_choices()),
            FormField(
                name="rcd_rating_ma",
                label="RCD rating, mA",
                value=number_shown(was.rcd_rating_ma) if was else "",
            ),
            FormField(
                name="synonyms",
                label="Also called",
                value=", ".join(was.synonyms) if was else "",
            ),
        )
