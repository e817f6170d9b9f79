"""A scope of work on paper."""

from datetime import date
from pathlib import Path

import pytest

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.uids import Uid
from appreg.paper.documents.scope_document import write_scope_document
from appreg.progress import Stopped
from appreg.schedule.scope_of_work import LeftOut, ScopeItem, ScopeOfWork, ScopeSite
from tests.hostile_names import HOSTILE_NAMES
from tests.paper.pdf_reading import pages_of, text_boxes, whole_text

MARGIN, RIGHT, WIDE, HIGH = 18.0, 10.0, 210.0, 297.0
SITE = Uid("0" * 26)


def scope_of(*names: str) -> ScopeOfWork:
    """Items with these names, at a site that bears each in turn."""
    return ScopeOfWork(
        made_on=date(2026, 11, 24),
        after="",
        sites=(
            ScopeSite(key=SITE, name=names[0], client="Row Lettings", address="1 Quay", access=("let in Mon-Fri",)),
        ),
        items=tuple(
            ScopeItem(
                key=Uid(f"{place:026d}"),
                site_key=SITE,
                site=names[0],
                location=name,
                tag=f"HR-{place:03d}",
                name=name,
                appliance_class=ApplianceClass.UNKNOWN if place % 2 else ApplianceClass.CLASS_I,
                equipment_type=EquipmentType.PORTABLE,
                make=name,
                serial=name,
                work=InspectionKind.COMBINED,
                checks=(Check.VISUAL, Check.EARTH_CONTINUITY, Check.INSULATION),
                minutes=5,
                due=date(2027, 1, 5),
                note="class not known, judged as Class I" if place % 2 else "",
            )
            for place, name in enumerate(names)
        ),
        left_out=(LeftOut(why="withdrawn", items=2),),
    )


def test_it_tells_places_access_counts_checks_and_every_item_and_no_price(tmp_path: Path) -> None:
    out = tmp_path / "scope.pdf"
    summary = write_scope_document(scope_of("Kettle", "Toaster"), out)
    text = whole_text(out)
    assert summary.items == 2
    for words in (
        "Scope of work, 24 Nov 2026", "every item in service", "let in Mon-Fri", "Class I · portable", "inspection and test",
        "earth continuity 2", "withdrawn 2", "HR-000", "HR-001", "due 05 Jan 2027", "class not known, judged as Class I",
    ):  # fmt: skip
        assert words in text, words
    assert not {"£", "price", "cost"} & {*text.casefold().split()}


def test_whatever_items_are_called_nothing_runs_off_the_page_or_is_lost(tmp_path: Path) -> None:
    out = tmp_path / "scope.pdf"
    summary = write_scope_document(scope_of(*HOSTILE_NAMES), out)
    assert summary.pages == pages_of(out) > 1
    text = whole_text(out)
    assert all(f"HR-{place:03d}" in text for place in range(len(HOSTILE_NAMES)))
    for _, left, _, right, bottom in text_boxes(out):
        assert left >= MARGIN - 1
        assert right <= WIDE - RIGHT + 1
        assert bottom <= HIGH - 4


def test_drawing_stops_where_it_is_asked_to_and_leaves_no_file(tmp_path: Path) -> None:
    out = tmp_path / "scope.pdf"
    with pytest.raises(Stopped):
        write_scope_document(scope_of("Kettle"), out, progress=lambda _done, _total: False)
    assert not out.exists()
