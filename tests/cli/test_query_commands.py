"""The commands that read: their JSON, their CSV, their exit codes."""

import csv
import io
import sqlite3
import sys
from datetime import timedelta
from typing import Any

import pytest
from msgspec.structs import replace

from appreg.cli.query_words import as_query
from appreg.core.records.appliances import ServiceState
from appreg.core.records.kept_records import Appliance
from appreg.errors import InputRefused
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.tasks.inspecting.take_back_inspection import take_back_inspection
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.change_record import change_record
from tests.cli.conftest import Answer, Call
from tests.hostile_names import HOSTILE_NAMES
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined


def rows_of(answer: Answer) -> list[list[str]]:
    return list(csv.reader(io.StringIO(answer.out, newline="")))


def as_dict(answer: Answer) -> dict[str, Any]:
    assert isinstance(answer.json, dict)
    return answer.json


def test_due_lists_and_counts_as_json(row: WorkedSite, call: Call) -> None:
    answer = call("due", "--on", "2026-11-24", "--within", "0", "--site", "hr", "--json")
    assert answer.code == 0
    board = as_dict(answer)
    assert (board["on"], board["within"]) == ("2026-11-24", 0)
    assert board["counts"] == {
        "items": {"overdue": 1, "due_soon": 0, "never_inspected": 1, "withdrawn": 1},
        "inspections": {"overdue": 1, "due_soon": 1},
    }
    kettle = row.register.find(Appliance, tag="HR-001")[0]
    assert board["lines"][0] == {
        "uid": kettle.uid,
        "tag": "HR-001",
        "item": "Kettle",
        "site": "Harbour Row",
        "location": "Kitchen",
        "what": "visual",
        "due": "2026-05-24",
        "state": "overdue",
        "days": -184,
        "because": "low risk, Class I, 6 months",
    }
    assert board["lines"][-1]["state"] == "never inspected"
    assert board["lines"][-1]["due"] is None
    assert row.site.prefix == "HR"


def test_due_as_csv_is_rfc_4180_with_guarded_cells(row: WorkedSite, call: Call) -> None:
    for name in ("=1+1", '-ABC "x", y', "@sum"):
        add_appliance(row.register, WHO, site=row.site.uid, location=row.kitchen.uid, name=name)
    answer = call("due", "--csv")
    assert answer.out.count("\r\n") == answer.out.count("\n")
    heads, *rows = rows_of(answer)
    assert heads[:2] == ["tag", "item"]
    assert {"'=1+1", '\'-ABC "x", y', "'@sum"} <= {line[1] for line in rows}
    # A genuine negative number is not text (OWASP ASVS 1.2.10, published).
    assert any(line[7].startswith("-") for line in rows)


def test_due_exits_0_and_reads_as_a_table(row: WorkedSite, call: Call) -> None:
    answer = call("due", "--on", "2026-11-24")
    assert answer.code == 0
    assert answer.out.startswith(
        "On 24 Nov 2026: overdue 1 item, 1 inspection · due in 30 days 0 more items, 1 inspection · "
        "never inspected 1 item · withdrawn 1 item\n"
    )
    assert row.site.name in answer.out


def test_due_tells_by_when_a_landlord_must_put_a_failure_right(row: WorkedSite, call: Call) -> None:
    # SI 2025/1043 (published): within 28 days of the failure.
    change_record(row.register, WHO, replace(row.site, landlord_profile="gb-england-social"))
    (action,) = open_actions(row.register)
    by = (action.opened_on + timedelta(days=28)).isoformat()
    (repair,) = as_dict(call("due", "--on", "2026-11-24", "--json"))["repairs"]
    assert (repair["what"], repair["due"]) == ("repair", by)
    assert "Failures to be put right by a day:" in call("due", "--on", "2026-11-24").out
    assert [line[5] for line in rows_of(call("due", "--csv")) if line[4] == "repair"] == [by]


@pytest.mark.parametrize("written", ["24.11.2026", "24/11/2026", "24 Nov 2026"])
def test_a_day_is_read_as_people_write_it(row: WorkedSite, call: Call, written: str) -> None:
    assert as_dict(call("due", "--on", written, "--json"))["on"] == "2026-11-24"
    assert call("move", "HR-001", "tenancy", "--on", written).out.startswith(
        "HR-001 Kettle: change of tenancy on 24 Nov 2026\n"
    )
    refused = call("due", "--on", "03/04/2027")
    assert refused.code == 2
    assert "may be 03 Apr 2027 or 04 Mar 2027; write it as in 2027-04-03" in refused.err
    assert row.site.prefix == "HR"


@pytest.mark.parametrize("named", ["Harbour Row", "harbour row", "HR", "hr"])
def test_a_site_is_named_by_name_prefix_or_key(row: WorkedSite, call: Call, named: str) -> None:
    assert call("due", "--site", named).code == 0
    assert call("due", "--site", row.site.uid).code == 0


def test_an_unknown_site_is_refused_with_those_there_are(row: WorkedSite, call: Call) -> None:
    answer = call("due", "--site", "Nowhere")
    assert (answer.code, answer.err) == (
        2,
        "appreg: --site: there is no site Nowhere; the register has Harbour Row (HR).\n",
    )
    assert row.site.prefix == "HR"


def test_find_answers_to_codes_and_words_and_exits_1_for_nothing(row: WorkedSite, call: Call) -> None:
    kettle = row.register.find(Appliance, tag="HR-001")[0]
    answer = call("find", f"APPREG:{kettle.uid}", "--json")
    assert answer.code == 0
    assert as_dict(answer)["items"] == [
        {
            "uid": kettle.uid,
            "tag": "HR-001",
            "item": "Kettle",
            "site": "Harbour Row",
            "location": "Kitchen",
            "class": "1",
            "type": "portable",
            "category": None,
            "make": "",
            "model": "",
            "serial": "",
            "state": "in service",
            "last_date": "2025-11-24",
            "last_outcome": "pass",
            "next_visual": "2026-05-24",
            "next_test": "2026-11-24",
        }
    ]
    nothing = call("find", "zither", "--json")
    assert (nothing.code, as_dict(nothing)["items"]) == (1, [])
    assert call("find", "zither").code == 1
    assert "HR-002" in call("find", "kett").out


def test_a_tag_is_found_without_its_separators_and_noughts(row: WorkedSite, call: Call) -> None:
    assert [each["tag"] for each in as_dict(call("find", "hr2", "--json"))["items"]] == ["HR-002"]
    assert as_dict(call("show", "hr2", "--json"))["tag"] == "HR-002"
    row.kettle(tag="HR-2")
    answer = call("show", "hr2")
    assert (answer.code, answer.err) == (
        1,
        "appreg: hr2 may be HR-002, HR-2; write the tag as it stands on the item.\n",
    )
    assert as_dict(call("show", "hr-2", "--json"))["tag"] == "HR-2"


def test_show_gives_the_item_its_findings_and_its_interval(row: WorkedSite, call: Call) -> None:
    answer = call("show", "hr-002", "--json")
    page = as_dict(answer)
    assert answer.code == 0
    assert (page["tag"], page["item"], page["state"], page["cord_csa_mm2"]) == ("HR-002", "Kettle", "withdrawn", "0.75")
    latest = page["latest"]
    assert (latest["outcome"], latest["person"], latest["instrument"]) == ("fail", "Wren A", "BT-1")
    earth = next(each for each in latest["findings"] if each["check"] == "earth-continuity")
    assert (earth["reading"], earth["finding"]) == ("0.52", "fail")
    assert earth["limit"] == {"low": None, "high": "0.1208", "comparison": "<=", "unit": "Ω"}
    assert (earth["readings"], earth["method"]) == (["0.52"], "")
    assert len(page["history"]) == 1
    assert page["interval"]["test"] == {
        "shortest": "P1Y",
        "longest": "P2Y",
        "chosen": "P1Y",
        "when": [],
        "by_hand": None,
    }
    assert page["interval"]["basis"] == "published"
    assert row.site.prefix == "HR"


def test_show_reads_as_text_and_exits_1_for_an_unknown_tag(row: WorkedSite, call: Call) -> None:
    text = call("show", "HR-002").out
    for expected in ("FAIL", "0.52 Ω", "≤ 0.1208", "withdrawn", "cord 0.75 mm² × 0.8 m"):
        assert expected in text, expected
    assert "never inspected" in call("show", "HR-003").out
    answer = call("show", "HR-999")
    assert (answer.code, answer.err.count("\n")) == (1, 1)
    assert row.site.prefix == "HR"


def test_of_an_item_out_of_service_no_date_is_told_and_what_it_came_to_is(row: WorkedSite, call: Call) -> None:
    (kettle,) = row.register.find(Appliance, tag="HR-001")
    assert "next look 24 May 2026, " in call("show", "HR-001").out
    for state, said in (
        (ServiceState.DISPOSED, "gone for good: nothing is due"),
        (ServiceState.MISSING, "nothing is due while it is missing"),
        (ServiceState.WITHDRAWN, "nothing is due while it is withdrawn"),
    ):
        with row.register.change(WHO) as change:
            change.put(replace(kettle, state=state))
        text = call("show", "HR-001").out
        assert said in text
        assert "next look" not in text
        page = as_dict(call("show", "HR-001", "--json"))
        assert (page["next_visual"], page["next_test"], page["visual_state"]) == (None, None, "none needed")
        assert page["last_outcome"] == "pass"
        assert call("find", "HR-001").out.split()[-3:] == ["pass", "-", "-"]
    assert ": FAIL, " in call("show", "HR-002").out
    (never,) = row.register.find(Appliance, tag="HR-003")
    with row.register.change(WHO) as change:
        change.put(replace(never, state=ServiceState.WITHDRAWN))
    assert as_dict(call("show", "HR-003", "--json"))["test_state"] == "never inspected"


def test_dates_are_words_where_people_read_and_iso_where_programs_do(row: WorkedSite, call: Call) -> None:
    assert "  24 May 2026  " in call("find", "HR-001").out
    assert "  24 May 2026  " in call("due", "--on", "2026-11-24").out
    assert "24 Nov 2025 inspection and test: PASS" in call("show", "HR-001").out
    assert "  24 Nov 2026 Tue" in call("plan", "--site", "HR", "--from", "2026-11-24", "--days", "FREQ=DAILY").out
    assert "  24 May 2026  " in call("list", "items").out
    assert [line[5] for line in rows_of(call("due", "--on", "2026-11-24", "--csv"))][1] == "2026-05-24"
    assert any("2026-05-24" in line for line in rows_of(call("list", "items", "--csv")))
    assert row.site.prefix == "HR"


def test_verify_is_quiet_about_a_sound_register(row: WorkedSite, call: Call) -> None:
    assert call("verify").code == 0
    answer = call("verify", "--json")
    assert (answer.code, as_dict(answer)["sound"], as_dict(answer)["problems"]) == (0, True, [])
    assert row.site.prefix == "HR"


def test_verify_names_the_place_of_a_cell_changed_behind_its_back(row: WorkedSite, call: Call) -> None:
    with sqlite3.connect(row.register.path) as behind:
        triggers = [name for (name,) in behind.execute("SELECT name FROM sqlite_master WHERE type = 'trigger'")]
        kept = [sql for (sql,) in behind.execute("SELECT sql FROM sqlite_master WHERE type = 'trigger'")]
        for name in triggers:
            behind.execute(f'DROP TRIGGER "{name}"')
        behind.execute("UPDATE finding SET reading = '0.01' WHERE reading = '0.52'")
        for sql in kept:
            behind.execute(sql)
    behind.close()
    answer = call("verify")
    assert answer.code == 1
    assert "table finding" in answer.out
    assert "column reading" in answer.out
    problems = as_dict(call("verify", "--json"))["problems"]
    assert any("column reading" in each["place"] for each in problems)


def test_every_hostile_name_is_shown_safely_by_every_query(
    row: WorkedSite, call: Call, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("yes\n1\n1\nok\n"))
    for name in HOSTILE_NAMES:
        try:
            add_appliance(row.register, WHO, site=row.site.uid, location=row.kitchen.uid, name=name)
        except InputRefused:
            continue
    # Imported data may hold what entry refuses.
    with sqlite3.connect(row.register.path) as behind:
        behind.execute("UPDATE site SET name = ?", ("\x1b]52;c;x\x07[red]\u202ex\u2066",))
    behind.close()
    lists = (("list", "items"), ("list", "items", "--csv"), ("list", "sites"), ("list", "visits", "--json"))
    asked = (("due",), ("due", "--csv"), ("due", "--json"), ("find", "hr"), ("show", "HR-001"), ("verify",))
    for words in (*asked, *lists, ("inspect", "HR-001")):
        answer = call(*words)
        assert answer.code in {0, 1, 3}, words
        assert not set(answer.out + answer.err) & set("\x1b\x07\x9b\x7f\u202e\u2066\u200b"), words


def test_what_stands_in_any_text_of_an_item_finds_it(row: WorkedSite, call: Call) -> None:
    def found(*words: str) -> list[str]:
        return [each["tag"] for each in as_dict(call("find", *words, "--json"))["items"]]

    assert row.site.name == "Harbour Row"
    everything = found("site:harbour")
    failed = found("outcome:fail")
    assert len(everything) > len(failed) > 0
    assert found("fail") == failed
    assert set(found("location:kitchen")) <= set(everything)
    assert found("site:harbour", "state:withdrawn") == found("withdrawn")
    assert found("kettle", "due:<0") == ["HR-001"]
    assert call("find", "location:no such room").code == 1


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (["colour:red"], "There is no key “colour” here"),
        (["due:<x"], "due: “<x” is no number of days"),
        (["state:purple"], "state: “purple” is none; there are in-service"),
        (["class:4"], "class: “4” is none"),
        (["site:"], "“site:” says nothing yet"),
    ],
)
@pytest.mark.parametrize("command", [["find"], ["due"], ["list", "items"]])
def test_a_key_or_value_that_cannot_be_is_told_in_a_sentence(
    row: WorkedSite, call: Call, command: list[str], words: list[str], said: str
) -> None:
    assert row.site
    answer = call(*command, *words)
    assert answer.code == 2
    assert said in answer.err


def test_due_answers_to_words_and_counts_only_what_it_shows(row: WorkedSite, call: Call) -> None:
    assert row.site
    whole = as_dict(call("due", "--on", "2026-11-24", "--json"))
    few = as_dict(call("due", "kettle", "state:overdue", "--on", "2026-11-24", "--json"))
    assert 0 < len(few["lines"]) < len(whole["lines"])
    assert {(line["item"], line["state"]) for line in few["lines"]} == {("Kettle", "overdue")}
    assert few["counts"]["inspections"] == {"overdue": len(few["lines"]), "due_soon": 0}
    assert few["counts"]["items"]["withdrawn"] == 0
    assert call("due", "kettle", "--by", "site").code == 2


def test_due_looks_as_far_ahead_as_its_words_ask(row: WorkedSite, call: Call) -> None:
    row.record(row.register.find(Appliance, tag="HR-001")[0], combined(), row.visit(TODAY))

    def tags(*words: str) -> set[str]:
        return {line["tag"] for line in as_dict(call("due", *words, "--on", "2026-11-24", "--json"))["lines"]}

    assert "HR-001" not in tags("due:<90")
    assert "HR-001" in tags("due:<400")
    assert "due in 399 days" in call("due", "due:<400", "--on", "2026-11-24").out
    assert "HR-001" not in tags("due:<400", "--within", "60"), "days that were named stay"


def test_a_value_with_blanks_stays_one_where_the_shell_took_its_quotes() -> None:
    assert as_query(["kettle", "location:plant room", "site:oak state:x"]) == (
        'kettle location:"plant room" site:oak state:x'
    )


def test_what_was_taken_back_is_shown_as_no_result_that_counts(row: WorkedSite, call: Call) -> None:
    kettle = row.register.find(Appliance, tag="HR-003")[0]
    saved = row.record(kettle, combined(), row.visit(TODAY))
    assert "PASS," in call("show", "HR-003").out
    take_back_inspection(row.register, WHO, saved.inspection.uid)
    told = call("show", "HR-003").out
    assert "PASS (taken back since)," in told
    assert "PASS," not in told
