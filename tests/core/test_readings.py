from decimal import Decimal as D

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.readings import Comparator, Reading, Unit, parse_reading
from appreg.core.values.text import is_hidden
from appreg.errors import InputRefused

EQUAL, LESS, GREATER = Comparator.EQUAL, Comparator.LESS, Comparator.GREATER


@pytest.mark.parametrize(
    ("typed", "unit", "comparator", "value"),
    [
        ("0.08", Unit.OHM, EQUAL, "0.08"),
        (">299", Unit.MEGOHM, GREATER, "299"),
        ("< 0.05", Unit.OHM, LESS, "0.05"),
        ("<0.05", Unit.OHM, LESS, "0.05"),
        ("19.99 MΩ", Unit.MEGOHM, EQUAL, "19.99"),
        ("19.99MΩ", Unit.MEGOHM, EQUAL, "19.99"),
        ("19.99 M\u2126", Unit.MEGOHM, EQUAL, "19.99"),
        ("85 mΩ", Unit.OHM, EQUAL, "0.085"),
        ("85 mohm", Unit.OHM, EQUAL, "0.085"),
        ("0,07", Unit.OHM, EQUAL, "0.07"),
        (",5", Unit.OHM, EQUAL, "0.5"),
        (">2,5", Unit.MEGOHM, GREATER, "2.5"),
        ("0R08", Unit.OHM, EQUAL, "0.08"),
        ("1R", Unit.OHM, EQUAL, "1.0"),
        ("0.08 Ohms", Unit.OHM, EQUAL, "0.08"),
        ("2M", Unit.MEGOHM, EQUAL, "2.0"),
        ("19.99M", Unit.MEGOHM, EQUAL, "19.99"),
        ("> 299 M", Unit.MEGOHM, GREATER, "299"),
        (">2G", Unit.MEGOHM, GREATER, "2000"),
        ("0.08 R", Unit.OHM, EQUAL, "0.08"),
        ("300K", Unit.MEGOHM, EQUAL, "0.3000"),
        ("4k7", Unit.OHM, EQUAL, "4700"),
        (">200 MOHM", Unit.MEGOHM, GREATER, "200"),
        ("0.2 ohm", Unit.OHM, EQUAL, "0.2"),
        ("1.2 kΩ", Unit.OHM, EQUAL, "1200"),
        ("500 kΩ", Unit.MEGOHM, EQUAL, "0.5"),
        ("> 2 GΩ", Unit.MEGOHM, GREATER, "2000"),
        ("250 µA", Unit.MILLIAMP, EQUAL, "0.25"),
        ("250 \u03bcA", Unit.MILLIAMP, EQUAL, "0.25"),
        ("250 uA", Unit.MILLIAMP, EQUAL, "0.25"),
        ("0.002 A", Unit.MILLIAMP, EQUAL, "2"),
        ("0.028 s", Unit.MILLISECOND, EQUAL, "28"),
        ("28 ms", Unit.MILLISECOND, EQUAL, "28"),
        ("50 W/m²", Unit.MILLIWATT_PER_CM2, EQUAL, "5"),
        ("5 mW/cm2", Unit.MILLIWATT_PER_CM2, EQUAL, "5"),
        (".05", Unit.OHM, EQUAL, "0.05"),
        (" 0.00 ", Unit.OHM, EQUAL, "0.00"),
    ],
)
def test_a_display_is_read_exactly_in_the_unit_of_the_check(
    typed: str, unit: Unit, comparator: Comparator, value: str
) -> None:
    reading = parse_reading(typed, unit)
    assert (reading.comparator, reading.value, reading.unit) == (comparator, D(value), unit)
    assert reading.typed == typed.strip()


@pytest.mark.parametrize("typed", ["OL", "ol", "O.L", "O/L", "OL MΩ", ">OL"])
def test_an_over_range_display_says_nothing_of_the_range(typed: str) -> None:
    reading = parse_reading(typed, Unit.MEGOHM)
    assert (reading.comparator, reading.value) == (GREATER, None)


@pytest.mark.parametrize(
    ("typed", "unit", "reason"),
    [
        ("1,234", Unit.OHM, r"may have a decimal comma or a thousand; type 1\.234 or 1234"),
        ("200 mohm", Unit.MEGOHM, "says milliohms, which no insulation has; type it in MΩ"),
        ("200 mΩ", Unit.MEGOHM, "says milliohms"),
        ("0R08", Unit.MILLIAMP, "not a figure"),
        ("0.3 M", Unit.MILLIAMP, "not in a unit of current"),
        ("200m", Unit.MEGOHM, "not in a unit of resistance"),
        ("", Unit.OHM, "is empty"),
        ("   ", Unit.OHM, "is empty"),
        ("-0.1", Unit.OHM, "is negative"),
        ("\u22120.1", Unit.OHM, "is negative"),
        ("\u0661\u0662", Unit.OHM, "digits other than 0 to 9"),
        ("\uff11.5", Unit.OHM, "digits other than 0 to 9"),
        ("\u00b2", Unit.OHM, "digits other than 0 to 9"),
        ("28 ms", Unit.OHM, "not in a unit of resistance; type it in Ω"),
        ("0.3 Ω", Unit.MILLIAMP, "not in a unit of current; type it in mA"),
        ("1 kA", Unit.MILLIAMP, "not in a unit of current"),
        ("≤0.1", Unit.OHM, "type < or > alone"),
        (">=299", Unit.MEGOHM, "type < or > alone"),
        ("1e3", Unit.OHM, "unit of resistance"),
        ("0x1F", Unit.OHM, "Reading '0x1F'"),
        ("1 000", Unit.OHM, "not a figure"),
        ("nan", Unit.OHM, "not a figure"),
        ("inf", Unit.MEGOHM, "not a figure"),
        ("ok", Unit.OHM, "not a figure"),
        ("1.2.3", Unit.OHM, "not a figure"),
        ("1234567890123", Unit.OHM, "more than 12 digits"),
        ("0.1\x1b[31m", Unit.OHM, "Reading"),
    ],
)
def test_what_is_not_a_reading_is_refused_with_the_reason(typed: str, unit: Unit, reason: str) -> None:
    with pytest.raises(InputRefused, match=reason):
        parse_reading(typed, unit)


@given(st.text(max_size=30), st.sampled_from(Unit))
def test_any_text_is_read_or_refused_in_one_safe_sentence(text: str, unit: Unit) -> None:
    said = said_of(text, unit)
    assert said.endswith(".") or said == "read"
    assert not any(is_hidden(character) for character in said)


def said_of(text: str, unit: Unit) -> str:
    try:
        reading = parse_reading(text, unit)
    except InputRefused as refusal:
        return str(refusal)
    return "read" if reading.value is None or reading.value >= 0 else "negative"


FIGURES = st.decimals(min_value=0, max_value=D(99999999), places=3, allow_nan=False, allow_infinity=False)


def written(reading: Reading) -> str:
    """A reading with its unit, as a display shows it."""
    sign = "" if reading.comparator is Comparator.EQUAL else reading.comparator.value
    return f"OL {reading.unit}" if reading.value is None else f"{sign}{reading.value:f} {reading.unit}"


@given(st.sampled_from(Comparator), FIGURES, st.sampled_from(Unit))
def test_a_printed_reading_reads_back_as_the_same(comparator: Comparator, value: D, unit: Unit) -> None:
    reading = Reading(typed="", comparator=comparator, value=abs(value), unit=unit)
    back = parse_reading(written(reading), unit)
    assert (back.comparator, back.value, back.unit) == (reading.comparator, reading.value, reading.unit)


@given(st.sampled_from(Unit))
def test_a_printed_over_range_reading_reads_back_as_the_same(unit: Unit) -> None:
    assert parse_reading(written(parse_reading("OL", unit)), unit).value is None
