"""Fewest days that meet every window: exact, by always taking the earliest end not yet met."""

from collections.abc import Iterable

from appreg.schedule.day_grid import NEVER, Window


def fewest_days(windows: Iterable[Window]) -> list[int]:
    """The fewest numbered days such that each window holds at least one, each as late as it can be.

    Optimal: the ends chosen belong to windows that do not overlap, so no plan has fewer.
    """
    chosen: list[int] = []
    latest = -1
    for window in sorted(windows, key=lambda window: window.last):
        if window.last == NEVER:
            break
        if window.first > latest:
            latest = window.last
            chosen.append(latest)
    return chosen
