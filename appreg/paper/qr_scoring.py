"""The four penalties by which the masks of a code are compared (ISO/IEC 18004, 7.8.3), on whole codes at once."""

from typing import Final

from appreg.paper.qr_codes import MODULES

_RUN: Final = 5
_FINDER: Final = "10111010000"
"""Dark and light in the ratio 1 : 1 : 3 : 1 : 1 beside four light modules."""
_HALF_PERCENT: Final = 50
_STEP_PERCENT: Final = 5


def _columns(count: int) -> int:
    """Select the first columns of every row."""
    return sum(((1 << count) - 1) << y * MODULES for y in range(MODULES))


def _rows(count: int) -> int:
    """Select the first rows."""
    return (1 << count * MODULES) - 1


_PAIRS: Final = (
    (1, _columns(MODULES - 1), _columns(MODULES - _RUN + 1)),
    (MODULES, _rows(MODULES - 1), _rows(MODULES - _RUN + 1)),
)
_WINDOWS: Final = ((1, _columns(MODULES - len(_FINDER) + 1)), (MODULES, _rows(MODULES - len(_FINDER) + 1)))


def penalty(grid: int) -> int:
    """Return the penalty of a code; bit row * MODULES + column of the grid is a dark module."""
    alike = [~(grid ^ grid >> step) & pairs for step, pairs, _ in _PAIRS]
    runs = sum(_runs(same, step, starts) for same, (step, _, starts) in zip(alike, _PAIRS, strict=True))
    across, down = alike
    blocks = (across & across >> MODULES & down & down >> 1).bit_count()
    finders = sum(_finders(grid, step, window) for step, window in _WINDOWS)
    return runs + 3 * blocks + 40 * finders + 10 * _unbalance(grid)


def _runs(same: int, step: int, starts: int) -> int:
    """Score runs of five and more modules alike: length less two each."""
    twice = same & same >> step
    five = twice & twice >> 2 * step & starts
    return five.bit_count() + 2 * (five & ~(five << step)).bit_count()


def _finders(grid: int, step: int, window: int) -> int:
    """Count the places that look like a finder pattern, in either direction."""
    forwards = backwards = window
    for ahead, back, shift in zip(_FINDER, reversed(_FINDER), range(0, len(_FINDER) * step, step), strict=True):
        dark = grid >> shift
        forwards &= dark if ahead == "1" else ~dark
        backwards &= dark if back == "1" else ~dark
    return forwards.bit_count() + backwards.bit_count()


def _unbalance(grid: int) -> int:
    """Count whole steps of 5 % between the share of dark modules and a half."""
    percent = grid.bit_count() / MODULES**2 * 100
    return int(abs(percent - _HALF_PERCENT) / _STEP_PERCENT)
