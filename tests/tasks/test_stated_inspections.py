"""What another states without readings bears on dates alone, and a failure among it holds the item until a whole test passes."""

import json
from collections.abc import Iterator
from datetime import date
from pathlib import Path

import pytest
from msgspec.structs import replace
from textual.widgets import Static

from appreg.cli.main import main
from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import (
    Appliance,
    Inspection,
    InspectionKind,
    LabelKind,
    QueuedLabel,
    StatedInspection,
)
from appreg.core.records.list_queries import parse_query
from appreg.core.records.stated_outcomes import StatedOutcome
from appreg.core.records.stated_words import outcome_words
from appreg.core.records.work_records import IntervalKind, OverrideScope
from appreg.core.values.outcomes import Outcome
from appreg.core.values.periods import Period
from appreg.errors import InputRefused, NotFound
from appreg.paper.documents.register_lines import item_row
from appreg.register.checking.checking import problems
from appreg.register.history.journal import entries_of
from appreg.schedule.due_dates import date_after
from appreg.schedule.due_states import DueState
from appreg.schedule.interval_overrides import Signature
from appreg.schedule.searched_items import searched_item
from appreg.tasks.desk.find_rules import rules_of
from appreg.tasks.documents.confirm_printed import confirm_printed
from appreg.tasks.documents.paper_kinds import Asked
from appreg.tasks.documents.print_labels import print_labels
from appreg.tasks.documents.tell_remedial import remedial_document
from appreg.tasks.documents.write_notice import failure_notice, write_notice
from appreg.tasks.documents.write_site_register import site_document
from appreg.tasks.documents.write_summary import duty_summary
from appreg.tasks.inspecting.open_bench import open_bench
from appreg.tasks.items.find_items import find_items
from appreg.tasks.items.show_item import show_item
from appreg.tasks.planning.list_due import list_due
from appreg.tasks.planning.override_interval import override_interval
from appreg.tasks.records.set_service_state import set_service_state
from appreg.tasks.records.undo_step import DoneStep, undo_step
from appreg.tasks.standing.check_standings import standing_problems
from appreg.tasks.standing.keep_stated import keep_stated
from appreg.tasks.standing.queue_labels import queue_labels, remove_from_tray, waiting_labels
from appreg.tasks.standing.settle_after_merge import settle_after_merge
from appreg.ui.app import AppregApp
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.bench.bench_words import last_result, standing_words
from appreg.ui.screens.bench.last_time import last_time_page
from appreg.ui.screens.item.item_screen import ItemScreen
from tests.paper.pdf_reading import whole_text
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, worked_site

SOON = date(2026, 9, 1)


@pytest.fixture
def site(tmp_path: Path) -> Iterator[WorkedSite]:
    with worked_site(tmp_path) as found:
        yield found


def tell(
    site: WorkedSite,
    item: Appliance,
    on: date,
    outcome: StatedOutcome = StatedOutcome.PASS,
    *,
    next_on: date | None = None,
) -> Appliance:
    with site.register.change(WHO) as change:
        told = StatedInspection(
            uid=change.new_uid(), appliance=item.uid, on=on, kind=InspectionKind.COMBINED, outcome=outcome, next_on=next_on,
            stated_by="Another [red]", source="=1+1.csv", line=3,
        )  # fmt: skip
        (kept,) = keep_stated(site.register, change, [told])
    assert list(standing_problems(site.register)) == []
    return kept


def shortest(site: WorkedSite, item: Appliance) -> Period:
    test = rules_of(site.register, item).table.test
    assert test is not None
    period = test.chosen(longer=False)
    assert period is not None
    return period


def labels(site: WorkedSite, item: Appliance) -> list[QueuedLabel]:
    return site.register.find(QueuedLabel, appliance=item.uid, printed_on=None)


def test_a_stated_pass_is_no_result_and_gets_no_label(site: WorkedSite) -> None:
    item = tell(site, site.kettle(), TODAY)
    assert (item.last_outcome, item.last_inspection, item.state) == (None, None, ServiceState.IN_SERVICE)
    assert queue_labels(site.register, WHO, appliances=[item.uid], today=TODAY) == ()
    assert site.register.find(Inspection) == []


@pytest.mark.parametrize("stated", [None, date(2026, 12, 1), date(2099, 1, 1)])
def test_the_sooner_of_the_books_and_the_stated_date_holds(site: WorkedSite, stated: date | None) -> None:
    item = site.kettle()
    book = date_after(TODAY, shortest(site, item))
    assert tell(site, item, TODAY, next_on=stated).next_test == min(book, stated or book)


def test_no_longer_interval_counts_for_what_is_only_stated(site: WorkedSite) -> None:
    item = site.kettle()
    book = date_after(TODAY, shortest(site, item))
    site.record(item, combined(), site.visit(SOON))
    override_interval(
        site.register, WHO, scope=OverrideScope.APPLIANCE, target=item.uid, what=IntervalKind.TEST, period="P6Y",
        reason="good record", on=TODAY, signature=Signature(by="Holder", on=TODAY),
    )  # fmt: skip
    with site.register.change(WHO) as change:
        change.put(replace(site.again(item), longer_interval_reason="good record"))
    kept = site.again(item).next_test
    assert kept is not None
    assert kept > book
    assert tell(site, site.again(item), TODAY).next_test == book


def test_an_older_statement_leaves_what_was_found_here_alone(site: WorkedSite) -> None:
    item = site.kettle()
    kept = site.record(item, combined(), site.visit(SOON)).appliance
    assert tell(site, kept, date(2025, 1, 1), next_on=date(2025, 2, 1)) == kept


def test_no_result_stated_leaves_the_item_due_since_it_was_seen(site: WorkedSite) -> None:
    item = tell(site, site.kettle(), SOON, StatedOutcome.UNSAID, next_on=date(2030, 1, 1))
    assert (item.next_test, item.last_outcome) == (SOON, None)


def test_a_stated_failure_holds_the_item_until_a_whole_test_passes(site: WorkedSite) -> None:
    kept = site.record(site.kettle(), combined(), site.visit(SOON)).appliance
    assert [each.kind for each in labels(site, kept)] == [LabelKind.PASS]
    item = tell(site, kept, date(2026, 10, 1), StatedOutcome.FAIL)
    assert (item.last_outcome, item.state, labels(site, item)) == (Outcome.FAIL, ServiceState.WITHDRAWN, [])
    tell(site, item, date(2026, 10, 5))
    assert site.again(item).last_outcome is Outcome.FAIL
    with pytest.raises(InputRefused, match="has not passed since"):
        set_service_state(site.register, WHO, appliance=item.uid, state=ServiceState.IN_SERVICE)
    with pytest.raises(InputRefused, match="visual inspection alone"):
        site.record(item, Entries(visual=True), kind=InspectionKind.VISUAL)
    early = site.record(item, combined(), site.visit(date(2026, 9, 30)))
    assert "the failure stands" in early.caution
    assert early.appliance.last_outcome is Outcome.FAIL
    mended = site.record(item, combined(), site.visit(TODAY)).appliance
    assert (mended.last_outcome, mended.state) == (Outcome.PASS, ServiceState.IN_SERVICE)
    assert [each.kind for each in labels(site, mended)] == [LabelKind.PASS]
    assert list(standing_problems(site.register)) == []
    assert list(problems(site.register)) == []


def test_a_stated_pass_ends_no_failure_and_moves_no_date_after_one(site: WorkedSite) -> None:
    failed = site.record(site.kettle(), combined(earth="0.9"), site.visit(SOON)).appliance
    assert tell(site, failed, TODAY) == failed


def test_the_page_of_an_item_tells_what_is_stated_as_such(site: WorkedSite) -> None:
    item = tell(site, site.kettle(), SOON)
    tell(site, item, date(2024, 1, 1), StatedOutcome.FAIL)
    page = show_item(site.register, item.tag, today=TODAY)
    assert [each.on for each in page.stated] == [SOON, date(2024, 1, 1)]
    assert (page.damaged, page.history, page.latest) == (False, (), None)


def test_what_was_stated_is_undone_in_one_step(site: WorkedSite) -> None:
    before = site.kettle()
    item = tell(site, before, SOON, StatedOutcome.FAIL)
    (told,) = site.register.find(StatedInspection)
    rows = site.register.rows("SELECT change FROM journal WHERE uid = ?", (told.uid,))
    assert entries_of(site.register, rows[0][0])
    undo_step(site.register, WHO, DoneStep(change=rows[0][0], words="1 item", items=(item.uid,)))
    assert site.again(item) == before
    assert site.register.find(StatedInspection) == []


def test_documents_and_the_register_line_tell_it_and_never_a_pass(site: WorkedSite) -> None:
    passed, failed = site.kettle(), site.kettle()
    tell(site, passed, SOON)
    tell(site, failed, SOON, StatedOutcome.FAIL)
    document = site_document(site.register, site=site.site.uid, today=TODAY)
    assert [(each.inspection, each.failed) for each in document.items] == [(None, False), (None, True)]
    cells = [[str(cell) for cell in item_row(each, TODAY)] for each in document.items]
    for row, said in zip(cells, ("stated pass", "stated failure"), strict=True):
        assert (
            f"{said} of 01 Sep 2026, inspection and test, stated by another, without readings: Another [red]" in row[1]
        )
        assert not {"PASS", "never inspected"} & set(row)


async def test_the_item_screen_shows_it_among_the_inspections(site: WorkedSite) -> None:
    item = tell(site, site.record(site.kettle(), combined(), site.visit(SOON)).appliance, date(2026, 10, 1))
    app = AppregApp(site.register, today=TODAY, who=WHO)
    async with app.run_test(size=(160, 40)) as pilot:
        app.push_screen(ItemScreen(appliance=item.uid))
        await pilot.pause()
        table = app.screen.query_one("#history", VirtualTable)
        assert table.row_count == 2
        assert "without readings: Another [red]" in str(app.screen.query_one("#which", Static).render())


def test_the_command_line_shows_it(site: WorkedSite, capsys: pytest.CaptureFixture[str]) -> None:
    item = tell(site, site.kettle(), SOON)
    assert main(["show", item.tag, "--register", site.register.place]) == 0
    shown = capsys.readouterr().out
    assert "stated by another, without readings: Another [red]" in shown
    assert "from =1+1.csv, line 3" in shown
    assert "never inspected" not in shown
    assert main(["show", item.tag, "--json", "--register", site.register.place]) == 0
    (told,) = json.loads(capsys.readouterr().out)["stated"]
    assert (told["stated"], told["date"], told["line"]) == ("stated pass", "2026-09-01", 3)


def test_a_failure_that_another_states_is_on_every_list_of_failures_worded_as_such(tmp_path: Path) -> None:
    with worked_site(tmp_path, landlord_profile="gb-england-social") as let:
        item = tell(let, let.kettle("HR-001"), SOON, StatedOutcome.FAIL)
        tell(let, item, date(2026, 10, 1))  # no pass that is only stated ends it
        told = "failed 01 Sep 2026, stated by another, without readings by Another [red]: from =1+1.csv, line 3"
        # SI 2025/1043 (published): an unsafe item is repaired or replaced within 28 days.
        (line,) = list_due(let.register, today=TODAY).repairs
        assert (line.due, line.state) == (date(2026, 9, 29), DueState.REPAIR_LATE)
        assert told in line.because
        document = remedial_document(let.register, Asked(), TODAY)
        ((row,),) = [group.rows for group in document.tables[0].groups]
        assert (row[0], row[2], row[4], row[6]) == ("HR-001", SOON, date(2026, 9, 29), "nothing recorded")
        assert str(row[3]) in told
        assert (1, "item to be put right") in document.counts
        summary = duty_summary(let.register, let.site.uid, today=TODAY)
        assert "failed on 01 Sep 2026, stated by another, without readings" in summary.failed[0]
        let.record(item, combined(), let.visit(TODAY))
        assert list_due(let.register, today=TODAY).repairs == ()
        assert document != remedial_document(let.register, Asked(), TODAY)


def test_the_notice_of_a_failure_that_another_states_forbids_the_use_and_names_the_source(
    site: WorkedSite, tmp_path: Path
) -> None:
    item = tell(site, site.kettle(), SOON, StatedOutcome.FAIL)
    notice = failure_notice(site.register, item=item.uid, today=TODAY)
    assert (notice.failed_on, notice.since, notice.found_by) == (SOON, None, "Another [red]")
    write_notice(site.register, Asked(item=item.uid), out=tmp_path / "n.pdf", today=TODAY)
    text = whole_text(tmp_path / "n.pdf")
    for words in ("DO NOT USE", "Stated by another, without readings", "from =1+1.csv, line 3", "No check is named"):
        assert words in " ".join(text.split())
    site.record(item, combined(), site.visit(TODAY))
    with pytest.raises(NotFound):
        failure_notice(site.register, item=item.uid, today=TODAY)


def test_an_item_merged_in_with_a_stated_failure_is_not_left_in_service(site: WorkedSite) -> None:
    item = tell(site, site.kettle(), SOON, StatedOutcome.FAIL)
    with site.register.change(WHO) as change:
        change.put(replace(item, state=ServiceState.IN_SERVICE))
    with site.register.change(WHO, "merge") as change:
        settle_after_merge(site.register, change, [item.uid])
    assert site.again(item).state is ServiceState.WITHDRAWN


def test_the_bench_says_that_a_failure_stated_by_another_holds_the_item(site: WorkedSite) -> None:
    item = tell(site, site.kettle(), SOON, StatedOutcome.FAIL)
    bench = open_bench(site.register, item.uid, today=TODAY)
    assert last_result(bench) == "fail, stated by another on 01 Sep 2026, without readings"
    assert "Failed 01 Sep 2026, stated by another, without readings" in standing_words((), bench.stated_failure)
    assert "never inspected" not in last_time_page(None, bench.stated).plain
    passed = tell(site, site.kettle(), SOON)
    assert last_result(open_bench(site.register, passed.uid, today=TODAY)).startswith("stated by another")
    assert open_bench(site.register, passed.uid, today=TODAY).stated_failure is None
    assert outcome_words(passed) == "stated by another on 01 Sep 2026, without readings"
    assert outcome_words(site.kettle()) == "never inspected"


def test_a_failure_that_another_states_has_a_label_that_forbids_the_use_until_it_is_printed(
    site: WorkedSite, tmp_path: Path
) -> None:
    register = site.register
    item = tell(site, site.kettle(), SOON, StatedOutcome.FAIL)
    (label,) = waiting_labels(register, today=TODAY)
    text = label.text()
    assert (text.kind, text.on, text.initials) == (LabelKind.DO_NOT_USE, SOON, "stated by another")
    assert text.cause == "without readings; Another [red]"
    sheet = tmp_path / "labels.pdf"
    assert print_labels(register, WHO, out=sheet, today=TODAY).count == 1
    assert "DO NOT USE" in whole_text(sheet)
    assert waiting_labels(register, today=TODAY) == ()
    assert len(waiting_labels(register, today=TODAY, printed_too=True)) == 1
    confirmed = confirm_printed(register, WHO, file=sheet, spoiled=[(1, 1)], today=TODAY)
    assert (confirmed.waiting, len(waiting_labels(register, today=TODAY))) == (1, 1)
    assert remove_from_tray(register, WHO, labels=[label.queued.uid]) == 1
    assert waiting_labels(register, today=TODAY) == ()
    assert [each.kind for each in queue_labels(register, WHO, appliances=[item.uid], today=TODAY)] == [
        LabelKind.DO_NOT_USE
    ]
    assert len(waiting_labels(register, today=TODAY)) == 1
    site.record(item, combined(), site.visit(TODAY))
    assert [each.queued.kind for each in waiting_labels(register, today=TODAY)] == [LabelKind.PASS]
    (spoilt,) = confirm_printed(register, WHO, file=sheet, today=TODAY).spoilt
    assert spoilt.why == "has no failure that stands meanwhile"
    assert list(problems(register)) == []


def test_where_a_failure_was_found_here_too_its_label_alone_waits(site: WorkedSite) -> None:
    failed = site.record(site.kettle(), combined(earth="0.9"), site.visit(SOON)).appliance
    tell(site, failed, date(2026, 10, 1), StatedOutcome.FAIL)
    (label,) = waiting_labels(site.register, today=TODAY)
    assert (label.stated, label.untrue) == (None, "")


def test_an_item_of_which_another_states_something_is_not_listed_as_never_inspected(site: WorkedSite) -> None:
    tell(site, site.kettle("HR-001"), SOON)
    site.kettle("HR-002")
    asked = 'outcome:"never inspected"'
    assert [each.appliance.tag for each in find_items(site.register, asked, today=TODAY)] == ["HR-002"]
    query = parse_query(asked, today=TODAY)
    rows = [
        searched_item(item, site=site.site, location=site.kitchen, category=None)
        for item in site.register.find(Appliance)
    ]
    assert [row.texts["tag"] for row in rows if row.answers(query)] == [("HR-002",)]
