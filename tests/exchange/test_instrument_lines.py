"""Lines of invented instruments, read by patterns of a person's own."""

import time
from pathlib import Path

import pytest
from hypothesis import example, given
from hypothesis import strategies as st

from appreg.core.judging.several_readings import parse_readings
from appreg.core.records.checks import Check
from appreg.errors import InputRefused
from appreg.exchange.instrument_lines import InstrumentLines, pattern_of, read_line, reading_typed
from appreg.exchange.instrument_lines_file import read_instrument_lines

TABLE = """
format = "appreg.instrument-lines"
version = 1
decimal = ","
over-range = ["+++"]
skip = ["##"]

[checks]
"Iso" = "insulation"
"Riso" = "insulation"

[units]
earth-continuity = "mΩ"

[values]
"kein" = "none"

[[line]]
pattern = "BOND {earth-continuity}; ISO {insulation} ; {*}"

[[line]]
pattern = "T {check} = {reading} {unit}"

[[line]]
pattern = "RCD {reading}"
check = "rcd-1x"

[[line]]
pattern = "{reading}"
unit = "mA"
"""
LINES = read_instrument_lines(TABLE, "bench.toml")


def typed(line: str, at_hand: Check = Check.LEAKAGE, lines: InstrumentLines = LINES) -> dict[Check, str]:
    parts = [(part.check or at_hand, part) for part in read_line(lines, line)]
    return {check: reading_typed(lines, part, check) for check, part in parts}


@pytest.mark.parametrize(
    ("line", "readings"),
    [
        ("BOND 120; ISO >299 ; x y z", {Check.EARTH_CONTINUITY: "0.120", Check.INSULATION: ">299"}),
        ("\x02BOND 0,12 Ω; ISO +++ ; 17\x03", {Check.EARTH_CONTINUITY: "0.12", Check.INSULATION: "OL"}),
        ("T   Riso =  > 500  kΩ", {Check.INSULATION: ">0.500"}),
        ("T ISO = +++ MΩ", {Check.INSULATION: "OL MΩ"}),
        ("RCD 28,5", {Check.RCD_1X: "28.5"}),
        ("RCD kein", {Check.RCD_1X: "none"}),
        ("0,25", {Check.LEAKAGE: "0.25"}),
        ("250 µA", {Check.LEAKAGE: "0.250"}),
        ("## header", {}),
        (" \t\r", {}),
    ],
)
def test_each_part_of_a_line_becomes_what_a_person_would_type(line: str, readings: dict[Check, str]) -> None:
    assert typed(line) == readings


@pytest.mark.parametrize(
    "line",
    [
        "BOND 120; ISO 299",  # a part is missing
        "BOND 12x0; ISO 299 ; .",
        "BOND; ISO ; .",
        "T bond = 1 Ω",  # no such word
        "T ISO = 1 mA",  # a unit of another kind
        "RCD OVER",
        "pass",
        "-0,2",
        "0.12\N{REPLACEMENT CHARACTER}",
        "[red]=1+1",
        "Łódź – Ελλάδα שלום",
        "9" * 300,
        "BOND " * 300,
    ],
)
def test_a_line_that_no_pattern_takes_whole_is_refused_in_one_sentence(line: str) -> None:
    with pytest.raises(InputRefused, match=r"nothing was taken\.$"):
        typed(line)


def test_a_reading_of_no_named_check_in_another_kind_of_unit_is_refused() -> None:
    with pytest.raises(InputRefused, match="nothing was taken"):
        typed("250 MΩ", Check.LEAKAGE)
    with pytest.raises(InputRefused, match="nothing was taken"):
        typed("250", Check.EARTH_CONTINUITY)  # the pattern says mA


@given(st.text(max_size=220))
@example("0/0")
def test_whatever_comes_is_a_reading_of_a_measured_check_or_refused(line: str) -> None:
    try:
        found = typed(line)
    except InputRefused:
        return
    for check, text in found.items():
        parse_readings(text, check)


def test_no_line_takes_long_whatever_the_pattern() -> None:
    pattern = pattern_of("; ".join(["{*}"] * 40) + "; {reading}")
    lines = InstrumentLines(name="x", patterns=(pattern,) * 100)
    began = time.perf_counter()
    for line in ("; " * 100, ";" * 200, "a; " * 66, "a" * 200):
        with pytest.raises(InputRefused):
            typed(line, lines=lines)
    assert time.perf_counter() - began < 1


def test_keys_are_told_by_the_first_word_of_a_pattern_that_nobody_types_as_a_reading() -> None:
    assert LINES.beginnings == ("BOND", "RCD", "##")
    words = ("0R {reading}", "{reading} Q", ">> {reading}", "OLX {reading}", "A {reading}")
    assert InstrumentLines(name="x", patterns=tuple(map(pattern_of, words))).beginnings == ()


HEAD = 'format = "appreg.instrument-lines"\nversion = 1\n'


@pytest.mark.parametrize(
    ("text", "told"),
    [
        ("", "lacks the line"),
        ('format = "appreg.instrument-lines"\nversion = 2', "line 2"),
        (HEAD, "writes? 1 to 100|gives 0 patterns"),
        (HEAD + "line = 3", "line 3.*must be a list of tables"),
        (HEAD + '[[line]]\npattern = "R {reading} {reading}"', "line 4.*twice"),
        (HEAD + '[[line]]\npattern = "R {reading}{unit}"', "line 4.*nothing between"),
        (HEAD + '[[line]]\npattern = "R {pass}"', "line 4.*no such place"),
        (HEAD + '[[line]]\npattern = "R {polarity}"', "line 4.*no such place"),
        (HEAD + '[[line]]\npattern = "R {reading"', "line 4.*brace"),
        (HEAD + '[[line]]\npattern = "R {*}"', "line 4.*no place for a reading"),
        (HEAD + '[[line]]\npattern = "R {insulation} {unit}"', "line 4.*belongs to"),
        (HEAD + '[[line]]\npattern = "R {reading}"\ncheck = "polarity"', "line 5.*no check that is measured"),
        (HEAD + '[[line]]\npattern = "R {reading}"\ncheck = "insulation"\nunit = "mA"', "line 6.*no unit"),
        (HEAD + '[[line]]\npattern = "R {insulation}"\nunit = "MΩ"', "belong to"),
        (HEAD + '[[line]]\npattern = "R {check} {reading}"\ncheck = "insulation"', "keep one"),
        (HEAD + "[[line]]\npattern = 3", "no text"),
        (HEAD + '[[line]]\nwords = "x"', "not known"),
        (HEAD + 'decimal = ";"\n[[line]]\npattern = "{reading}"', "line 3.*one of"),
        (HEAD + 'skip = [""]\n[[line]]\npattern = "{reading}"', "line 3.*list of words"),
        (HEAD + '[units]\ninsulation = "mA"\n[[line]]\npattern = "{reading}"', "line 4.*no unit of insulation"),
        (HEAD + '[checks]\nx = "visual"\n[[line]]\npattern = "{reading}"', "line 4.*no check"),
        (HEAD + '[port]\nspeed = true\n[[line]]\npattern = "{reading}"', "line 4.*bits a second"),
        (HEAD + '[port]\nparity = "mark"\n[[line]]\npattern = "{reading}"', "line 4.*one of none"),
        (HEAD + '[port]\nencoding = "utf-16"\n[[line]]\npattern = "{reading}"', "line 4.*no encoding"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_the_file_is_told_with_its_place(text: str, told: str) -> None:
    with pytest.raises(InputRefused, match=told):
        read_instrument_lines(text, "bench.toml")


def test_the_file_that_the_developers_page_shows_is_one() -> None:
    page = (Path(__file__).parents[2] / "DEVELOPERS.md").read_text(encoding="utf-8")
    shown = page.partition('```toml\nformat = "appreg.instrument-lines"')[2].partition("```")[0]
    lines = read_instrument_lines(f'format = "appreg.instrument-lines"{shown}', "page.toml")
    assert typed("PE 120 ISO >299 x", lines=lines) == {Check.EARTH_CONTINUITY: "0.120", Check.INSULATION: ">299"}
    assert typed("T Bond = 0.08 Ω", lines=lines) == {Check.EARTH_CONTINUITY: "0.08"}


def test_no_word_stands_for_a_reading_that_the_instrument_did_not_show() -> None:
    lines = read_instrument_lines(TABLE.replace('"kein" = "none"', '"PASS" = "200"'), "bench.toml")
    with pytest.raises(InputRefused, match="“pass” is no reading"):
        read_line(lines, "pass")
