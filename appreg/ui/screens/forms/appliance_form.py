"""The form for an appliance: everything its plate, its cord and its plug say."""

from collections.abc import Sequence
from typing import Any

from appreg.core.records.appliances import ApplianceClass, Connection, EquipmentType, Fact, Owner
from appreg.core.records.kept_records import Appliance, AssetTag, Site
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.tasks.records.add_appliance import add_appliance
from appreg.ui.screens.forms.appliance_questions import CONFIRMED, FIGURES, FLAGS, LENGTH_MEASURED, TEXTS, questions
from appreg.ui.screens.forms.category_form import CategoryForm
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import NEW_KEY, Choice, FormField, TypedForm
from appreg.ui.screens.forms.record_choices import category_choices, location_choices, rcd_of_answer
from appreg.ui.screens.forms.record_form import RecordForm
from appreg.ui.screens.forms.site_forms import LocationForm


class ApplianceForm(RecordForm[Appliance]):
    """One item."""

    def __init__(self, desk: Desk, site: Site, existing: Appliance | None = None) -> None:
        super().__init__(desk, existing)
        self._site = site
        self.title = f"Item · {existing.tag} {existing.name}" if existing else f"New item · {site.name}"

    def fields(self) -> Sequence[FormField]:
        """Name and place first, then plate, cord, plug and device."""
        return questions(self.desk.register, self._site, self._existing)

    def keep(self, typed: TypedForm) -> Appliance:
        """Add or change the item."""
        given = self._given(typed)
        location = Uid(typed.values["location"])
        if not location:
            raise InputRefused(f"Location: none is chosen; press {NEW_KEY} in this field to add one.", field="location")
        category = Uid(typed.values["category"]) or None
        measured = (Fact.CORD_LENGTH,) if typed.flag(LENGTH_MEASURED) else ()
        if measured and given["cord_length_m"] is None:
            raise InputRefused("Cord length measured: no length is typed; type it in “Cord, m”.", field="cord_length_m")
        if self._existing:
            tag = AssetTag(typed.text("tag")) or self._existing.tag
            if typed.values.get("confirmed") == CONFIRMED:
                given["assumed"] = ()
            if not measured:
                given["measured"] = tuple(each for each in self._existing.measured if each != Fact.CORD_LENGTH)
            elif Fact.CORD_LENGTH in self._existing.measured and given["cord_length_m"] == self._existing.cord_length_m:
                measured = ()
            return self.change(
                self._existing, just_measured=measured, location=location, category=category, tag=tag, **given
            )
        return add_appliance(
            self.desk.register,
            self.desk.who,
            site=self._site.uid,
            location=location,
            category=category,
            tag=typed.text("tag"),
            measured=tuple(fact.value for fact in measured),
            **given,
        )

    def new_for(self, name: str) -> Form[Any] | None:
        """Locations and categories can be added in place."""
        if name == "location":
            return LocationForm(self.desk, self._site)
        return CategoryForm(self.desk) if name == "category" else None

    def answers(self, name: str) -> Sequence[Choice]:
        """Locations or categories as the register now stands."""
        if name == "location":
            return location_choices(self.desk.register, self._site.uid)
        return category_choices(self.desk.register) if name == "category" else super().answers(name)

    def _given(self, typed: TypedForm) -> dict[str, Any]:
        rcd, mounting = rcd_of_answer(typed.values["rcd"])
        connection, owner = typed.values["connection"], typed.values["owner"]
        phases = typed.whole("phases")
        volts = typed.whole("rated_volts", "V")
        return {
            **{name: typed.text(name) for name in TEXTS},
            **{name: typed.decimal(name, *units) for name, units in FIGURES.items()},
            **{name: typed.flag(name) for name in FLAGS},
            "appliance_class": ApplianceClass(typed.values["appliance_class"]),
            "equipment_type": EquipmentType(typed.values["equipment_type"]),
            "power_w": typed.power("power_w"),
            "rcd": rcd,
            "rcd_mounting": mounting,
            "connection": Connection(connection) if connection else None,
            "owner": Owner(owner) if owner else None,
            "rated_volts": _needed(typed, "rated_volts", volts),
            "phases": _needed(typed, "phases", phases),
            "feeds": Uid(typed.values["feeds"]) or None,
        }


def _needed(typed: TypedForm, name: str, number: int | None) -> int:
    if number is None:
        raise typed.refused(name, "nothing is typed; the plate says it.")
    return number
