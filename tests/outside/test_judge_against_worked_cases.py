"""The command `judge` against worked cases, each with its source; the JSON is what another program would read."""

import json
from typing import Any

import pytest
from msgspec import Struct

from appreg.cli.main import main


class Case(Struct, frozen=True):
    """A command line, one check of its answer, and where the expectation comes from."""

    options: str
    check: str
    finding: str
    limit: float | list[int] | None
    source: str
    basis: str


COP154, IEC = "CoP 15.4", "IEC 60228 class 5"
GB1, EU1, ANZ1 = "--class 1", "--rule-book eu --class 1", "--rule-book anz --class 1"
HEATER = f"{GB1} --type stationary --heating"
RCD = f"{GB1} --rcd general --rcd-rating 30"

CASES = (
    Case(f"{GB1} --cord-csa 1.0 --cord-length 2 --earth 0.12", "earth-continuity", "pass", 0.139, "CoP 5th ed. Table A5.1 worksheet", "published"),
    Case(f"{GB1} --cord-csa 1.0 --cord-length 1.75 --earth 0.14", "earth-continuity", "fail", 0.134125, "CoP 5th ed. Table A5.1 worksheet", "published"),
    Case(f"{GB1} --cord-csa 0.75 --cord-length 0.75 --earth 0.15", "earth-continuity", "fail", 0.1195, IEC, "derived"),
    Case(f"{GB1} --cord-csa 1.0 --cord-length 3 --earth 0.1585", "earth-continuity", "pass", 0.1585, IEC, "second-hand"),
    Case(f"{GB1} --cord-csa 1.0 --cord-length 3 --earth 0.1586", "earth-continuity", "fail", 0.1585, IEC, "second-hand"),
    Case(f"{GB1} --type lead --cord-csa 1.5 --cord-length 45 --earth 0.69", "earth-continuity", "pass", 0.6985, IEC, "second-hand"),
    Case(f"{GB1} --type lead --cord-csa 2.5 --cord-length 25 --earth 0.2995", "earth-continuity", "pass", 0.2995, IEC, "derived"),
    # 0.13 × 1.042 = 0.1355 and 0.135 × 1.042 = 0.1407, against 0.139.
    Case(f"{GB1} --cord-csa 1.0 --cord-length 2 --earth 0.13 --conductor-temperature 10", "earth-continuity", "pass", 0.139, "IEC 60228 annex", "second-hand"),
    Case(f"{GB1} --cord-csa 1.0 --cord-length 2 --earth 0.135 --conductor-temperature 10", "earth-continuity", "fail", 0.139, "IEC 60228 annex", "second-hand"),
    *(
        Case(f"{EU1} --cord-csa 1.5 --cord-length {metres} --earth 0.05", "earth-continuity", "pass", ohms, "EN 50699", "second-hand")
        for metres, ohms in (("5.0", 0.3), ("5.1", 0.4), ("12.5", 0.4), ("20", 0.5), ("50", 0.9), ("51", 1), ("80", 1))
    ),
    Case(f"{GB1} --insulation 0.99", "insulation", "fail", 1, "CoP Table 15.2", "second-hand"),
    Case(f"{GB1} --insulation 1.00", "insulation", "pass", 1, "CoP Table 15.2", "second-hand"),
    Case("--class 2 --insulation 1.5", "insulation", "fail", 2, "CoP Table 15.2", "second-hand"),
    Case("--class 2 --insulation 2.0", "insulation", "pass", 2, "CoP Table 15.2", "second-hand"),
    Case(f"{GB1} --heating --power-kw 3.0 --insulation 0.35", "insulation", "pass", 0.3, "CoP Table 15.2", "memory"),
    Case(f"{GB1} --heating --power-kw 2.9 --insulation 0.35", "insulation", "fail", 1, "CoP Table 15.2", "memory"),
    Case(f"{HEATER} --power-kw 0.5 --leakage 0.75", "leakage", "pass", 0.75, "CoP 3rd ed. Table 15.3", "second-hand"),
    Case(f"{HEATER} --power-kw 2 --leakage 1.5", "leakage", "pass", 1.5, "CoP 3rd ed. Table 15.3", "second-hand"),
    Case(f"{EU1} --heating --power-kw 3.5 --leakage 3.5", "leakage", "pass", 3.5, "EN 50699", "second-hand"),
    Case(f"{EU1} --heating --power-kw 4 --leakage 4.1", "leakage", "fail", 4, "EN 50699", "second-hand"),
    Case(f"{EU1} --heating --power-kw 12 --leakage 10", "leakage", "pass", 10, "EN 50699", "second-hand"),
    Case(f"{GB1} --type hand-held --leakage 0.76", "leakage", "fail", 0.75, "CoP 3rd ed. Table 15.3", "second-hand"),
    Case(f"{GB1} --type it --leakage 3.4", "leakage", "pass", 3.5, "CoP 3rd ed. Table 15.3", "second-hand"),
    Case(f"{ANZ1} --earth 1.01", "earth-continuity", "fail", 1, "AS/NZS 3760", "second-hand"),
    Case("--rule-book anz --class 2 --leakage 1.1", "leakage", "fail", 1, "AS/NZS 3760", "second-hand"),
    Case(f"{RCD} --rcd-trip 1x=299", "rcd-1x", "pass", 300, "BS EN 61008-1", "second-hand"),
    Case(f"{RCD} --rcd-trip 5x=41", "rcd-5x", "fail", 40, "BS EN 61008-1", "second-hand"),
    Case(f"{GB1} --rcd s --rcd-trip 1x=120", "rcd-1x", "fail", [130, 500], "BS EN 61008-1", "second-hand"),
    Case(f"{GB1} --rcd s --rcd-trip 1x=140", "rcd-1x", "pass", [130, 500], "BS EN 61008-1", "second-hand"),
    Case(f"{RCD} --rcd-trip 0.5x=500", "rcd-0.5x", "fail", 2000, "testing handbook", "second-hand"),
    Case(f"{RCD} --rcd-trip 0.5x=none", "rcd-0.5x", "pass", 2000, "testing handbook", "second-hand"),
    Case(f"{GB1} --microwave 5.0", "microwave", "pass", 5, "IEC 60335-2-25", "second-hand"),
    Case(f"{GB1} --microwave 5.1", "microwave", "fail", 5, "IEC 60335-2-25", "second-hand"),
    Case(f"{GB1} --type hand-held --leakage 0.10 --leakage-method substitute --applied-volts 40 --rated-volts 230", "leakage", "pass", 0.75, "CoP", "derived"),
    Case("--class unknown --insulation 1.00", "insulation", "pass", 1, "CoP", "second-hand"),
    Case("--class unknown --type hand-held --leakage 0.76", "leakage", "fail", 0.75, "CoP", "second-hand"),
)  # fmt: skip


def judged(options: str, capsys: pytest.CaptureFixture[str], *more: str) -> tuple[int, dict[str, Any]]:
    code = main(["judge", *options.split(), *more, "--json"])
    answer: dict[str, Any] = json.loads(capsys.readouterr().out)
    return code, answer


def finding(answer: dict[str, Any], check: str) -> dict[str, Any]:
    found: dict[str, Any] = next(each for each in answer["findings"] if each["check"] == check)
    return found


@pytest.mark.parametrize("case", CASES, ids=lambda case: case.options)
def test_a_worked_case_is_judged_as_its_source_has_it(case: Case, capsys: pytest.CaptureFixture[str]) -> None:
    _, answer = judged(case.options, capsys)
    found = finding(answer, case.check)
    ends = [float(found["limit"][end]) for end in ("low", "high") if found["limit"][end] is not None]
    assert (found["finding"], ends) == (case.finding, case.limit if isinstance(case.limit, list) else [case.limit])


@pytest.mark.parametrize(("watts", "amps"), [("0.65", "650 W: 3 A"), ("0.75", "750 W: 13 A")])
def test_the_plug_fuse_follows_the_power(watts: str, amps: str, capsys: pytest.CaptureFixture[str]) -> None:
    # CoP (second-hand).
    _, answer = judged(f"--class 1 --power-kw {watts}", capsys)
    assert f"plug fuse for {amps} (CoP, second-hand)" in answer["advice"]


def test_a_long_lead_is_advice_and_never_a_failure(capsys: pytest.CaptureFixture[str]) -> None:
    # CoP Table 15.4 (second-hand).
    lead = "--class 1 --type lead --cord-csa 1.5 --cord-length 20 --visual ok --earth 0.3 --polarity ok"
    code, answer = judged(lead, capsys, "--insulation", ">299", "--insulation-volts", "500")
    assert (code, answer["outcome"]) == (0, "pass")
    assert any("30 mA RCD" in sentence for sentence in answer["advice"])


def test_the_earth_limit_says_its_arithmetic_in_one_line(capsys: pytest.CaptureFixture[str]) -> None:
    # CoP 15.4 and IEC 60228 (second-hand).
    _, answer = judged("--class 1 --cord-csa 1.0 --cord-length 2.0 --earth 0.12", capsys)
    assert finding(answer, "earth-continuity")["arithmetic"] == "0.1 + 19.5 mΩ/m × 2.0 m = 0.139 Ω"


@pytest.mark.parametrize(
    ("option", "reading", "check", "expected"),
    [
        ("--insulation", ">299", "insulation", "pass"),
        ("--insulation", ">0.5", "insulation", "inconclusive"),
        ("--insulation", "<0.5", "insulation", "fail"),
        ("--insulation", "OL", "insulation", "inconclusive"),
        ("--earth", "<0.05", "earth-continuity", "pass"),
        ("--earth", "<0.5", "earth-continuity", "inconclusive"),
        ("--earth", ">0.05", "earth-continuity", "inconclusive"),
        ("--earth", ">0.1", "earth-continuity", "fail"),
        ("--earth", "OL", "earth-continuity", "fail"),
        ("--earth", "85 mΩ", "earth-continuity", "pass"),
        ("--insulation", ">1", "insulation", "pass"),
        ("--insulation", "<1", "insulation", "fail"),
        ("--insulation", "19.99 MΩ", "insulation", "pass"),
        ("--leakage", "<0.1", "leakage", "pass"),
        ("--leakage", "<0.75", "leakage", "pass"),
        ("--leakage", ">0.05", "leakage", "inconclusive"),
        ("--leakage", ">0.75", "leakage", "fail"),
        ("--leakage", "OL", "leakage", "fail"),
        ("--microwave", "<5", "microwave", "pass"),
        ("--microwave", "<10", "microwave", "inconclusive"),
        ("--microwave", ">4.9", "microwave", "inconclusive"),
        ("--microwave", ">5", "microwave", "fail"),
        ("--rcd-trip", "1x=<10", "rcd-1x", "pass"),
        ("--rcd-trip", "1x=>300", "rcd-1x", "fail"),
        ("--rcd-trip", "1x=>100", "rcd-1x", "inconclusive"),
        ("--rcd-trip", "0.5x=>2000", "rcd-0.5x", "pass"),
        ("--rcd-trip", "0.5x=>1999", "rcd-0.5x", "inconclusive"),
        ("--rcd-trip", "1x=none", "rcd-1x", "fail"),
    ],
)
def test_a_comparator_is_respected(
    option: str, reading: str, check: str, expected: str, capsys: pytest.CaptureFixture[str]
) -> None:
    # How instruments display a reading beyond their range (common practice); limits of the CoP (1 MΩ, 0.1 Ω, 0.75 mA),
    # IEC 60335-2-25 (5 mW/cm²) and BS EN 61008-1 (300 ms; no trip within 2 s at half the rated current).
    rcd = ["--rcd", "general", "--rcd-rating", "30"] if option == "--rcd-trip" else []
    _, answer = judged("--class 1", capsys, *rcd, option, reading)
    assert finding(answer, check)["finding"] == expected
    assert answer["outcome"] != "pass"


@pytest.mark.parametrize("failure", ["--visual bad --earth 0.05", "--visual ok --earth 0.5"])
def test_a_failed_look_or_earth_closes_the_later_checks(failure: str, capsys: pytest.CaptureFixture[str]) -> None:
    # CoP ch. 15, stop rule (memory).
    code, answer = judged(f"--class 1 {failure} --insulation 200 --leakage 0.2 --functional ok", capsys)
    assert (code, answer["outcome"]) == (1, "fail")
    for check in ("insulation", "leakage", "functional"):
        assert finding(answer, check)["finding"] == "not-done"
    assert finding(answer, "insulation")["reading"] == "200"
    assert answer["missing"] == []
    assert any("do not energise" in sentence for sentence in answer["advice"])


def test_a_failed_earth_leaves_what_came_before_it_and_a_failed_polarity_what_comes_after(
    capsys: pytest.CaptureFixture[str],
) -> None:
    # CoP ch. 15: the order of tests (second-hand), the stop rule after look and earth (memory).
    _, answer = judged("--class 1 --type lead --visual ok --earth 0.5 --polarity bad --insulation 200", capsys)
    assert [finding(answer, check)["finding"] for check in ("visual", "earth-continuity", "polarity")] == [
        "pass",
        "fail",
        "not-done",
    ]
    _, answer = judged("--class 1 --type lead --visual ok --earth 0.05 --polarity bad --insulation 200", capsys)
    assert [finding(answer, check)["finding"] for check in ("polarity", "insulation")] == ["fail", "pass"]
    assert answer["outcome"] == "fail"


def test_a_class_that_is_not_known_is_judged_as_class_1_in_everything(capsys: pytest.CaptureFixture[str]) -> None:
    # CoP (second-hand): the Class I row.
    measured = "--visual ok --earth 0.05 --insulation 1.0 --leakage 0.75 --functional ok"
    for options in (measured, "", "--type it --leakage 3.5", "--heating --power-kw 3 --insulation 0.3"):
        first, unknown = (judged(f"--class {name} {options}", capsys) for name in ("1", "unknown"))
        assert first[0] == unknown[0]
        for one, other in zip(first[1]["findings"], unknown[1]["findings"], strict=True):
            assert {**one, "arithmetic": ""} == {**other, "arithmetic": ""}


def test_a_substitute_reading_is_scaled_to_rated_voltage(capsys: pytest.CaptureFixture[str]) -> None:
    # CoP method (second-hand): 0.10 mA at 40 V is 0.575 mA at 230 V; 0.14 mA would be 0.805 mA.
    scaled = "--class 1 --type hand-held --leakage-method substitute --applied-volts 40 --rated-volts 230"
    _, answer = judged(f"{scaled} --leakage 0.10", capsys)
    assert "0.10 mA × 230 V / 40 V = 0.575 mA" in finding(answer, "leakage")["arithmetic"]
    _, answer = judged(f"{scaled} --leakage 0.14", capsys)
    assert finding(answer, "leakage")["finding"] == "fail"


@pytest.mark.parametrize(
    ("options", "visual", "test"),
    [
        # HSE HSG107, 3rd edition: a kettle in a hotel room (second-hand).
        ("--environment public --class 1 --type portable", "P3M", "P1Y"),
        # AS/NZS 3760:2003: a workshop (second-hand).
        ("--rule-book anz --table anz-2003 --environment workshop --class 2 --type portable", None, "P1Y"),
        ("--rule-book anz --table anz-2003 --environment workshop --class 2 --type cord-set", None, "P6M"),
        # DGUV Vorschrift 3, Table 1B: longest where fewer than 2 % fail, in offices and in workshops (published).
        ("--rule-book eu --environment office --class 1 --longer", None, "P2Y"),
        ("--rule-book eu --environment workshop --class 1 --longer", None, "P1Y"),
        ("--rule-book eu --environment office --class 1", None, "P6M"),
    ],
)
def test_an_interval_is_what_its_source_has(
    options: str, visual: str | None, test: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["interval", *options.split(), "--json"]) == 0
    answer = json.loads(capsys.readouterr().out)
    assert answer["test"]["chosen"] == test
    assert visual is None or answer["visual"]["chosen"] == visual
    assert answer["source"]
    assert answer["basis"] in {"published", "second-hand"}


def test_staff_check_what_the_public_uses(capsys: pytest.CaptureFixture[str]) -> None:
    # HSE HSG107, 3rd edition (second-hand).
    assert main(["interval", "--environment", "public", "--class", "1", "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["user_check"]["when"] == ["by staff"]
