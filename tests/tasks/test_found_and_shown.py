"""Finding an item by code, tag or words; its page; the bench; and the order of a visit."""

from datetime import date

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import AssetTag, InspectionKind
from appreg.core.values.label_codes import code_text
from appreg.errors import InputRefused, NotFound
from appreg.schedule.due_states import DueState
from appreg.tasks.inspecting.choose_visit import visit_named
from appreg.tasks.inspecting.open_bench import items_for_visit, open_bench
from appreg.tasks.items.find_items import find_items, item_meant, said_of_label, tag_on_label
from appreg.tasks.items.show_item import show_item
from appreg.tasks.keeping.verify_register import verify_register
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def test_an_item_answers_to_its_code_key_tag_and_words(here: WorkedSite) -> None:
    kettle = here.kettle()
    for text in (f"APPREG:{kettle.uid}", f"appreg:{kettle.uid.lower()}", kettle.uid, "hr-001", " HR-001 ", "kett"):
        assert [found.appliance for found in find_items(here.register, text, today=TODAY)] == [kettle], text
    (found,) = find_items(here.register, "kettle", today=TODAY)
    assert (found.site, found.location) == (here.site, here.kitchen)


def test_a_label_finds_its_item_after_its_tag_has_changed_and_went_to_another(here: WorkedSite) -> None:
    kettle, toaster = here.kettle("HR-001"), here.kettle("HR-002")
    printed = code_text(kettle.tag, kettle.uid)
    change_record(here.register, WHO, replace(kettle, tag=AssetTag("HR-007")))
    change_record(here.register, WHO, replace(toaster, tag=AssetTag("HR-001")))
    for text in (printed, printed.lower(), f"\x1b{printed}\r"):
        assert [found.appliance.uid for found in find_items(here.register, text, today=TODAY)] == [kettle.uid], text


def test_a_label_whose_tag_is_longer_than_a_code_holds_finds_its_item(here: WorkedSite) -> None:
    kettle = here.kettle("HARBOUR-ROW-KITCHEN-0001")
    (found,) = find_items(here.register, code_text(kettle.tag, kettle.uid), today=TODAY)
    assert found.appliance == kettle


@pytest.mark.parametrize(
    ("code", "named"), [("*HR-001 4K7Q2M", "The label of HR-001"), (f"APPREG:{'0' * 26}", "This label")]
)
def test_a_label_of_another_register_is_said_to_be_one_and_never_stands_for_its_tag(
    here: WorkedSite, code: str, named: str
) -> None:
    here.kettle("HR-001")
    assert find_items(here.register, code, today=TODAY) == ()
    assert tag_on_label(here.register, code) is None
    assert said_of_label(here.register, code).startswith(f"{named} was printed from another register")
    with pytest.raises(NotFound, match="another register"):
        item_meant(here.register, code)
    assert said_of_label(here.register, "HR-009") == ""


@pytest.mark.parametrize("text", ["", "   ", '"', "*", "APPREG:", "APPREG:nonsense", "%", "a OR b", "0" * 26, "\x00"])
def test_what_nothing_answers_to_finds_nothing(here: WorkedSite, text: str) -> None:
    here.kettle()
    assert find_items(here.register, text, today=TODAY) == ()


def test_the_page_of_an_item_tells_all(here: WorkedSite) -> None:
    kettle = here.kettle()
    saved = here.record(kettle, combined(), here.visit(date(2025, 11, 24)))
    page = show_item(here.register, "hr-001", today=TODAY)
    assert page.appliance == saved.appliance
    assert (page.client, page.site, page.location, page.category) == (here.client, here.site, here.kitchen, None)
    assert (page.visual_state, page.test_state) == (DueState.OVERDUE, DueState.DUE_SOON)
    assert page.latest is not None
    assert page.latest.findings == saved.findings
    assert (page.latest.person, page.latest.instrument) == (here.person, here.instrument)
    with pytest.raises(NotFound, match="HR-9"):
        show_item(here.register, "HR-9", today=TODAY)


def test_an_item_never_inspected_says_so(here: WorkedSite) -> None:
    here.kettle()
    page = show_item(here.register, "HR-001", today=TODAY)
    assert (page.visual_state, page.test_state, page.latest) == (DueState.NEVER, DueState.NEVER, None)


def test_the_bench_knows_rules_checks_and_what_a_pass_would_bring(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2026, 10, 1)))
    bench = open_bench(here.register, kettle.uid, today=TODAY)
    assert bench.rules.required == (Check.VISUAL, Check.EARTH_CONTINUITY, Check.INSULATION, Check.FUNCTIONAL)
    assert (bench.environment, bench.rules.book.id, bench.profile) == ("low-risk", "gb", None)
    assert [line.id for line in bench.visual_lines][:3] == ["plug", "fuse", "cord"]
    passed = bench.dates_if_passed(InspectionKind.COMBINED)
    assert (passed.visual, passed.test) == (date(2027, 5, 24), date(2027, 11, 24))
    looked = bench.dates_if_passed(InspectionKind.VISUAL)
    assert (looked.visual, looked.test) == (date(2027, 5, 24), date(2027, 10, 1))


def test_a_visit_sees_items_in_the_order_of_tags_and_which_are_done(here: WorkedSite) -> None:
    late, early = here.kettle("HR-10"), here.kettle("HR-9")
    gone = here.kettle("HR-1")
    set_service_state(here.register, WHO, appliance=gone.uid, state=ServiceState.DISPOSED)
    visit = here.visit()
    wrong = here.record(early, combined(earth="0.5"), visit)
    right = here.record(early, combined(), visit, supersedes=wrong.inspection.uid, reason="slip")
    items = items_for_visit(here.register, visit.uid)
    assert [item.appliance.uid for item in items] == [early.uid, late.uid]
    assert [item.inspection.uid if item.inspection else None for item in items] == [right.inspection.uid, None]


def test_a_visit_goes_from_room_to_room_as_their_first_tags_do(here: WorkedSite) -> None:
    hall = add_location(here.register, WHO, site=here.site.uid, name="A hall")
    _, second, _, late = (here.kettle(f"HR-{number}") for number in (1, 2, 3, 10))
    with here.register.change(WHO) as change:
        for item in (second, late):
            change.put(replace(item, location=hall.uid))
    items = items_for_visit(here.register, here.visit().uid)
    assert [each.appliance.tag for each in items] == ["HR-1", "HR-3", "HR-2", "HR-10"]


def test_a_visit_is_named_by_key_day_or_as_the_latest(here: WorkedSite) -> None:
    first, second = here.visit(date(2026, 1, 1)), here.visit(date(2026, 2, 1))
    assert visit_named(here.register, "latest", today=TODAY) == second
    assert visit_named(here.register, "2026-01-01", here.site.uid, today=TODAY) == first
    assert visit_named(here.register, first.uid.lower(), today=TODAY) == first
    here.visit(date(2026, 1, 1))
    with pytest.raises(InputRefused, match="2 visits are of 2026-01-01"):
        visit_named(here.register, "2026-01-01", today=TODAY)
    with pytest.raises(NotFound, match="no visit 1999-01-01 at Harbour Row"):
        visit_named(here.register, "1999-01-01", here.site.uid, today=TODAY)


def test_a_register_in_use_is_sound_and_verifying_tells_how_far_it_is(here: WorkedSite) -> None:
    here.record(here.kettle(), combined())
    steps: list[tuple[int, int]] = []

    def progress(done: int, total: int) -> bool:
        steps.append((done, total))
        return True

    assert verify_register(here.register, progress) == ()
    assert steps
    assert steps[-1][0] == steps[-1][1]
