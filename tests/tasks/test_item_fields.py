"""A field that an item's record gains is asked for too, unless work leaves it behind."""

from appreg.core.records.kept_records import Appliance
from appreg.tasks.records.item_fields import ItemFields
from appreg.ui.screens.forms.appliance_questions import FIGURES, FLAGS, TEXTS

PLACE_AND_NAME = {"uid", "site", "location", "category", "tag", "name"}
LEFT_BEHIND = {"last_inspection", "last_date", "last_outcome", "next_visual", "next_test"}
NO_QUESTION = {"state", "assumed", "measured"}
"""Set by a command of their own, or by what is typed elsewhere in the form."""
CHOSEN = {"appliance_class", "equipment_type", "connection", "owner", "rcd", "rcd_mounting", "feeds"}
PLATE = {"power_w", "rated_volts", "phases"}


def test_every_field_of_an_item_can_be_given_but_its_place_and_what_inspections_leave_behind() -> None:
    given = set(ItemFields.__annotations__)
    assert given == set(Appliance.__struct_fields__) - PLACE_AND_NAME - LEFT_BEHIND


def test_the_form_asks_for_every_field_that_can_be_given() -> None:
    asked = {*TEXTS, *FIGURES, *FLAGS, *CHOSEN, *PLATE}
    assert asked - {"name"} == set(ItemFields.__annotations__) - NO_QUESTION
