"""What fills a day out: never worth less than the best of all fillings, and the best itself where inspections are whole."""

from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from appreg.schedule.crew_fullest import Offer, fullest

SHARES = st.floats(0.05, 1.0)
PRICES = st.floats(0.0, 2.0)
INSPECTIONS = st.lists(st.tuples(SHARES, PRICES, st.integers(1, 3)), min_size=1, max_size=5)


def best_filling(inspections: list[tuple[float, float, int]]) -> float:
    """The most that whole inspections are worth, of every way to fill the day."""
    ways = product(*(range(most + 1) for _, _, most in inspections))
    return max(
        sum(number * price for number, (_, price, _) in zip(way, inspections, strict=True))
        for way in ways
        if sum(number * share for number, (share, _, _) in zip(way, inspections, strict=True)) <= 1
    )


@settings(max_examples=150, deadline=None)
@given(INSPECTIONS)
def test_a_day_out_is_worth_as_much_as_the_best_of_all_ways_to_fill_it(
    inspections: list[tuple[float, float, int]],
) -> None:
    offers = [Offer(0, number, share, most) for number, (share, _, most) in enumerate(inspections)]
    prices = [[price for _, price, _ in inspections]]
    best = best_filling(inspections)
    whole = fullest(offers, prices, 0.0, is_split=False)
    assert abs(whole.worth - best) < 1e-6
    assert abs(sum(number * prices[0][offer.inspection] for offer, number in whole.what) - whole.worth) < 1e-6
    assert fullest(offers, prices, 0.0, is_split=True).worth >= best - 1e-6


def test_a_filling_that_is_worth_no_more_than_asked_for_is_not_told() -> None:
    offers = [Offer(0, 0, 0.6, 1), Offer(0, 1, 0.6, 1)]
    prices = [[0.9, 0.8]]
    assert fullest(offers, prices, 0.9, is_split=False).what == []
    assert fullest(offers, prices, 0.9, is_split=True).worth > 0.9
