"""The label tray: what waits, what is printed, what is untrue by now."""

from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ServiceState
from appreg.core.records.checks import Check, Entries, LeakageEntry
from appreg.core.records.kept_records import Appliance, AssetTag, InspectionKind, LabelKind, Visit
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.label_fields import LabelField
from appreg.core.values.readings import Unit, parse_reading
from appreg.errors import AppregError, InputRefused, NotFound, RegisterUnusable
from appreg.paper.labels.label_content import NextDate, small_lines, verdict_words
from appreg.paper.labels.stock_reading import load_stocks
from appreg.tasks.documents.choose_labels import LabelChoice
from appreg.tasks.documents.confirm_printed import confirm_printed
from appreg.tasks.documents.print_labels import print_labels
from appreg.tasks.documents.tell_label_lacks import lack_sentences
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.set_service_state import set_service_state
from appreg.tasks.standing.queue_labels import WaitingLabel, queue_labels, remove_from_tray, waiting_labels
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def test_a_label_says_tag_site_date_initials_and_verdict(here: WorkedSite) -> None:
    saved = here.record(here.kettle(), combined())
    (waiting,) = waiting_labels(here.register, today=TODAY)
    text = waiting.text()
    assert (text.tag, text.site, text.on, text.initials) == ("HR-001", "Harbour Row", TODAY, "WA")
    assert (text.kind, text.item, text.next_date) == (LabelKind.PASS, "Kettle", None)
    assert text.payload == f"*HR-001 {saved.appliance.uid[-6:]}"


def test_the_next_date_stands_there_only_if_asked_and_never_on_a_failure(here: WorkedSite) -> None:
    here.record(here.kettle(), combined())
    failed = here.kettle()
    here.record(failed, combined(), here.visit(date(2025, 11, 24)))
    here.record(failed, combined(earth="0.5"))
    passed_label, failed_label = waiting_labels(here.register, today=TODAY)
    assert passed_label.text(with_next_date=True).next_date == NextDate(date(2027, 5, 24), "look")
    assert failed_label.text(with_next_date=True).next_date is None


def inspected_by(here: WorkedSite, book: str, on: Visit | None = None) -> Appliance:
    """A kettle that passed at the site under that rule book."""
    table = next(iter(load_rule_book(book).interval_tables.values()))
    where = next(iter(table.environments))
    change_record(here.register, WHO, replace(here.site, rule_book=book, interval_table=table.id, environment=where))
    entries = replace(combined(), leakage=LeakageEntry(reading=parse_reading("0.1", Unit.MILLIAMP)))
    here.record(item := here.kettle(), entries, on)
    return item


def waiting_for(here: WorkedSite, item: Appliance) -> WaitingLabel:
    (found,) = (each for each in waiting_labels(here.register, today=TODAY) if each.appliance.uid == item.uid)
    return found


# gb: CoP 3rd and 4th editions differ (second-hand); eu: common practice; anz: AS/NZS 3760:2010, from memory.
NAMED = {
    "gb": ("", ["24 Nov 2026 · WA"]),
    "eu": ("Wren & Daughters", ["24.11.2026 · WA", "next test 24.11.2027", "by Wren & Daughters"]),
    "anz": ("Wren A, Wren & Daughters", ["24 Nov 2026 · WA", "next", "by Wren A, Wren & Daughters"]),
}


@pytest.mark.parametrize("book", NAMED)
def test_a_label_names_what_the_rule_book_of_its_inspection_wants_named(here: WorkedSite, book: str) -> None:
    change_record(here.register, WHO, replace(here.person, firm="Wren & Daughters"))
    tester, wanted = NAMED[book]
    waiting = waiting_for(here, inspected_by(here, book))
    text = waiting.text()
    assert (text.kind, text.tester, waiting.lacks()) == (LabelKind.PASS, tester, ())
    lines = small_lines(text)
    assert [line[: len(start)] for line, start in zip(lines, wanted, strict=False)][:1] == wanted[:1]
    assert any(line.startswith("next ") for line in lines) == (book != "gb")
    assert any(line.startswith("by ") for line in lines) == bool(tester)
    assert not tester or f"by {tester}" in lines


def test_what_a_label_lacks_by_its_book_is_said_before_one_is_drawn(here: WorkedSite, tmp_path: Path) -> None:
    without = [inspected_by(here, "eu") for _ in range(7)]
    said: list[str] = []
    out = tmp_path / "l.pdf"

    def told(sentence: str) -> None:
        assert not out.exists()
        said.append(sentence)

    printed = print_labels(here.register, WHO, out=out, today=TODAY, before=told)
    assert printed.count == len(without)
    assert said == [
        (
            "By rule book eu a label names the tester's firm, and none is recorded for Wren A: "
            "the labels of HR-001, HR-002, HR-003, HR-004, HR-005 and 2 more are without it. "
            "Write it on the person (Sites, ^p, people)."
        )
    ]
    assert printed.lacking == tuple(said)


def test_a_next_date_that_no_interval_gives_is_said_to_be_lacking(here: WorkedSite) -> None:
    waiting = waiting_for(here, inspected_by(here, "anz"))
    undated = replace(waiting, appliance=replace(waiting.appliance, next_visual=None, next_test=None))
    assert (waiting.lacks(), undated.lacks()) == ((), (LabelField.NEXT_DATE,))
    assert lack_sentences([undated]) == (
        f"The next date is wanted, and no interval gives one: the label of {undated.appliance.tag} is without it.",
    )
    failed = replace(undated, queued=replace(undated.queued, kind=LabelKind.DO_NOT_USE))
    assert failed.lacks() == ()


def test_a_firm_too_long_for_the_stock_is_said_to_be_cut(here: WorkedSite, tmp_path: Path) -> None:
    change_record(here.register, WHO, replace(here.person, firm="Wren, Daughters and Granddaughters " * 4))
    item = inspected_by(here, "eu")
    small = print_labels(here.register, WHO, out=tmp_path / "s.pdf", stock=load_stocks()["a4-65"], today=TODAY)
    assert small.lacking == (
        f"What must be read does not fit this stock whole: the label of {item.tag} is with it cut; take larger labels.",
    )


def test_a_colour_of_the_period_is_the_users_word_and_stands_on_pass_labels_of_its_visit_alone(
    here: WorkedSite,
) -> None:
    plain, coloured = here.visit(), replace(here.visit(), period_colour="[red]")
    change_record(here.register, WHO, coloured)
    first, second, failed = here.kettle(), here.kettle(), here.kettle()
    here.record(first, combined(), plain)
    here.record(second, combined(), coloured)
    here.record(failed, combined(earth="0.5"), coloured)
    assert plain.period_colour == ""
    lines = [small_lines(waiting_for(here, each).text())[0] for each in (first, second, failed)]
    assert lines == ["24 Nov 2026 · WA", "24 Nov 2026 · WA · [red]", "failed 24 Nov 2026 · WA"]


def test_a_pass_without_a_check_says_on_its_label_which_one_and_a_failure_need_not(here: WorkedSite) -> None:
    without = {Check.EARTH_CONTINUITY: "no earthed metal to be reached"}
    whole, limited, failed = here.kettle(), here.kettle(), here.kettle()
    here.record(whole, combined())
    here.record(limited, replace(combined(earth=""), left_out=without))
    here.record(failed, replace(combined(earth="", insulation="0.1"), left_out=without))
    kinds = [waiting_for(here, each).text().kind for each in (whole, limited, failed)]
    assert kinds == [LabelKind.PASS, LabelKind.PASS, LabelKind.DO_NOT_USE]
    said = [
        [line for line in small_lines(waiting_for(here, each).text()) if "limited" in line]
        for each in (whole, limited, failed)
    ]
    assert said == [[], ["limited: without earth continuity"], []]
    here.register.rows("DROP TRIGGER finding_no_update")
    here.register.rows("UPDATE finding SET method = '{\"spread\":\"?\"}' WHERE method LIKE '%left_out%'")
    assert "limited: without earth continuity" in small_lines(waiting_for(here, limited).text()), "not readable"


def test_printing_marks_labels_and_they_leave_the_tray(here: WorkedSite, tmp_path: Path) -> None:
    for _ in range(3):
        here.record(here.kettle(), combined())
    printed = print_labels(here.register, WHO, out=tmp_path / "l.pdf", start=23, today=TODAY)
    assert (printed.count, printed.sheets, printed.next_start) == (3, 2, 2)
    assert printed.path.read_bytes().startswith(b"%PDF")
    assert waiting_labels(here.register, today=TODAY) == ()
    with pytest.raises(NotFound, match="No label waits"):
        print_labels(here.register, WHO, out=tmp_path / "l2.pdf", today=TODAY)
    assert (
        print_labels(here.register, WHO, out=tmp_path / "l3.pdf", choice=LabelChoice(again=True), today=TODAY).count
        == 3
    )


def test_equal_labels_are_equal_bytes(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle(), combined())
    for name in ("a.pdf", "b.pdf"):
        print_labels(here.register, WHO, out=tmp_path / name, choice=LabelChoice(again=True), today=TODAY)
    assert (tmp_path / "a.pdf").read_bytes() == (tmp_path / "b.pdf").read_bytes()


def test_a_refused_sheet_leaves_the_tray_as_it_was(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle(), combined())
    with pytest.raises(InputRefused):
        print_labels(here.register, WHO, out=tmp_path / "l.pdf", start=25, today=TODAY)
    with pytest.raises(InputRefused):
        print_labels(here.register, WHO, out=tmp_path / "no" / "such" / "l.pdf", today=TODAY)
    assert len(waiting_labels(here.register, today=TODAY)) == 1


def test_no_sheet_is_drawn_where_its_labels_could_not_be_marked_printed(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle(), combined())
    here.register.connection.execute("UPDATE register_meta SET value = '1 x' WHERE key LIKE 'head:%'")
    with pytest.raises(RegisterUnusable, match="the register remembers 1; nothing is saved"):
        print_labels(here.register, WHO, out=tmp_path / "l.pdf", today=TODAY)
    assert not (tmp_path / "l.pdf").exists()


def test_labels_of_one_visit_or_site_may_be_printed_alone(here: WorkedSite) -> None:
    visit = here.visit()
    here.record(here.kettle(), combined(), visit)
    here.record(here.kettle(), combined())
    assert [each.appliance.tag for each in waiting_labels(here.register, today=TODAY, visit=visit.uid)] == ["HR-001"]
    assert len(waiting_labels(here.register, today=TODAY, site=here.site.uid)) == 2


def test_labels_stand_in_the_order_people_count(here: WorkedSite) -> None:
    for tag in ("HR-1000", "HR-999", "HR-2"):
        here.record(here.kettle(tag), combined())
    assert [each.appliance.tag for each in waiting_labels(here.register, today=TODAY)] == ["HR-2", "HR-999", "HR-1000"]


def test_a_label_may_be_queued_again_but_only_for_a_result(here: WorkedSite) -> None:
    passed, doubtful, new = here.kettle(), here.kettle(), here.kettle()
    here.record(passed, combined())
    here.record(doubtful, combined(insulation=""))
    (first,) = waiting_labels(here.register, today=TODAY)
    remove_from_tray(here.register, WHO, labels=[first.queued.uid])
    queued = queue_labels(here.register, WHO, appliances=[passed.uid, doubtful.uid, new.uid, passed.uid], today=TODAY)
    assert [each.appliance for each in queued] == [passed.uid]
    assert queue_labels(here.register, WHO, appliances=[passed.uid], today=TODAY) == queued, (
        "one label of an item waits, not two"
    )


def test_a_printed_label_that_a_newer_result_made_untrue_is_not_printed_again(here: WorkedSite, tmp_path: Path) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2025, 11, 24)))
    print_labels(here.register, WHO, out=tmp_path / "l.pdf", today=date(2025, 11, 24))
    here.record(kettle, combined(earth="0.5"))
    assert [each.queued.kind for each in waiting_labels(here.register, today=TODAY, printed_too=True)] == [
        LabelKind.DO_NOT_USE
    ]


def test_a_stopped_printing_writes_nothing_and_marks_nothing(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle(), combined())
    with pytest.raises(AppregError, match="stopped"):
        print_labels(here.register, WHO, out=tmp_path / "l.pdf", today=TODAY, progress=lambda _done, _total: False)
    assert not (tmp_path / "l.pdf").exists()
    assert len(waiting_labels(here.register, today=TODAY)) == 1


def test_a_spoiled_label_that_was_taken_out_of_the_tray_meanwhile_is_not_said_to_wait(
    here: WorkedSite, tmp_path: Path
) -> None:
    for _ in range(2):
        here.record(here.kettle(), combined())
    out = tmp_path / "l.pdf"
    print_labels(here.register, WHO, out=out, today=TODAY, count_as_printed=False)
    first, second = waiting_labels(here.register, today=TODAY)
    remove_from_tray(here.register, WHO, labels=[first.queued.uid])
    done = confirm_printed(here.register, WHO, file=out, spoiled=[(1, 1), (1, 2)], today=TODAY)
    assert (done.printed, done.waiting) == (0, 1)
    assert [each.queued.uid for each in waiting_labels(here.register, today=TODAY)] == [second.queued.uid]


def test_an_item_that_fails_while_labels_are_drawn_is_named_with_its_place_and_not_marked(
    here: WorkedSite, tmp_path: Path
) -> None:
    first, second = here.kettle(), here.kettle()
    here.record(first, combined())
    here.record(second, combined())
    failed: list[int] = []

    def other_desk(_done: int, _total: int) -> bool:
        if not failed:
            failed.append(1)
            with here.register.reopen() as own:
                site = WorkedSite(own, here.client, here.site, here.kitchen, here.person, here.instrument)
                site.record(second, combined(earth="0.52"))
        return True

    printed = print_labels(here.register, WHO, out=tmp_path / "l.pdf", start=24, today=TODAY, progress=other_desk)
    assert [each.sentence for each in printed.spoilt] == [
        "Destroy the label of HR-002 (sheet 2, place 1): it failed on 24 Nov 2026 meanwhile."
    ]
    waiting = waiting_labels(here.register, today=TODAY)
    assert [(each.appliance.tag, each.queued.kind) for each in waiting] == [("HR-002", LabelKind.DO_NOT_USE)]


@pytest.mark.parametrize("state", [ServiceState.WITHDRAWN, ServiceState.MISSING, ServiceState.DISPOSED])
def test_an_item_out_of_service_gets_no_pass_label_by_any_way(
    here: WorkedSite, tmp_path: Path, state: ServiceState
) -> None:
    kettle = here.kettle()
    here.record(kettle, combined())
    print_labels(here.register, WHO, out=tmp_path / "l.pdf", today=TODAY)
    set_service_state(here.register, WHO, appliance=kettle.uid, state=state)
    assert queue_labels(here.register, WHO, appliances=[kettle.uid], today=TODAY) == ()
    with pytest.raises(NotFound):
        print_labels(here.register, WHO, out=tmp_path / "l2.pdf", choice=LabelChoice(again=True), today=TODAY)


def test_a_label_that_became_untrue_between_queueing_and_drawing_is_left_out_and_named(
    here: WorkedSite, tmp_path: Path
) -> None:
    kept, gone = here.kettle(), here.kettle()
    here.record(kept, combined())
    here.record(gone, combined())
    set_service_state(here.register, WHO, appliance=gone.uid, state=ServiceState.WITHDRAWN, reason="no lead")
    printed = print_labels(here.register, WHO, out=tmp_path / "l.pdf", today=TODAY)
    assert printed.count == 1
    assert [each.sentence for each in printed.left_out] == ["The label of HR-002 was left out: it is withdrawn."]
    assert [each.appliance.tag for each in waiting_labels(here.register, today=TODAY)] == ["HR-002"]


def test_an_item_whose_failure_stands_gets_a_do_not_use_label_whatever_was_seen_since(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.52"), here.visit(date(2026, 11, 20)))
    here.record(kettle, combined(insulation=""))
    remove_from_tray(
        here.register, WHO, labels=[each.queued.uid for each in waiting_labels(here.register, today=TODAY)]
    )
    (queued,) = queue_labels(here.register, WHO, appliances=[kettle.uid], today=TODAY)
    assert queued.kind is LabelKind.DO_NOT_USE


def test_a_tag_changed_while_its_label_is_drawn_makes_the_label_one_to_destroy(
    here: WorkedSite, tmp_path: Path
) -> None:
    kettle = here.kettle()
    here.record(kettle, combined())

    def other_desk(_done: int, _total: int) -> bool:
        with here.register.reopen() as own:
            change_record(own, "other", replace(own.get(Appliance, kettle.uid), tag=AssetTag("HR-900")))
        return True

    printed = print_labels(here.register, WHO, out=tmp_path / "l.pdf", today=TODAY, progress=other_desk)
    assert [(each.tag, each.sheet, each.place) for each in printed.spoilt] == [("HR-001", 1, 1)]


def test_a_failure_corrected_to_doubt_takes_its_label_along_also_where_a_later_result_is_unfinished(
    here: WorkedSite,
) -> None:
    item, visit = here.kettle(), here.visit()
    failed = here.record(item, combined(earth="0.9"), visit)
    here.record(item, combined(earth=""), here.visit(TODAY + timedelta(days=1)))
    queue_labels(here.register, WHO, appliances=[item.uid], today=TODAY)
    assert [each.queued.kind for each in waiting_labels(here.register, today=TODAY)] == [LabelKind.DO_NOT_USE]
    here.record(item, combined(earth=""), visit, supersedes=failed.inspection.uid, reason="mistyped")
    assert not waiting_labels(here.register, today=TODAY)


def looked_at(*, sound: bool = True) -> Entries:
    return Entries(visual=sound)


def test_only_what_is_in_service_and_in_date_gets_a_pass_and_what_does_not_is_named(
    here: WorkedSite, tmp_path: Path
) -> None:
    sound, late, gone, lost = (here.kettle() for _ in range(4))
    for each in (sound, gone, lost):
        here.record(each, combined())
    here.record(late, combined(), here.visit(date(2024, 5, 24)))
    print_labels(here.register, WHO, out=tmp_path / "l.pdf", today=date(2024, 5, 24))
    set_service_state(here.register, WHO, appliance=gone.uid, state=ServiceState.DISPOSED, reason="scrapped")
    set_service_state(here.register, WHO, appliance=lost.uid, state=ServiceState.MISSING)
    printed = print_labels(here.register, WHO, out=tmp_path / "again.pdf", choice=LabelChoice(again=True), today=TODAY)
    assert printed.count == 1
    assert [each.sentence for each in printed.left_out] == [
        "The label of HR-002 was left out: it was due for its next look on 24 Nov 2024.",
        "The label of HR-003 was left out: it is disposed of.",
        "The label of HR-004 was left out: it is missing.",
    ]
    assert queue_labels(here.register, WHO, appliances=[late.uid, gone.uid, lost.uid], today=TODAY) == ()


def test_a_visit_that_only_looked_gives_a_label_that_says_so_and_when_the_last_test_was(here: WorkedSite) -> None:
    tested, never = here.kettle(), here.kettle()
    here.record(tested, combined(), here.visit(date(2025, 11, 24)))
    for each in (tested, never):
        here.record(each, looked_at(), kind=InspectionKind.VISUAL)
    texts = [waiting_for(here, each).text() for each in (tested, never)]
    assert [(text.looked_only, verdict_words(text)) for text in texts] == [(True, "LOOKED AT")] * 2
    assert "last tested 24 Nov 2025" in small_lines(texts[0])
    assert "not tested so far" in small_lines(texts[1])
    here.record(never, combined())
    assert verdict_words(waiting_for(here, never).text()) == "TESTED · PASS"


def test_the_label_of_a_look_tells_a_test_that_is_overdue(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(), here.visit(date(2021, 11, 24)))
    here.record(kettle, looked_at(), kind=InspectionKind.VISUAL)
    waiting = waiting_for(here, kettle)
    assert waiting.untrue == ""
    assert any(line.startswith("test overdue since ") for line in small_lines(waiting.text()))


def test_do_not_use_gives_the_cause_and_whom_to_ask(here: WorkedSite) -> None:
    kettle = here.kettle()
    here.record(kettle, combined(earth="0.52"))
    assert small_lines(waiting_for(here, kettle).text())[:3] == [
        "failed 24 Nov 2026 · WA", "earth continuity 0.52 Ω", "ask Wren A",
    ]  # fmt: skip
    change_record(here.register, WHO, replace(here.person, firm="Wren & Daughters"))
    assert waiting_for(here, kettle).text().ask == "Wren & Daughters"
    change_record(here.register, WHO, replace(here.site, responsible="Jo Marsh", responsible_contact="5550 1234"))
    assert waiting_for(here, kettle).text().ask == "Jo Marsh, 5550 1234"


def test_many_labels_are_read_in_no_more_queries_than_a_few(here: WorkedSite, monkeypatch: pytest.MonkeyPatch) -> None:
    counts: list[int] = []
    rows = here.register.engine.rows

    def counting(*asked: Any) -> Any:
        counts[-1] += 1
        return rows(*asked)

    monkeypatch.setattr(here.register.engine, "rows", counting)
    for more in (2, 6):
        counts.append(0)
        for _ in range(more):
            here.record(here.kettle(), combined(), here.visit())
        counts[-1] = 0
        waiting_labels(here.register, today=TODAY)
    assert counts[1] <= counts[0] + 6, "each new visit is read once"
