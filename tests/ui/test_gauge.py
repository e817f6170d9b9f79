from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.readings import Unit, parse_reading
from appreg.ui.widgets.gauge import GaugePart, GaugeView, gauge_cells, scale_for

EARTH = GaugeView(unit=Unit.OHM, high=Decimal("0.1208"))
INSULATION = GaugeView(unit=Unit.MEGOHM, low=Decimal(1))


def drawn(view: GaugeView, width: int = 32) -> str:
    return "".join(cell.glyph for cell in gauge_cells(view, width))


def place_of(view: GaugeView, part: GaugePart, width: int = 32) -> int:
    return next(place for place, cell in enumerate(gauge_cells(view, width)) if cell.part is part)


def with_reading(view: GaugeView, typed: str) -> GaugeView:
    return GaugeView(unit=view.unit, low=view.low, high=view.high, reading=parse_reading(typed, view.unit))


def test_an_upper_limit_stands_at_two_thirds_with_the_refused_side_at_its_right() -> None:
    assert drawn(EARTH) == "├" + "═" * 20 + "║" + "·" * 9 + "┤"


def test_a_lower_limit_refuses_what_is_left_of_it_on_a_logarithmic_scale() -> None:
    cells = gauge_cells(INSULATION, 32)
    notch = place_of(INSULATION, GaugePart.NOTCH)
    assert {cell.part for cell in cells[1:notch]} == {GaugePart.REFUSED}
    assert {cell.part for cell in cells[notch + 1 : -1]} == {GaugePart.ALLOWED}


def test_each_decade_of_insulation_takes_the_same_room() -> None:
    scale = scale_for(INSULATION)
    assert scale is not None
    steps = [scale.fraction(Decimal(10) ** (n + 1)) - scale.fraction(Decimal(10) ** n) for n in range(-2, 3)]
    assert steps == pytest.approx([0.2] * 5)


def test_a_linear_gauge_is_drawn_to_scale() -> None:
    half = with_reading(EARTH, "0.0604")
    inner = 30
    assert place_of(half, GaugePart.READING) - 1 == pytest.approx(inner * 0.0604 / (0.1208 * 1.5), abs=1)


def test_a_reading_at_the_limit_stands_on_the_notch() -> None:
    assert place_of(with_reading(EARTH, "0.1208"), GaugePart.READING) == place_of(EARTH, GaugePart.NOTCH)


@pytest.mark.parametrize(("typed", "side"), [("0.1209", 1), ("0.1207", -1)])
def test_a_reading_just_beside_the_limit_never_hides_on_the_notch(typed: str, side: int) -> None:
    notch = place_of(EARTH, GaugePart.NOTCH)
    assert place_of(with_reading(EARTH, typed), GaugePart.READING) == notch + side


def test_a_reading_beyond_the_scale_is_an_arrow_at_its_end() -> None:
    assert drawn(with_reading(EARTH, "1.5"))[-2:] == "►┤"


def test_over_range_is_an_arrow_at_the_end() -> None:
    assert drawn(with_reading(EARTH, "OL"))[-2:] == "►┤"


def test_a_comparator_is_an_arrow_from_where_the_figure_stands() -> None:
    view = with_reading(INSULATION, ">299")
    assert drawn(view)[place_of(view, GaugePart.READING)] == "►"
    assert place_of(view, GaugePart.READING) > place_of(INSULATION, GaugePart.NOTCH)
    below = with_reading(EARTH, "<0.05")
    assert drawn(below)[place_of(below, GaugePart.READING)] == "◄"


def test_zero_insulation_stands_at_the_start_of_the_logarithmic_scale() -> None:
    assert drawn(with_reading(INSULATION, "0"))[1] == "◄"


def test_two_limits_refuse_both_sides() -> None:
    view = GaugeView(unit=Unit.MILLISECOND, low=Decimal(130), high=Decimal(500))
    parts = [cell.part for cell in gauge_cells(view, 40)]
    assert parts.count(GaugePart.NOTCH) == 2
    assert parts[1] is GaugePart.REFUSED
    assert parts[-2] is GaugePart.REFUSED


def test_the_uncertainty_is_a_band_round_the_reading_that_leaves_the_notch_visible() -> None:
    view = GaugeView(
        unit=Unit.OHM,
        high=Decimal("0.1208"),
        reading=parse_reading("0.11", Unit.OHM),
        band=(Decimal("0.09"), Decimal("0.13")),
    )
    parts = [cell.part for cell in gauge_cells(view, 42)]
    assert GaugePart.BAND in parts
    assert GaugePart.NOTCH in parts


def test_without_a_limit_or_room_nothing_is_drawn() -> None:
    assert gauge_cells(GaugeView(unit=Unit.OHM), 30) == ()
    assert gauge_cells(EARTH, 6) == ()


def test_every_glyph_is_in_code_page_437_so_a_plain_terminal_has_it() -> None:
    for view in (with_reading(EARTH, "0.08"), with_reading(INSULATION, ">299"), with_reading(EARTH, "<0.05")):
        for glyph in drawn(view):
            assert glyph in "■►◄" or glyph.encode("cp437")


@given(st.decimals(min_value=0, max_value=1000, places=3, allow_nan=False), st.integers(7, 100))
def test_the_pointer_stands_on_the_side_of_the_limit_that_the_reading_proves(value: Decimal, width: int) -> None:
    limit = Decimal("0.5")
    view = GaugeView(unit=Unit.OHM, high=limit, reading=parse_reading(f"{value:f}", Unit.OHM))
    notch = place_of(GaugeView(unit=Unit.OHM, high=limit), GaugePart.NOTCH, width)
    pointer = place_of(view, GaugePart.READING, width)
    if value > limit:
        assert pointer > notch or notch == width - 2
    elif value < limit:
        assert pointer < notch or notch == 1
    else:
        assert pointer == notch


@given(
    st.decimals(min_value=0, max_value=2, places=4, allow_nan=False), st.decimals(min_value=0, max_value=2, places=4)
)
def test_a_larger_reading_never_stands_further_left(one: Decimal, other: Decimal) -> None:
    smaller, larger = sorted((one, other))
    places = [place_of(with_reading(EARTH, f"{each:f}"), GaugePart.READING) for each in (smaller, larger)]
    assert places == sorted(places)
