from datetime import date

from appreg.ui.widgets.history_plot import ROWS, PlotPart, PlotView, plot_cells

YEARLY = tuple((date(year, 11, 20), value) for year, value in ((2022, 0.02), (2023, 0.04), (2024, 0.06)))


def plotted(**changes: object) -> list[list[tuple[str, PlotPart]]]:
    view = {
        "points": YEARLY,
        "now": (date(2026, 11, 24), 0.1),
        "limit": 0.12,
        "limit_words": "0.12",
        "logarithmic": False,
        **changes,
    }
    return plot_cells(PlotView(**view), 80)  # type: ignore[arg-type]


def places(rows: list[list[tuple[str, PlotPart]]], part: PlotPart) -> list[tuple[int, int]]:
    return sorted((x, y) for y, row in enumerate(rows) for x, (_, each) in enumerate(row) if each is part)


def test_each_reading_is_a_point_and_the_one_at_hand_stands_at_the_right() -> None:
    rows = plotted()
    assert len(rows) == ROWS
    assert len(places(rows, PlotPart.POINT)) == len(YEARLY)
    assert places(rows, PlotPart.NOW)[0][0] == max(x for x, _ in places(rows, PlotPart.NOW)) == 79


def test_a_rising_reading_rises_on_the_plot() -> None:
    heights = [y for _, y in places(plotted(), PlotPart.POINT)]
    assert heights == sorted(heights, reverse=True)
    assert heights[0] > heights[-1]


def test_the_limit_is_a_line_above_what_passes_with_its_figure_beside_it() -> None:
    rows = plotted()
    limit_rows = {y for _, y in places(rows, PlotPart.LIMIT)}
    assert limit_rows == {0}
    assert "".join(glyph for glyph, _ in rows[0]).strip().startswith("0.12")


def test_time_is_drawn_to_scale() -> None:
    columns = [x for x, _ in places(plotted(), PlotPart.POINT)]
    assert abs((columns[1] - columns[0]) - (columns[2] - columns[1])) <= 1


def test_decades_of_insulation_lie_one_under_the_other_on_a_logarithmic_plot() -> None:
    points = tuple((date(2020 + n, 1, 1), 10.0 ** (3 - n)) for n in range(3))
    heights = [y for _, y in places(plotted(points=points, now=None, limit=1.0, logarithmic=True), PlotPart.POINT)]
    assert len(set(heights)) == 3
    assert heights == sorted(heights)


def test_a_single_reading_is_no_history() -> None:
    assert plotted(points=YEARLY[:1], now=None) == []


def test_readings_of_one_day_stand_in_one_column() -> None:
    rows = plotted(points=((date(2026, 11, 24), 0.05),), now=(date(2026, 11, 24), 0.06))
    assert {x for x, _ in [*places(rows, PlotPart.POINT), *places(rows, PlotPart.NOW)]} == {79}
