"""The strip of weeks: a row a year, a bar a week, to scale."""

from datetime import date

from appreg.ui.widgets.week_strip import BARS, LABEL, VisitMark, WeekPart, WeekView, week_rows


def drawn(view: WeekView) -> list[str]:
    return ["".join(glyph for glyph, _ in row) for row in week_rows(view)]


def test_a_row_a_year_with_a_cell_a_week_between_start_and_end() -> None:
    rows = drawn(WeekView(start=date(2026, 11, 24), end=date(2028, 1, 10), visits=()))
    assert rows[0][LABEL:].startswith("Jan Feb")
    assert [row[:LABEL].strip() for row in rows[1:]] == ["2026", "2027", "2028"]
    assert [row.count("·") for row in rows[1:]] == [53 - 46, 53, 2]


def test_bars_are_to_the_scale_of_the_fullest_week_and_add_up_within_a_week() -> None:
    visits = (
        VisitMark(date(2027, 1, 4), 100, overfull=False),
        VisitMark(date(2027, 1, 5), 100, overfull=False),
        VisitMark(date(2027, 3, 1), 50, overfull=True),
    )
    view = WeekView(start=date(2027, 1, 1), end=date(2027, 12, 31), visits=visits, chosen=date(2027, 1, 5))
    (_, year) = week_rows(view)
    assert year[1] == (BARS[7], WeekPart.CHOSEN)
    assert year[1 + 8] == (BARS[1], WeekPart.OVERFULL)
    assert sum(part is WeekPart.IDLE for _, part in year) == 51


def test_months_stand_above_the_weeks_they_begin_in() -> None:
    (months, *_) = drawn(WeekView(start=date(2027, 1, 1), end=date(2027, 12, 31), visits=()))
    for name, month in (("Jan", 1), ("Jun", 6), ("Dec", 12)):
        week = (date(2027, month, 1).timetuple().tm_yday - 1) // 7
        assert months[LABEL + week :].startswith(name)
