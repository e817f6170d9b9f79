"""The four penalties by which the masks of a code are compared (ISO/IEC 18004, 7.8.3), on whole codes at once."""

from typing import Final

from appreg.paper.qr_codes import MODULES

_RUN: Final = 5
_CORE: Final = 7
"""Modules of a finder pattern: dark and light in the ratio 1 : 1 : 3 : 1 : 1."""
_LIGHT: Final = 4
"""Light modules beside it."""
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
_WINDOWS: Final = ((1, _columns(MODULES - _CORE - _LIGHT + 1)), (MODULES, _rows(MODULES - _CORE - _LIGHT + 1)))


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
    """Count the places that look like a finder pattern with light beside it, before or after."""
    dark = [grid >> place * step for place in range(_CORE)]
    core = dark[0] & ~dark[1] & dark[2] & dark[3] & dark[4] & ~dark[5] & dark[6]
    pair = ~(grid | grid >> step)
    light = pair & pair >> 2 * step
    return (core & light >> _CORE * step & window).bit_count() + (light & core >> _LIGHT * step & window).bit_count()


def _unbalance(grid: int) -> int:
    """Count whole steps of 5 % between the share of dark modules and a half."""
    percent = grid.bit_count() / MODULES**2 * 100
    return int(abs(percent - _HALF_PERCENT) / _STEP_PERCENT)
