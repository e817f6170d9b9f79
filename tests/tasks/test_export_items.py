"""The list of items goes out as CSV and as a workbook, and importing it again finds every row the same."""

import csv
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest
from msgspec.structs import replace
from openpyxl import load_workbook

from appreg.core.records.appliances import ApplianceClass, EquipmentType, ServiceState
from appreg.core.records.kept_records import Appliance, Category
from appreg.core.values.text import unguarded_cell
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.item_list import item_list_fields, item_list_heads
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import read_source
from appreg.progress import Stopped
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing.apply_import import apply_import
from appreg.tasks.importing.plan_import import plan_import
from appreg.tasks.importing.row_plans import ImportPlan, RowState
from appreg.tasks.items.export_items import export_items
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.seed_categories import seed_categories
from tests.tasks.import_lists import NOW
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

HOSTILE = (
    "[red]",
    "=1+1",
    "'=1+1",
    "+44",
    "-5",
    "@x",
    "Łódź – Ελλάδα",
    "אבג שלום",
    '"a", b; c',
    "x" * 300,
    "007",
    "1E5",
    "n/a.",
)


def stocked(here: WorkedSite) -> None:
    """Items with every kind of field filled, and with texts that spreadsheets would run or change."""
    seed_categories(here.register, WHO)
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2026, 1, 5)))
    other = add_site(here.register, WHO, client=here.client.uid, name="=Mill", prefix="ML", environment="public")
    room = add_location(here.register, WHO, site=other.uid, name="Hall, 1st; “north”")
    for number, name in enumerate(HOSTILE):
        add_appliance(
            here.register, WHO, site=other.uid, location=room.uid, name=name if name != "n/a." else "Lamp", make=name,
            model=name, serial=f"{name}{number}", notes=name, owner_name=name, appliance_class=ApplianceClass.CLASS_II,
            equipment_type=EquipmentType.HAND_HELD, cord_csa_mm2=Decimal("0.75"), cord_length_m=Decimal(2),
            rated_current_a=Decimal("3.5"), power_w=900, battery=bool(number % 2),
        )  # fmt: skip
    lead = here.again(here.kettle())
    with here.register.change(WHO) as change:
        change.put(replace(lead, feeds=kettle.uid, state=ServiceState.MISSING))


@pytest.mark.parametrize("name", ["items.csv", "items.xlsx"])
def test_a_list_that_comes_back_changes_nothing(name: str, here: WorkedSite, tmp_path: Path) -> None:
    stocked(here)
    assert export_items(here.register, tmp_path / name) == len(here.register.find(Appliance))
    plan = imported(here, tmp_path / name)
    assert [
        (row.line, row.state, row.changes, row.problems) for row in plan.rows if row.state is not RowState.SAME
    ] == []
    assert plan.remarks == 0
    assert len(plan.rows) == len(HOSTILE) + 2


@pytest.mark.parametrize("name", ["items.csv", "items.xlsx"])
def test_a_list_read_from_the_items_makes_them_elsewhere_as_they_were(
    name: str, here: WorkedSite, tmp_path: Path
) -> None:
    stocked(here)
    kettle = here.register.find(Category, code="KET")[0].uid
    with here.register.change(WHO) as change:
        for item in here.register.find(Appliance, name="Kettle"):
            # What a name says beyond doubt is its category.
            change.put(replace(item, category=kettle))
    export_items(here.register, tmp_path / name)
    (elsewhere := tmp_path / "elsewhere").mkdir()
    with worked_site(elsewhere) as other:
        seed_categories(other.register, WHO)
        add_site(other.register, WHO, client=other.client.uid, name="=Mill", prefix="ML", environment="public")
        plan = imported(other, tmp_path / name, read_from_items=True)
        apply_import(other.register, WHO, plan, settings=Settings(), now=NOW)
        export_items(here.register, tmp_path / "one.csv")
        export_items(other.register, tmp_path / "other.csv")
    assert (tmp_path / "other.csv").read_text("utf-8") == (tmp_path / "one.csv").read_text("utf-8")


def test_a_list_is_what_rfc_4180_has_and_no_text_of_it_is_run(here: WorkedSite, tmp_path: Path) -> None:
    stocked(here)
    export_items(here.register, tmp_path / "items.csv")
    content = (tmp_path / "items.csv").read_bytes()
    assert content.count(b"\n") == content.count(b"\r\n") == len(HOSTILE) + 3
    rows = list(csv.DictReader(content.decode("utf-8").splitlines(keepends=True), strict=True))
    assert not [cell for row in rows for cell in row.values() if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    makes = [unguarded_cell(row["make"]) for row in rows if row["site"] == "'=Mill"]
    assert makes == list(HOSTILE)


def test_figures_of_a_workbook_are_figures_and_its_texts_are_texts(here: WorkedSite, tmp_path: Path) -> None:
    stocked(here)
    export_items(here.register, tmp_path / "items.xlsx")
    rows = list(load_workbook(tmp_path / "items.xlsx").active.iter_rows())
    heads = [cell.value for cell in rows[0]]
    made = [row for row in rows[1:] if row[heads.index("site")].value == "=Mill"]
    assert [row[heads.index("make")].value for row in made] == list(HOSTILE)
    assert {row[heads.index("make")].data_type for row in made} == {"s"}
    assert {row[heads.index("cord size (mm²)")].value for row in made} == {0.75}


def test_one_site_is_listed_alone_and_one_that_shares_its_name_is_told_by_its_prefix(
    here: WorkedSite, tmp_path: Path
) -> None:
    stocked(here)
    assert export_items(here.register, tmp_path / "one.csv", site=here.site.uid) == 2
    add_site(here.register, WHO, client=here.client.uid, name="Harbour  row", prefix="HR2", environment="public")
    export_items(here.register, tmp_path / "all.csv")
    rows = list(csv.DictReader((tmp_path / "all.csv").read_text("utf-8").splitlines()))
    assert {row["site"] for row in rows} == {"HR", "ML"}
    assert {row.state for row in imported(here, tmp_path / "all.csv").rows} == {RowState.SAME}


def test_what_is_stopped_leaves_no_file(here: WorkedSite, tmp_path: Path) -> None:
    here.kettle()
    for name in ("items.csv", "items.xlsx"):
        with pytest.raises(Stopped, match="no file was written"):
            export_items(here.register, tmp_path / name, progress=lambda *_: False)
        assert not (tmp_path / name).exists()


def imported(here: WorkedSite, file: Path, *, read_from_items: bool = False) -> ImportPlan:
    """What importing the list comes to, its columns guessed."""
    source = read_source(file)
    mapping = guess_mapping(source, ImportKind.ITEMS)
    assert {column.head: column.field for column in mapping.columns} == dict(
        zip(item_list_heads(), [each.name for each in item_list_fields()], strict=True)
    )
    return plan_import(here.register, source, mapping, site=None, today=TODAY, read_from_items=read_from_items)
