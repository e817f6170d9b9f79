"""The form for a category: the defaults that fill an item when its name is typed."""

from collections.abc import Sequence
from typing import Any

from appreg.core.appliances import ApplianceClass, EquipmentType
from appreg.core.records import Category
from appreg.tasks.add_category import add_category
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import YES_OR_NO, FormField, TypedForm, flag_shown, number_shown
from appreg.ui.screens.forms.record_choices import class_choices, type_choices
from appreg.ui.screens.forms.record_form import RecordForm


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
            FormField(name="name", label="Name", value=was.name if was else self._name, required=True, hint="Kettle"),
            FormField(name="code", label="Code", value=was.code if was else "", required=True, hint="KET"),
            *self._kind(was),
            *self._figures(was),
            *(
                FormField(name=name, label=label, value=flag_shown(flag), choices=YES_OR_NO)
                for name, label, flag in (
                    ("heating", "Heats or cooks", was.heating if was else False),
                    ("microwave", "Microwave oven", was.microwave if was else False),
                    ("unsuitable_500v", "500 V would harm it", was.unsuitable_500v if was else False),
                    ("battery", "Battery powered", was.battery if was else False),
                )
            ),
        )

    def keep(self, typed: TypedForm) -> Category:
        """Add or change the category."""
        given: dict[str, Any] = {
            "name": typed.text("name"),
            "code": typed.text("code"),
            "appliance_class": ApplianceClass(typed.values["appliance_class"]),
            "equipment_type": EquipmentType(typed.values["equipment_type"]),
            "cord_csa_mm2": typed.decimal("cord_csa_mm2", "mm²", "mm2"),
            "cord_length_m": typed.decimal("cord_length_m", "m"),
            "fuse_a": typed.decimal("fuse_a", "A"),
            "power_w": typed.power("power_w"),
            **{name: typed.flag(name) for name in ("heating", "microwave", "unsuitable_500v", "battery")},
        }
        if self._existing:
            return self.change(self._existing, **given)
        return add_category(self.desk.register, self.desk.who, **given)

    def _kind(self, was: Category | None) -> tuple[FormField, ...]:
        return (
            FormField(
                name="appliance_class",
                label="Class",
                value=(was.appliance_class if was else ApplianceClass.CLASS_I).value,
                choices=class_choices(),
            ),
            FormField(
                name="equipment_type",
                label="Type",
                value=(was.equipment_type if was else EquipmentType.PORTABLE).value,
                choices=type_choices(),
            ),
        )

    def _figures(self, was: Category | None) -> tuple[FormField, ...]:
        return (
            FormField(
                name="cord_csa_mm2", label="Cord, mm²", value=number_shown(was.cord_csa_mm2) if was else "", hint="0.75"
            ),
            FormField(
                name="cord_length_m", label="Cord, m", value=number_shown(was.cord_length_m) if was else "", hint="1.5"
            ),
            FormField(name="fuse_a", label="Fuse, A", value=number_shown(was.fuse_a) if was else "", hint="13"),
            FormField(
                name="power_w", label="Power", value=number_shown(was.power_w, "W") if was else "", hint="2.2 kW"
            ),
        )
