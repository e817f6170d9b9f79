"""`appreg inspect`: an item asked line by line, judged and kept as on the Bench, and never lost in silence."""

import io
import sys
from collections.abc import Callable
from datetime import date

import pytest

from appreg.core.records.kept_records import Appliance, FindingRecord, Inspection
from appreg.core.records.work_records import BenchDraft, RemedialAction
from appreg.tasks.desk.confirm_cautions import NOT_KEPT, cautions_file, confirm_cautions
from appreg.tasks.records.add_appliance import add_appliance
from appreg.ui.screens.bench.bench_entries import LineId, Mark, entries_from_json
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
    assert ask("HR-001", "--person", "zz", "--visit", "latest", answers=("end",)).code == 3
    monkeypatch.setattr("appreg.cli.inspect.local_today", lambda: date(2026, 11, 27))
    assert ask("HR-001", "--person", "zz", answers=()).code == 2


def test_it_says_that_the_bench_marks_a_bad_line(row: WorkedSite, ask: Ask) -> None:
    ask("HR-003", answers=("ok", "0.08", ">299", "bad", "does not heat", "", "stop"))
    (draft,) = row.register.find(BenchDraft)
    assert entries_from_json(draft.body).marks[LineId("functional")] is Mark.BAD
