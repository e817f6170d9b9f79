"""A failure rate drawn to scale against its target."""

from hypothesis import given
from hypothesis import strategies as st

from appreg.ui.widgets.rate_band import BandPart, BandView, band_cells, scale_of


def parts(view: BandView, width: int = 74) -> list[BandPart]:
    return [part for _, part in band_cells(view, width)[1:-1]]


def test_the_scale_shows_twice_the_target_and_the_band_where_it_can() -> None:
    assert scale_of(BandView(rate=0, lower=0, upper=1.8, target=2)) == 5
    assert scale_of(BandView(rate=6, lower=2.2, upper=12.6, target=2)) == 20
    assert scale_of(BandView(rate=50, lower=10, upper=98, target=2)) == 20


def test_rate_target_and_band_stand_where_they_belong() -> None:
    drawn = parts(BandView(rate=5, lower=2.5, upper=7.5, target=2), 14 + 100)
    assert scale_of(BandView(rate=5, lower=2.5, upper=7.5, target=2)) == 10
    assert drawn.index(BandPart.RATE) == 50
    assert drawn.index(BandPart.TARGET) == 20
    band = [place for place, part in enumerate(drawn) if part is BandPart.BAND]
    assert (band[0], band[-1]) == (25, 75)


def test_a_band_that_goes_on_says_so_with_an_arrow() -> None:
    cells = band_cells(BandView(rate=50, lower=10, upper=98, target=2), 74)
    assert cells[-2] == ("►", BandPart.BEYOND)
    assert BandPart.RATE not in [part for _, part in cells]


@given(
    lower=st.floats(0, 100),
    upper=st.floats(0, 100),
    rate=st.floats(0, 100),
    target=st.floats(0.01, 99),
    width=st.integers(0, 200),
)
def test_the_picture_is_as_wide_as_its_place(
    lower: float, upper: float, rate: float, target: float, width: int
) -> None:
    low, middle, high = sorted((lower, rate, upper))
    cells = band_cells(BandView(rate=middle, lower=low, upper=high, target=target), width)
    assert sum(len(glyph) for glyph, _ in cells) in {0, width}
