"""`appreg inspect`: an item asked line by line, judged and kept as on the Bench, and never lost in silence."""

import io
import sys
from collections.abc import Callable
from datetime import date
from typing import Any

import pytest
from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection, Person
from appreg.core.records.work_records import BenchDraft, NotInspected, RemedialAction
from appreg.core.values.uids import Uid
from appreg.tasks.desk.confirm_cautions import NOT_KEPT, cautions_file, confirm_cautions
from appreg.tasks.inspecting.choose_visit import visits_of
from appreg.tasks.inspecting.keep_bench_draft import keep_bench_draft
from appreg.tasks.inspecting.open_bench import open_bench
from appreg.tasks.inspecting.write_drafts_beside import DraftWriter, Entered
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_instrument import add_instrument
from appreg.tasks.records.add_person import add_person
from appreg.tasks.records.change_record import change_record
from appreg.ui.screens.bench.bench_entries import BenchEntries, LineId, Mark, entries_from_json
from tests.cli.conftest import Answer, Call
from tests.cli.json_forms import checked
from tests.tasks.worked_site import WorkedSite, combined

DAY = date(2026, 11, 24)
Ask = Callable[..., Answer]
WHOLE = ("ok", "0.08", ">299", "ok")
"""What a kettle needs: looked over, earth, insulation, works."""


class Keys:
    """Answers, then ^C."""

    def __init__(self, typed: str) -> None:
        self._typed = io.StringIO(typed)

    def isatty(self) -> bool:
        return True

    def readline(self, size: int) -> str:
        if line := self._typed.readline(size):
            return line
        raise KeyboardInterrupt


@pytest.fixture
def ask(row: WorkedSite, call: Call, monkeypatch: pytest.MonkeyPatch) -> Ask:
    """Inspect with answers from a pipe, on the day of the register's last visit."""
    monkeypatch.setattr("appreg.cli.inspect.local_today", lambda: DAY)
    confirm_cautions(row.register.path, "tester", DAY)

    def asked(*words: str, answers: tuple[str, ...], then: type[io.StringIO | Keys] = io.StringIO) -> Answer:
        monkeypatch.setattr(sys, "stdin", then("".join(f"{each}\n" for each in answers)))
        return call("inspect", *words)

    return asked


def kept(site: WorkedSite, tag: str) -> tuple[Inspection, dict[str, FindingRecord]]:
    """The latest inspection of an item, with its findings."""
    item = site.register.find(Appliance, tag=tag)[0]
    assert item.last_inspection is not None
    findings = site.register.find(FindingRecord, inspection=item.last_inspection)
    return site.register.get(Inspection, item.last_inspection), {each.check_name: each for each in findings}


def latest_visit(site: WorkedSite) -> Uid:
    return visits_of(site.register)[-1].uid


def test_a_whole_inspection_is_kept_with_limits_shown_and_a_label(row: WorkedSite, ask: Ask) -> None:
    answer = ask("hr3", answers=(*WHOLE, "yes"))
    assert answer.code == 0
    assert "earth, ≤ 0.1208 Ω" in answer.out
    assert "0.1 + 26.0 mΩ/m × 0.8 m = 0.1208 Ω" in answer.out
    assert "Kept: HR-003 pass; a pass label waits." in answer.out
    inspection, findings = kept(row, "HR-003")
    assert (inspection.outcome, inspection.date) == ("pass", DAY)
    assert {name: each.reading for name, each in findings.items()} == {
        "visual": "ok",
        "earth-continuity": "0.08",
        "insulation": ">299",
        "functional": "ok",
    }
    assert not row.register.find(BenchDraft)


def test_as_json_the_questions_stand_on_standard_error(ask: Ask) -> None:
    answer = ask("HR-003", "--json", answers=(*WHOLE, "yes"))
    assert checked(answer) == "appreg.inspection"
    assert "Look it over" in answer.err


def test_what_is_incomplete_is_kept_by_its_name_alone(row: WorkedSite, ask: Ask) -> None:
    answer = ask("HR-003", answers=("ok", "0.08", "", "ok", "yes", "end", "y", "end", "stop"))
    assert answer.code == 3
    assert "INCOMPLETE: still to do: insulation" in answer.out
    assert row.register.find(Appliance, tag="HR-003")[0].last_inspection is None
    assert ask("HR-003", answers=("end", "incomplete")).code == 3
    assert kept(row, "HR-003")[0].outcome == "incomplete"


@pytest.mark.parametrize("then", [io.StringIO, Keys])
def test_where_the_answers_end_or_are_cut_off_what_was_typed_is_kept_half_filled(
    row: WorkedSite, ask: Ask, then: type[io.StringIO | Keys]
) -> None:
    answer = ask("HR-003", answers=("ok", "0.08"), then=then)
    assert answer.code == 3
    assert "kept half-filled" in answer.err
    (draft,) = row.register.find(BenchDraft)
    assert entries_from_json(draft.body).typed == {LineId("earth-continuity"): "0.08"}
    answer = ask("HR-003", answers=("end", "<", "<", ">299", "ok", "yes"))
    assert "Half-filled at" in answer.out
    assert (answer.code, kept(row, "HR-003")[1]["earth-continuity"].reading) == (0, "0.08")


def test_a_failed_earth_check_closes_what_comes_after_and_is_kept_as_a_failure(row: WorkedSite, ask: Ask) -> None:
    answer = ask("HR-003", answers=("ok", "0.5", "yes"))
    assert answer.code == 1
    assert "Never energise an item that failed its earth check." in answer.out
    assert "closed: “earth” failed" in answer.out
    assert "FAIL: failed: earth" in answer.out
    inspection, findings = kept(row, "HR-003")
    assert (inspection.outcome, findings["insulation"].finding) == ("fail", "not-done")


def test_what_is_bad_is_told_and_what_was_put_right_on_the_spot_stays_on_record(row: WorkedSite, ask: Ask) -> None:
    answers = ("1 3", "cracked", "new plug", "cut", "", "yes", "yes")
    assert ask("HR-003", answers=answers).code == 1
    remark = kept(row, "HR-003")[1]["visual"].remark
    assert "plug: found cracked; put right on the spot: new plug" in remark
    assert "cord: cut" in remark


def test_after_a_failure_a_pass_says_what_was_put_right(row: WorkedSite, ask: Ask) -> None:
    row.record(row.register.find(Appliance, tag="HR-003")[0], combined(earth="0.5"), row.visit(date(2026, 11, 20)))
    answer = ask("HR-003", answers=(*WHOLE, "yes", "", "new cord"))
    assert answer.code == 0
    assert "What was put right since?" in answer.out
    (action,) = (each for each in row.register.find(RemedialAction) if each.closed_by)
    assert action.repair == "new cord"


def test_a_doubted_reading_is_asked_about_and_passes_nothing_unconfirmed(row: WorkedSite, ask: Ask) -> None:
    doubted = ask("HR-003", answers=("ok", "0.00", "no", ">299", "ok", "stop"))
    assert "Was it read so?" in doubted.out
    assert "INCOMPLETE" in doubted.out
    assert ask("HR-003", answers=("end", "confirm", "end", "yes")).code == 0
    assert "confirmed: it was read so" in " ".join(kept(row, "HR-003")[0].advice)


def test_an_item_inspected_already_tells_a_slip_from_a_further_inspection(row: WorkedSite, ask: Ask) -> None:
    ask("HR-003", answers=(*WHOLE, "yes"))
    assert "It stays as it was kept." in ask("HR-003", answers=("end",)).out
    assert ask("HR-003", answers=("", "0.09", "end", "yes", "2", "0.09 was read")).code == 0
    inspection, findings = kept(row, "HR-003")
    assert (inspection.reason, findings["earth-continuity"].reading) == ("0.09 was read", "0.09")


def test_words_in_place_of_an_answer_do_what_keys_do_on_the_bench(row: WorkedSite, ask: Ask) -> None:
    answers = (
        *("help", "?", "ok", "0.5", "<", "again", "0.09", "plate cord 1.0 x 3 measured", "remark long lead"),
        *(
            "turn",
            "turn",
            "instead",
            "unsuitable",
            "unsuitable",
            "instead",
            ">299",
            "out no water at hand",
            "end",
            "yes",
        ),
    )
    answer = ask("HR-003", answers=answers)
    assert answer.code == 0, answer.out
    inspection, findings = kept(row, "HR-003")
    assert findings["earth-continuity"].attempts[0].endswith(" 0.5")
    assert str(findings["earth-continuity"].limit_high) == "0.1585"
    assert "left out: works (no water at hand)" in answer.out
    assert "insulation 250 V" in answer.out
    assert inspection.outcome == "pass"
    assert row.register.find(Appliance, tag="HR-003")[0].measured == ("cord-length",)


def test_what_is_read_anew_on_the_way_hides_no_inspection_recorded_elsewhere(row: WorkedSite, ask: Ask) -> None:
    item, theirs = row.register.find(Appliance, tag="HR-003")[0], row.visit(date(2026, 11, 20))
    ours = row.visit(DAY)

    class Meanwhile(io.StringIO):
        def readline(self, size: int = -1, /) -> str:  # type: ignore[override] # as of any text
            line = super().readline(size)
            if line.startswith("unsuitable"):
                row.record(item, combined(earth="0.5"), theirs)
            return line

    answers = ("ok", "0.08", "unsuitable", ">299", "ok", "yes", "new cord", "stop")
    answer = ask("HR-003", answers=answers, then=Meanwhile)
    assert "HR-003 was inspected elsewhere meanwhile: fail on 20 Nov 2026" in answer.out
    assert not row.register.find(Inspection, visit=ours.uid)


def test_the_caution_before_500_v_names_words_that_can_be_typed_here(row: WorkedSite, ask: Ask) -> None:
    lamp = add_appliance(row.register, "tester", site=row.site.uid, location=row.kitchen.uid, name="Radio")
    answer = ask(lamp.tag, answers=("ok", "0.5", "<", "again", "0.08", "<", "", "stop"))
    assert answer.out.count("Caution: 500 V d.c. may harm electronics") == 1
    assert "“unsuitable” marks the item" in answer.out


def test_what_cannot_be_read_is_asked_for_again_and_never_kept(row: WorkedSite, ask: Ask) -> None:
    answer = ask("HR-003", answers=("perhaps", "ok", "zero", "0.08", ">299", "maybe", "ok", "yes"))
    assert answer.code == 0
    assert answer.out.count("is not a figure an instrument shows") == 1
    assert kept(row, "HR-003")[1]["earth-continuity"].reading == "0.08"


def test_a_look_alone_measures_nothing(row: WorkedSite, ask: Ask) -> None:
    assert ask("HR-003", "--look", answers=("ok", "yes")).code == 0
    inspection, findings = kept(row, "HR-003")
    assert (inspection.kind, list(findings)) == ("visual", ["visual"])


def test_whoever_has_not_read_the_cautions_reads_them_first(
    row: WorkedSite, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("APPREG_WHO", "somebody else")
    answer = ask("HR-003", answers=("no",))
    assert answer.code == 2
    assert "500 V d.c. can harm." in answer.out
    assert ask("HR-003", answers=("yes", *WHOLE, "yes")).code == 0
    assert "500 V d.c. can harm." not in ask("HR-003", answers=()).out
    assert row.site.prefix == "HR"


def test_where_the_reading_of_the_cautions_cannot_be_kept_it_is_said_and_the_inspection_is_kept(
    row: WorkedSite, ask: Ask
) -> None:
    cautions_file().unlink()
    cautions_file().mkdir()  # in the way
    answer = ask("HR-003", answers=("yes", *WHOLE, "yes"))
    assert answer.code == 0
    assert NOT_KEPT in answer.out
    assert kept(row, "HR-003")[0].outcome == "pass"
    assert "500 V d.c. can harm." in ask("HR-003", answers=()).out


def test_without_a_visit_of_the_day_person_and_instrument_are_asked_for_or_given(
    row: WorkedSite, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("appreg.cli.inspect.local_today", lambda: date(2026, 11, 25))
    given = ("--person", "wa", "--instrument", "bt-1")
    assert ask("HR-003", *given, answers=(*WHOLE, "yes")).code == 0
    assert kept(row, "HR-003")[0].date == date(2026, 11, 25)
    monkeypatch.setattr("appreg.cli.inspect.local_today", lambda: date(2026, 11, 26))
    answer = ask("HR-001", answers=("", "", *WHOLE, "yes"))
    assert answer.code == 0
    assert "Who inspects and signs?" in answer.out
    assert ask("HR-001", "--person", "zz", "--visit", "latest", answers=("end",)).code == 2
    assert ask("HR-001", *given, "--visit", "latest", answers=("end",)).code == 3


def test_a_visit_by_another_person_or_instrument_is_never_taken_for_the_one_that_was_named(
    row: WorkedSite, ask: Ask
) -> None:
    add_person(row.register, "tester", name="Bell B", initials="BB")
    add_instrument(row.register, "tester", name="Other tester", serial="BT-2")
    refused = ask("HR-003", "--instrument", "bt-2", "--visit", "latest", answers=WHOLE)
    assert refused.code == 2
    assert "by Wren A, with Bench tester, serial BT-1" in refused.err
    own = ask("HR-003", "--person", "BB", "--instrument", "BT-2", answers=(*WHOLE, "yes"))
    assert "by Bell B, with Other tester, serial BT-2" in own.out
    (inspection, _) = kept(row, "HR-003")
    assert row.register.get(Person, inspection.person).initials == "BB"
    again = ask("HR-003", "--person", "WA", answers=("stop",))
    assert "by Wren A" in again.out


def test_it_says_that_the_bench_marks_a_bad_line(row: WorkedSite, ask: Ask) -> None:
    ask("HR-003", answers=("ok", "0.08", ">299", "bad", "does not heat", "", "stop"))
    (draft,) = row.register.find(BenchDraft)
    assert entries_from_json(draft.body).marks[LineId("functional")] is Mark.BAD


def test_what_is_said_to_be_another_thing_is_not_called_good_with_the_rest(row: WorkedSite, ask: Ask) -> None:
    kettle = row.register.find(Appliance, tag="HR-003")[0]
    change_record(row.register, "tester", replace(kettle, assumed=("class", "type")))
    kind = len(open_bench(row.register, kettle.uid, today=DAY).visual_lines)
    answer = ask("HR-003", answers=(str(kind), "yes", "stop"))
    assert "Its class is not known now" in answer.out
    assert "Is everything else good?" not in answer.out
    assert answer.out.count("Look it over:") == 3
    assert not row.register.find(BenchDraft)
    ask("HR-003", answers=("", "0.08", "end", "incomplete"))
    assert row.again(kettle).assumed == ("type",)


@pytest.mark.parametrize("answers", [(), ("yes",), ("yes", "1")])
@pytest.mark.parametrize("then", [io.StringIO, Keys])
def test_left_before_the_first_line_it_is_neither_a_failure_nor_a_fault(
    ask: Ask, monkeypatch: pytest.MonkeyPatch, answers: tuple[str, ...], then: type[io.StringIO | Keys]
) -> None:
    monkeypatch.setattr("appreg.cli.inspect.local_today", lambda: date(2026, 11, 25))
    monkeypatch.setenv("APPREG_WHO", f"nobody yet {len(answers)} {then.__name__}")
    answer = ask("HR-003", answers=answers, then=then)
    assert answer.code == 3
    assert "nothing of HR-003 is kept" in answer.err


@pytest.mark.parametrize("then", [io.StringIO, Keys])
def test_as_json_what_is_left_is_told_as_every_other_refusal(
    ask: Ask, monkeypatch: pytest.MonkeyPatch, then: type[io.StringIO | Keys]
) -> None:
    answer = ask("HR-003", "--json", answers=("ok", "0.08"), then=then)
    assert (answer.code, checked(answer)) == (3, "appreg.error")
    told: Any = answer.json
    assert "kept half-filled" in told["error"]
    assert told["error"] in answer.err
    monkeypatch.setattr("appreg.cli.inspect.local_today", lambda: date(2026, 11, 25))
    answer = ask("HR-003", "--json", answers=(), then=then)
    assert (answer.code, checked(answer)) == (3, "appreg.error")
    told = answer.json
    assert "nothing of HR-003 is kept" in told["error"]


@pytest.mark.parametrize("question", ["What is wrong", "put right on the spot", "keeps it"])
def test_stop_leaves_it_at_whatever_question(row: WorkedSite, ask: Ask, question: str) -> None:
    answers = {
        "What is wrong": ("3 4", "stop"),
        "put right on the spot": ("3", "cut", "stop"),
        "keeps it": (*WHOLE, "STOP"),
    }
    answer = ask("HR-003", answers=answers[question])
    assert question in answer.out
    assert answer.code == 3
    (draft,) = row.register.find(BenchDraft)
    assert "stop" not in draft.body.casefold()
    marks = list(entries_from_json(draft.body).marks.values())
    assert marks.count(Mark.BAD) == {"What is wrong": 2, "put right on the spot": 1, "keeps it": 0}[question]


def test_an_answer_at_the_outcome_that_is_none_is_said_to_keep_nothing(row: WorkedSite, ask: Ask) -> None:
    answer = ask("HR-003", answers=(*WHOLE, "keep", "yes"))
    assert "“keep” keeps nothing: yes keeps it." in answer.out
    assert (answer.code, kept(row, "HR-003")[0].outcome) == (0, "pass")


def test_the_rest_of_a_line_too_long_and_bytes_that_are_no_text_answer_nothing(row: WorkedSite, ask: Ask) -> None:
    answer = ask("HR-003", answers=("3", "x" * 4000 + "cut", "K\udcfcche", "cracked", "", "yes", "yes"))
    assert "longer than any answer" in answer.out
    assert "bytes that are no text" in answer.out
    assert kept(row, "HR-003")[1]["visual"].remark == "cord: cracked"


class Gone(io.StringIO):
    """An output whose reader has gone after some lines."""

    def __init__(self, lines: int) -> None:
        super().__init__()
        self._left = lines

    def flush(self) -> None:
        self._left -= 1
        if self._left < 0:
            raise BrokenPipeError


@pytest.mark.parametrize("lines", [0, 2, 9, 20])
def test_where_nobody_reads_any_more_nothing_is_kept_and_the_code_is_no_pass(
    row: WorkedSite, ask: Ask, monkeypatch: pytest.MonkeyPatch, lines: int
) -> None:
    monkeypatch.setattr(sys, "stdout", Gone(lines))
    assert ask("HR-003", answers=("ok", "0.08")).code == 3
    assert row.register.find(Appliance, tag="HR-003")[0].last_inspection is None


def test_a_half_filled_bench_that_cannot_be_read_is_said_and_keeps_nobody_from_going_on(
    row: WorkedSite, ask: Ask
) -> None:
    visit, kettle = latest_visit(row), row.register.find(Appliance, tag="HR-003")[0]
    keep_bench_draft(row.register, "tester", visit=visit, appliance=kettle.uid, at="10:00:00", body="{")
    answer = ask("HR-003", answers=(*WHOLE, "yes"))
    assert answer.code == 0
    assert "The half-filled bench cannot be read back" in answer.out
    assert "Half-filled at" not in answer.out


def test_another_desk_that_has_the_item_on_its_bench_is_told_of_once(
    row: WorkedSite, ask: Ask, monkeypatch: pytest.MonkeyPatch
) -> None:
    visit, kettle = latest_visit(row), row.register.find(Appliance, tag="HR-003")[0]
    other = BenchEntries(typed={LineId("insulation"): ">299"})
    write = DraftWriter.write_now

    def meanwhile(writer: DraftWriter, entered: Entered) -> frozenset[Uid]:
        body = other.typing(LineId("earth-continuity"), str(entered.at), "").to_json()
        keep_bench_draft(row.register, "other", visit=visit, appliance=kettle.uid, at="10:00:00", body=body)
        return write(writer, entered)

    monkeypatch.setattr(DraftWriter, "write_now", meanwhile)
    answer = ask("HR-003", answers=("ok", "0.08", "stop"))
    assert answer.out.count("Another desk has this item on its bench too") == 1


def test_what_was_kept_is_said_and_the_kind_that_is_asked_for_holds(row: WorkedSite, ask: Ask) -> None:
    look = ask("HR-003", "--look", answers=("ok", "yes"))
    assert "This is a look alone" in look.out
    whole = ask("HR-003", answers=(*WHOLE, "yes", "1", ""))
    assert "Kept on this visit: pass; every line stands as it was kept" in whole.out
    assert (whole.code, kept(row, "HR-003")[0].kind) == (0, "combined")
    stays = ask("HR-003", answers=("end",))
    assert (stays.code, "HR-003 stays as it was kept on this visit" in stays.err) == (3, True)


def test_what_was_kept_is_taken_back_and_stands_again_as_it_was_entered(row: WorkedSite, ask: Ask) -> None:
    nothing = ask("HR-003", answers=("undo", "stop"))
    assert "Nothing of HR-003 has been kept on this visit yet" in nothing.out
    ask("HR-003", answers=(*WHOLE, "yes"))
    answer = ask("HR-003", answers=("undo", "stop"))
    assert "Taken back: HR-003 pass." in answer.out
    assert (answer.code, "HR-003 is not inspected" in answer.err) == (3, True)
    assert row.register.find(Appliance, tag="HR-003")[0].last_inspection is None
    (draft,) = row.register.find(BenchDraft)
    assert entries_from_json(draft.body).typed[LineId("earth-continuity")] == "0.08"
    again = ask("HR-003", answers=("", "0.09", "", "", "yes"))
    assert (again.code, kept(row, "HR-003")[1]["earth-continuity"].reading) == (0, "0.09")


def test_a_look_taken_back_is_a_look_again(row: WorkedSite, ask: Ask) -> None:
    ask("HR-003", "--look", answers=("ok", "yes"))
    ask("HR-003", answers=("undo", "end", "yes"))
    assert kept(row, "HR-003")[0].kind == "visual"


def test_why_it_is_not_inspected_is_recorded_and_it_stays_due(row: WorkedSite, ask: Ask) -> None:
    answer = ask("HR-003", answers=("not here", "not inspected", "9", "2", "[red]"))
    assert (answer.code, answer.err) == (3, "appreg: HR-003 is not inspected, refused, and stays due.\n")
    (record,) = row.register.find(NotInspected)
    assert (record.because, record.note, record.visit) == ("refused", "[red]", latest_visit(row))
    assert not row.register.find(BenchDraft)
    begun = ask("HR-003", answers=("ok", "not inspected", "stop"))
    assert "Something is entered here" in begun.out
    assert "refused, and stays due: what was typed is kept half-filled" in begun.err
    inspected = ask("HR-002", answers=("anew", "not inspected", "1", "", "stop"))
    assert "HR-002 was inspected on this visit; take that back first if it was not." in inspected.out
    assert "undo" in ask("HR-002", answers=("help", "stop")).out


def test_a_repair_is_recorded_and_has_every_check_taken_anew(row: WorkedSite, ask: Ask) -> None:
    assert "Nothing has failed here" in ask("HR-001", answers=("repair", "stop")).out
    answers = ("repair", "new cord", "Marlowe", "1 jan 2020", "24 nov 2099", "24 nov 2026", "stop")
    answer = ask("HR-002", answers=answers)
    assert "“repair” records it" in answer.out
    assert "is before the failure of 24 Nov 2026" in answer.out
    assert "lies ahead" in answer.out
    assert "It returns to service only when a full inspection and test passes" in answer.out
    (action,) = row.register.find(RemedialAction)
    assert (action.repair, action.told, action.repaired_on) == ("new cord", "Marlowe", DAY)
    assert row.register.find(Appliance, tag="HR-002")[0].state == "withdrawn"
    returned = ask("HR-002", answers=(*WHOLE, "yes", "1", ""))
    assert (returned.code, kept(row, "HR-002")[0].outcome) == (0, "pass")


def test_who_was_told_is_recorded_before_anything_is_repaired(row: WorkedSite, ask: Ask) -> None:
    answer = ask("HR-002", answers=("repair", "", "", "repair", "", "Marlowe", "stop"))
    assert "Nothing is said, so nothing is recorded" in answer.out
    (action,) = row.register.find(RemedialAction)
    assert (action.repair, action.told, action.repaired_on) == ("", "Marlowe", None)
