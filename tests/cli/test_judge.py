import json
from pathlib import Path
from typing import Any

import pytest

from appreg.cli.main import main

SOUND = ["judge", "--class", "1", "--visual", "ok", "--earth", "0.05", "--insulation", ">299", "--functional", "ok"]


def answer(words: list[str], capsys: pytest.CaptureFixture[str]) -> dict[str, Any]:
    main([*words, "--json"])
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


@pytest.mark.parametrize(
    ("words", "code", "outcome"),
    [
        (SOUND, 0, "PASS"),
        ([*SOUND, "--leakage", "9"], 1, "FAIL"),
        (SOUND[:-2], 3, "INCOMPLETE: missing functional"),
        (["judge"], 3, "INCOMPLETE: missing visual, earth-continuity, insulation, functional"),
    ],
)
def test_the_exit_code_and_the_last_word_follow_the_outcome(
    words: list[str], code: int, outcome: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(words) == code
    captured = capsys.readouterr()
    assert f"{outcome} · rule book gb 2\n" in captured.out
    assert captured.err == ""


@pytest.mark.parametrize(
    ("words", "sentence"),
    [
        (["--earth", "1,234"], "--earth: Reading '1,234' may have a decimal comma or a thousand; type 1.234 or 1234."),
        (["--earth", "-0.1"], "--earth: Reading '-0.1' is negative"),
        (["--insulation", ""], "--insulation: Reading '' is empty"),
        (["--leakage", "0.3 ohm"], "--leakage: Reading '0.3 ohm' is not in a unit of current"),
        (["--visual", "fine"], "--visual: 'fine' is no answer; type ok or bad."),
        (["--class", "4"], "--class: '4' is not a class; choose one of 1, 2, 3, unknown."),
        (["--type", "huge"], "--type: 'huge' is not an equipment type"),
        (["--rule-book", "us"], "There is no rule book 'us'; choose from gb, eu, anz."),
        (["--cord-csa", "2", "--cord-length", "1"], "No plain conductor of 2 mm² is in the table"),
        (["--cord-csa", "0", "--cord-length", "1"], "--cord-csa: '0' is not above zero; type it in mm²."),
        (["--flat-limit", "0.4"], "A flat earth limit of 0.4 Ω is not in use; choose from 0.1, 0.2, 0.3, 0.5 Ω."),
        (["--earth", "0.1", "--conductor-temperature", "90"], "lies outside 5 to 30 °C"),
        (["--rcd", "anz-1"], "rule book gb times no RCD of kind anz-1; choose one of general, s, bs4293, portable."),
        (["--rcd", "general", "--rcd-trip", "3x=1"], "--rcd-trip: '3x=1' is no trip test; write it like 1x=28"),
        (["--rcd", "general", "--rcd-trip", "1x"], "'1x' is no trip test"),
        (["--rcd", "general", "--rcd-trip", "1x=1", "--rcd-trip", "1x=2"], "1x is given twice"),
        (["--rcd", "general", "--rcd-trip", "1x=1 V"], "--rcd-trip 1x: Reading '1 V' is not in a unit of time"),
        (["--phases", "2"], "argument --phases: invalid choice: '2'"),
        (["--load", "much"], "--load: “much” is not a number"),
        (["--load", "0"], "--load: '0' is not above zero; type it in kVA."),
        (["--measured", "colour"], "--measured: 'colour' is no fact"),
        (["--measured", "class", "--assumed", "class"], "class is given with --assumed too"),
        (["--measured", "cord-length"], "--measured: cord-length is measured, but not given"),
        (["--unearthed-insulation", "5 mA"], "--unearthed-insulation: Reading '5 mA' is not in a unit of resistance"),
        (["--power-kw", "x"], "--power-kw: “x” is not a number"),
        (["--overlay", "no/such.toml"], "no/such.toml cannot be read (No such file or directory); check the path."),
        (["--rule-book", "own.toml", "--overlay", "b.toml"], "--overlay goes with a rule book of the program"),
        (["--leakage-method", "guess"], "invalid choice: 'guess'"),
        (["--rated-volts", "230.9"], "--rated-volts: 230.9 V is no whole number of volts"),
        (["--insulation-volts", "500.9"], "--insulation-volts: 500.9 V is no whole number of volts"),
        (["--left-out", "earth=x"], "--left-out: 'earth' is no check; choose from visual, earth-continuity"),
        (
            ["--left-out", "leakage=no lead", "--left-out", "Leakage=no time"],
            "--left-out: leakage is given twice; write both reasons as one.",
        ),
        (["--left-out", "leakage= "], "--left-out leakage: no reason is given; write it like leakage="),
        (
            ["--earth", "0.1", "--left-out", "earth-continuity=x"],
            "--left-out: earth-continuity is given a result as well; take one of the two away.",
        ),
        (["--type", "\x1b[31m"], "--type: '␛[31m' is not an equipment type"),
    ],
)
def test_bad_input_is_one_sentence_on_standard_error(
    words: list[str], sentence: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["judge", *words]) == 2
    captured = capsys.readouterr()
    assert sentence in captured.err
    assert captured.err.count("\n") == 1
    assert captured.out == ""


def test_the_json_has_a_line_for_every_check(capsys: pytest.CaptureFixture[str]) -> None:
    told = answer([*SOUND, "--rcd", "s", "--rcd-trip", "1x=140", "--rcd-rating", "30", "--rcd-button", "ok"], capsys)
    assert (told["outcome"], told["missing"], told["rule_book"], told["rule_book_version"]) == (
        "pass",
        [],
        "gb",
        "gb 2",
    )
    lines = {line["check"]: line for line in told["findings"]}
    assert list(lines) == ["visual", "earth-continuity", "insulation", "functional", "rcd-1x", "rcd-button"]
    assert lines["visual"] == {
        "check": "visual",
        "reading": "ok",
        "readings": [],
        "unit": "",
        "limit": None,
        "finding": "pass",
        "arithmetic": "no defect seen",
        "source": "CoP ch. 15",
        "basis": "second-hand",
        "assumed": [],
        "method": "",
        "left_out": None,
        "remark": "",
        "attempts": [],
    }
    assert lines["insulation"]["method"] == "at 500 V d.c."
    assert lines["insulation"]["readings"] == [">299"]
    assert lines["insulation"]["limit"] == {"low": "1", "high": None, "comparison": ">=", "unit": "MΩ"}
    assert lines["rcd-1x"]["limit"] == {"low": "130", "high": "500", "comparison": "between", "unit": "ms"}
    assert all(line["arithmetic"] and line["source"] and line["basis"] for line in told["findings"])


def test_without_a_cord_size_the_flat_limit_applies_and_says_so(capsys: pytest.CaptureFixture[str]) -> None:
    lines = {line["check"]: line for line in answer([*SOUND, "--cord-length", "2"], capsys)["findings"]}
    assert lines["earth-continuity"]["limit"]["high"] == "0.1"
    assert lines["earth-continuity"]["arithmetic"] == "flat limit 0.1 Ω: cord size or length not known"


@pytest.mark.parametrize("name", ["lead", "LEAD", "Extension-Lead"])
def test_a_lead_may_be_named_shortly_in_any_case(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert "polarity" in answer(["judge", "--type", name], capsys)["missing"]


@pytest.mark.parametrize("name", ["2", "II", "ii"])
def test_a_class_may_be_named_as_plates_write_it(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    assert answer(["judge", "--class", name], capsys)["missing"] == ["visual", "insulation", "functional"]


def test_a_microwave_reading_makes_the_item_a_microwave_oven(capsys: pytest.CaptureFixture[str]) -> None:
    told = answer([*SOUND, "--microwave", "1.2"], capsys)
    assert told["outcome"] == "pass"
    assert "microwave" in answer([*SOUND, "--microwave-oven"], capsys)["missing"]


def test_an_overlay_and_a_book_of_ones_own_are_in_force(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    changes = '[insulation.class-1]\nsource = "House rules"\nbasis = "common practice"\nleast = 500\n'
    overlay, own = tmp_path / "house.toml", tmp_path / "own.toml"
    overlay.write_text(changes, encoding="utf-8")
    own.write_text('based_on = "gb"\n' + changes, encoding="utf-8")
    for words in (["--overlay", str(overlay)], ["--rule-book", str(own)]):
        told = answer([*SOUND, *words], capsys)
        lines = {line["check"]: line for line in told["findings"]}
        assert (lines["insulation"]["limit"]["low"], lines["insulation"]["source"]) == ("500", "House rules")
        assert told["outcome"] == "incomplete"


def test_an_overlay_that_is_not_utf_8_is_refused(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    overlay = tmp_path / "house.toml"
    overlay.write_bytes(b"\xff\xfe")
    assert main(["judge", "--overlay", str(overlay)]) == 2
    assert "is not UTF-8 text; save it as UTF-8." in capsys.readouterr().err


def test_a_long_lead_on_protected_sockets_is_no_matter_for_advice(capsys: pytest.CaptureFixture[str]) -> None:
    lead = ["judge", "--type", "extension-lead", "--class", "1", "--cord-csa", "1.5", "--cord-length", "20"]
    assert any("over the recommended" in each for each in answer(lead, capsys)["advice"])
    protected = answer([*lead, "--additional-protection"], capsys)["advice"]
    assert not any("over the recommended" in each for each in protected)


def test_a_failed_earth_is_cautioned_against_in_the_text(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["judge", "--visual", "ok", "--earth", "0.5", "--functional", "ok"]) == 1
    told = capsys.readouterr().out
    assert "advice: do not energise the item: earth-continuity failed" in told
    assert "closed: earth-continuity failed" in told
    assert told.endswith("For competent persons; local rules and the documents themselves come first.\n")


def test_judging_loads_neither_screens_nor_documents_nor_the_database() -> None:
    import subprocess  # noqa: PLC0415
    import sys  # noqa: PLC0415

    program = (
        "import sys; from appreg.cli.main import main; main(['judge', '--visual', 'ok']); "
        "sys.exit(any(name in sys.modules for name in ('textual', 'fpdf', 'peewee', 'appreg.core.rules.interval_tables')))"
    )
    assert subprocess.run([sys.executable, "-c", program], capture_output=True, check=False).returncode == 0


CLOSE = [*SOUND[:5], "--earth", "0.12", "--flat-limit", "0.2", *SOUND[7:], "--guarded", "--accuracy"]


@pytest.mark.parametrize(
    ("accuracy", "code", "said"),
    [
        ("earth-continuity: 25 %; insulation: 30 %", 0, "flat limit 0.2"),
        ("earth-continuity: 25 % + 6 × 0.01; insulation: 30 %", 1, "0.12 + U 0.09 = 0.21 > 0.2: guarded acceptance"),
        ("insulation: 30 %", 3, "the instrument states no accuracy for this reading: guarded acceptance"),
    ],
)
def test_acceptance_is_guarded_by_the_accuracy_of_the_instrument(
    accuracy: str, code: int, said: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*CLOSE, accuracy]) == code
    assert said in capsys.readouterr().out


def test_an_accuracy_that_guards_nothing_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*SOUND, "--accuracy", "insulation: 30 %"]) == 2
    assert "give --guarded too" in capsys.readouterr().err


def test_a_class_that_is_not_given_is_unknown_and_judged_as_class_1(capsys: pytest.CaptureFixture[str]) -> None:
    unnamed = ["judge", *SOUND[3:]]
    first, named = (answer(words, capsys) for words in (unnamed, [*unnamed, "--class", "unknown"]))
    assert first == named
    assert [finding["check"] for finding in first["findings"]] == [
        finding["check"] for finding in answer(SOUND, capsys)["findings"]
    ]


def test_a_pass_that_rests_on_an_assumed_fact_is_incomplete_and_says_which(capsys: pytest.CaptureFixture[str]) -> None:
    words = ["--class", "1", "--cord-csa", "1.0", "--cord-length", "10", "--visual", "ok", "--earth", "0.28"]
    words += ["--insulation", ">299", "--functional", "ok", "--json", "--assumed", "cord-length, class"]
    assert main(["judge", *words]) == 3
    told = json.loads(capsys.readouterr().out)
    assert (told["outcome"], told["missing"], told["unconfirmed"]) == ("incomplete", [], ["cord-length"])
    lines = {line["check"]: line for line in told["findings"]}
    earth = lines["earth-continuity"]
    assert (earth["limit"]["high"], earth["assumed"]) == ("0.1", ["cord-length"])


def test_what_is_no_fact_cannot_be_assumed(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["judge", "--assumed", "colour"]) == 2
    assert "--assumed: 'colour' is no fact; choose from class, type" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("facts", "against"),
    [
        (["--class", "3", "--rated-volts", "230"], "Class III at 230 V"),
        (["--class", "1", "--type", "lead", "--connection", "battery"], "extension lead on a battery"),
        (["--class", "1", "--type", "cord-set", "--connection", "hard-wired"], "cord set that is hard-wired"),
        (["--class", "2", "--connection", "battery", "--item-is-rcd"], "on a battery with a residual current device"),
        (["--class", "2", "--connection", "battery", "--fuse", "3"], "on a battery with a fuse in a mains plug"),
        (["--class", "2", "--connection", "battery", "--rated-volts", "230"], "on a battery at 230 V"),
        (["--class", "1", "--connection", "battery"], "Class I on a battery, which brings no earth"),
        (["--class", "2", "--rated-volts", "12"], "Class II at 12 V, which is extra-low"),
        (["--class", "3", "--fuse", "3"], "Class III with a fuse in a mains plug"),
        (["--class", "3", "--item-is-rcd"], "Class III with a residual current device"),
        (["--class", "3", "--type", "cord-set", "--connection", "hard-wired"], "cord set that is hard-wired"),
    ],
)
def test_facts_that_contradict_each_other_make_it_incomplete(
    facts: list[str], against: str, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [*facts, "--visual", "ok", "--functional", "ok", "--earth", "0.05", "--insulation", ">299"]
    words += ["--polarity", "ok"]
    if "--item-is-rcd" in facts:
        words += ["--rcd", "portable", "--rcd-trip", "1x=20", "--rcd-button", "ok"]
    assert main(["judge", *words, "--json"]) == 3
    told = json.loads(capsys.readouterr().out)
    assert (told["outcome"], told["missing"]) == ("incomplete", [])
    assert against in told["findings"][0]["arithmetic"]


def test_a_failure_of_what_belongs_to_the_tenant_says_whom_to_tell(capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["judge", "--class", "2", "--visual", "bad", "--owner", "tenant", "--json"]) == 1
    assert any(
        "it belongs to the tenant: tell the owner" in each for each in json.loads(capsys.readouterr().out)["advice"]
    )


@pytest.mark.parametrize(("trip", "code"), [("1x=28/24", 0), ("1x=24/310", 1), ("1x=28/none", 1), ("1x=>250/24", 3)])
def test_the_worst_of_readings_side_by_side_decides_and_all_are_printed(
    trip: str, code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    words = [*SOUND, "--rcd", "general", "--rcd-rating", "30", "--rcd-button", "ok", "--rcd-trip", trip]
    assert main(words) == code
    assert trip.removeprefix("1x=") in capsys.readouterr().out


@pytest.mark.parametrize(("lines", "code"), [(">299/12/>299", 0), (">299/0.4/>299", 1), (">299/>0.5/>299", 3)])
def test_of_the_lines_of_a_three_phase_item_the_worst_decides(
    lines: str, code: int, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main([*SOUND, "--insulation", lines]) == code
    assert f"{lines} MΩ" in capsys.readouterr().out


def test_one_of_several_readings_that_cannot_be_read_is_refused(capsys: pytest.CaptureFixture[str]) -> None:
    assert main([*SOUND, "--leakage", "0.2/x/0.1"]) == 2
    assert "--leakage: In '0.2/x/0.1': Reading 'x' is not a figure" in capsys.readouterr().err


LINKED = ["--phases", "3", "--lines-linked"]
METAL = ["--unearthed-metal"]
FUNCTIONAL = ["--functional-earth"]
SECOND = [each if each != "1" else "2" for each in SOUND if each not in {"--earth", "0.05"}]
"""As SOUND, of Class II."""


@pytest.mark.parametrize(
    ("words", "outcome", "missing"),
    [
        ([*SOUND, *LINKED, "--load", "2.3"], "pass", []),
        ([*SOUND, "--lines-linked"], "incomplete", []),
        ([*SOUND, *METAL], "incomplete", ["unearthed-insulation"]),
        ([*SOUND, *METAL, "--unearthed-insulation", "5"], "pass", []),
        ([*SOUND, *METAL, "--unearthed-insulation", "5/1.9"], "fail", []),
        ([*SOUND, *METAL, "--unearthed-touch-current", "0.2"], "pass", []),
        ([*SOUND, *METAL, "--unearthed-insulation", "5", "--insulation-volts", "250"], "incomplete", []),
        ([*SECOND, *FUNCTIONAL], "incomplete", ["functional-earth-insulation"]),
        ([*SECOND, *FUNCTIONAL, "--functional-earth-insulation", "5"], "pass", []),
        ([*SECOND, *FUNCTIONAL, "--functional-earth-current", "0.3"], "fail", []),
        ([*SOUND, *FUNCTIONAL, "--functional-earth-insulation", "5"], "incomplete", []),
        ([*SOUND, "--mineral-insulated"], "incomplete", []),
        ([*SOUND, "--rcd-rating", "30"], "incomplete", ["rcd-1x", "rcd-button"]),
        ([*SOUND, "--connection", "battery", *LINKED], "incomplete", []),
    ],
)
def test_what_is_stated_of_phases_lines_and_earths_counts_and_what_contradicts_itself_never_passes(
    words: list[str], outcome: str, missing: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    told = answer(words, capsys)
    assert (told["outcome"], told["missing"]) == (outcome, missing), told


def test_phases_lines_and_load_are_told_as_the_method(capsys: pytest.CaptureFixture[str]) -> None:
    told = answer([*SOUND, *LINKED, "--load", "2.3", "--cord-length", "2", "--measured", "cord-length"], capsys)
    methods = {line["check"]: line["method"] for line in told["findings"]}
    assert methods["insulation"] == "at 500 V d.c. · lines linked"
    assert methods["functional"] == "load 2.3 kVA"
    assert told["measured"] == ["cord-length"]


@pytest.mark.parametrize("provenance", [[], ["--measured", "cord-length,cord-size"]])
def test_what_is_measured_is_as_sure_as_what_is_read(provenance: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    cord = ["--cord-csa", "1.0", "--cord-length", "10"]
    words = [each if each != "0.05" else "0.28" for each in SOUND]
    assert answer([*words, *cord, *provenance], capsys)["outcome"] == "pass"
    assert answer([*words, *cord, "--assumed", "cord-length"], capsys)["outcome"] == "incomplete"


def test_what_is_left_out_limits_a_pass_where_the_book_lets_it_be(capsys: pytest.CaptureFixture[str]) -> None:
    without = ["judge", "--class", "1", "--visual", "ok", "--insulation", ">299", "--functional", "ok", "--left-out"]
    assert main([*without, "earth-continuity=no earthed metal = none"]) == 0
    assert "PASS, limited: without earth-continuity · rule book gb 2\n" in capsys.readouterr().out
    told = answer([*without, "earth-continuity=no earthed metal"], capsys)
    assert (told["outcome"], told["left_out"]) == ("pass", {"earth-continuity": "no earthed metal"})
    sound = answer(
        [
            "judge",
            "--class",
            "1",
            "--visual",
            "ok",
            "--earth",
            "0.05",
            "--functional",
            "ok",
            "--left-out",
            "insulation=no meter",
        ],
        capsys,
    )
    assert (sound["outcome"], sound["missing"], sound["left_out"]) == ("incomplete", ["insulation"], {})
    line = next(each for each in sound["findings"] if each["check"] == "insulation")
    assert line["arithmetic"] == "left out: no meter, but rule book gb does not let it be left out here"


def test_a_doubt_about_a_reading_is_told_and_changes_no_verdict(capsys: pytest.CaptureFixture[str]) -> None:
    words = [*SOUND, "--cord-csa", "0.75", "--cord-length", "0.8", "--earth"]
    doubtful, sound = answer([*words, "0.00/0.08"], capsys), answer([*words, "0.08"], capsys)
    assert (doubtful["outcome"], sound["outcome"], sound["doubts"]) == ("pass", "pass", [])
    assert [each.startswith("doubt the earth reading of 0 Ω: less than") for each in doubtful["doubts"]] == [True]
    assert main([*words, "0.00/0.08"]) == 0
    assert doubtful["doubts"][0] in capsys.readouterr().out.splitlines()


@pytest.mark.parametrize(
    ("words", "missing"),
    [
        (["--class", "1", "--earth", "0.05"], ["leakage"]),
        (["--class", "1", "--earth", "0.05", "--leakage", "0.2", "--leakage-method", "touch"], ["leakage"]),
        (["--class", "1", "--earth", "0.05", "--leakage", "0.2"], []),
        (["--class", "2"], ["leakage"]),
        (["--class", "2", "--leakage", "0.2"], []),
    ],
)
def test_in_eu_nothing_passes_without_the_current_that_says_enough(
    words: list[str], missing: list[str], capsys: pytest.CaptureFixture[str]
) -> None:
    # EN 50699: protective-conductor current of Class I, touch current of Class II (memory).
    sound = ["judge", "--rule-book", "eu", "--visual", "ok", "--insulation", ">299", "--functional", "ok"]
    told = answer([*sound, *words], capsys)
    assert (told["outcome"], told["missing"]) == ("incomplete" if missing else "pass", missing)
