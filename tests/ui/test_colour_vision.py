"""The states can be told apart by everybody, and read where a terminal has fewer colours.

Colour vision deficiency: Machado, Oliveira and Fernandes, "A Physiologically-based Model for Simulation of
Color Vision Deficiency", IEEE TVCG 15 (2009), matrices of severity 1.0 for linear sRGB. Distances: CIE 1976
L*a*b* under D65 (ISO/CIE 11664-4); a just noticeable difference is 2.3 (Mahy and others 1994).
"""

import math
from collections.abc import Sequence
from itertools import combinations, product
from typing import Final

import pytest
from rich._palettes import EIGHT_BIT_PALETTE
from rich.color import Color as TerminalColour
from rich.color import ColorSystem
from textual.color import Color
from textual.theme import Theme

from appreg.ui.shell.themes import DARK, LIGHT, THEMES
from tests.ui.test_themes import GROUNDS, INKS

Matrix = Sequence[Sequence[float]]

AS_IT_IS: Final[Matrix] = ((1, 0, 0), (0, 1, 0), (0, 0, 1))
VISIONS: Final[dict[str, Matrix]] = {
    "usual": AS_IT_IS,
    "protanopia": (
        (0.152286, 1.052583, -0.204868),
        (0.114503, 0.786281, 0.099216),
        (-0.003882, -0.048116, 1.051998),
    ),
    "deuteranopia": (
        (0.367322, 0.860646, -0.227968),
        (0.280085, 0.672501, 0.047413),
        (-0.011820, 0.042940, 0.968881),
    ),
}
VGA: Final = (
    *("#000000", "#aa0000", "#00aa00", "#aa5500", "#0000aa", "#aa00aa", "#00aaaa", "#aaaaaa"),
    *("#555555", "#ff5555", "#55ff55", "#ffff55", "#5555ff", "#ff55ff", "#55ffff", "#ffffff"),
)
XTERM: Final = (
    *("#000000", "#cd0000", "#00cd00", "#cdcd00", "#0000ee", "#cd00cd", "#00cdcd", "#e5e5e5"),
    *("#7f7f7f", "#ff0000", "#00ff00", "#ffff00", "#5c5cff", "#ff00ff", "#00ffff", "#ffffff"),
)
"""xterm's own sixteen, from its resource file XTerm-col.ad."""
JUST_NOTICEABLE: Final = 2.3
STATES: Final = ("pass", "fail", "doubt", "ink")
FULL = (DARK, LIGHT)
BY_THEME = pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)


def linear(colour: str) -> list[float]:
    """IEC 61966-2-1: from sRGB to linear light."""
    parts = [channel / 255 for channel in Color.parse(colour).rgb]
    return [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]


def seen(colour: str, vision: Matrix) -> tuple[float, float, float]:
    """L*, a*, b* of a colour as somebody sees it."""
    light = linear(colour)
    red, green, blue = (min(1.0, max(0.0, sum(map(float.__mul__, map(float, row), light)))) for row in vision)
    x = (0.4124564 * red + 0.3575761 * green + 0.1804375 * blue) / 0.95047
    y = 0.2126729 * red + 0.7151522 * green + 0.0721750 * blue
    z = (0.0193339 * red + 0.1191920 * green + 0.9503041 * blue) / 1.08883
    fx, fy, fz = (
        part ** (1 / 3) if part > (6 / 29) ** 3 else part / (3 * (6 / 29) ** 2) + 4 / 29 for part in (x, y, z)
    )
    return 116 * fy - 16, 500 * (fx - fy), 200 * (fy - fz)


def difference(one: str, other: str, vision: Matrix) -> float:
    return math.dist(seen(one, vision), seen(other, vision))


def contrast(one: Sequence[int], other: Sequence[int]) -> float:
    """WCAG 2.1."""

    def luminance(rgb: Sequence[int]) -> float:
        parts = [
            part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in (c / 255 for c in rgb)
        ]
        return 0.2126 * parts[0] + 0.7152 * parts[1] + 0.0722 * parts[2]

    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def as_sent(colour: str, system: ColorSystem) -> tuple[int, int, int]:
    """What a terminal with fewer colours shows for a colour; the sixteen as IBM's VGA text mode had them."""
    number = TerminalColour.parse(colour).downgrade(system).number
    assert number is not None
    if system is ColorSystem.STANDARD:
        return Color.parse(VGA[number]).rgb
    red, green, blue = EIGHT_BIT_PALETTE[number]
    return red, green, blue


def test_the_matrices_leave_white_white_and_grey_grey() -> None:
    for vision in VISIONS.values():
        for row in vision:
            assert sum(row) == pytest.approx(1, abs=2e-6)


def test_lab_of_the_primaries_is_as_published() -> None:
    # sRGB red and green under D65 in CIELAB: 53.24, 80.09, 67.20 and 87.73, -86.18, 83.18 (Lindbloom's calculator).
    assert seen("#ff0000", AS_IT_IS) == pytest.approx((53.24, 80.09, 67.20), abs=0.02)
    assert seen("#00ff00", AS_IT_IS) == pytest.approx((87.73, -86.18, 83.18), abs=0.02)


def test_pure_red_and_green_come_nearer_for_those_who_lack_one_of_them() -> None:
    usual = difference("#aa0000", "#005500", AS_IT_IS)
    assert difference("#aa0000", "#005500", VISIONS["deuteranopia"]) < usual / 2


@BY_THEME
@pytest.mark.parametrize("vision", VISIONS)
@pytest.mark.parametrize(("one", "other"), list(combinations(STATES, 2)))
def test_no_two_states_look_alike_to_anybody(theme: Theme, vision: str, one: str, other: str) -> None:
    # The sixteen leave less room; there as everywhere each state is also a word.
    least = 6 if theme.name in FULL else 3
    apart = difference(theme.variables[one], theme.variables[other], VISIONS[vision])
    assert apart >= least * JUST_NOTICEABLE


@BY_THEME
@pytest.mark.parametrize(("ink", "ground"), list(product(INKS, GROUNDS)))
def test_text_can_be_read_with_fewer_colours(theme: Theme, ink: str, ground: str) -> None:
    # A terminal of sixteen colours is given the plain themes, one of 256 the full ones.
    system = ColorSystem.EIGHT_BIT if theme.name in FULL else ColorSystem.STANDARD
    one, other = (as_sent(theme.variables[token], system) for token in (ink, ground))
    assert contrast(one, other) >= 4.5


@pytest.mark.parametrize("theme", [theme for theme in THEMES if theme.name not in FULL], ids=lambda theme: theme.name)
def test_a_plain_theme_is_made_of_the_sixteen_colours_alone(theme: Theme) -> None:
    for token in (*INKS, *GROUNDS, "rule"):
        colour = theme.variables[token]
        assert as_sent(colour, ColorSystem.STANDARD) == Color.parse(colour).rgb


@pytest.mark.parametrize("theme", [theme for theme in THEMES if theme.name not in FULL], ids=lambda theme: theme.name)
def test_the_chosen_row_differs_from_paper_in_sixteen_colours(theme: Theme) -> None:
    paper, chosen = (as_sent(theme.variables[token], ColorSystem.STANDARD) for token in ("paper", "chosen"))
    assert paper != chosen


@pytest.mark.parametrize("theme", [theme for theme in THEMES if theme.name not in FULL], ids=lambda theme: theme.name)
@pytest.mark.parametrize(
    ("ink", "ground"), [*product(INKS, ("paper", "field")), *product(("ink", "quiet", "mark"), ("chosen",))]
)
def test_plain_text_can_be_read_in_the_palette_of_xterm_too(theme: Theme, ink: str, ground: str) -> None:
    # Verdicts never stand on the chosen row: there the words alone carry them.
    numbers = [VGA.index(theme.variables[token]) for token in (ink, ground)]
    one, other = (Color.parse(XTERM[number]).rgb for number in numbers)
    assert contrast(one, other) >= 4.5


@BY_THEME
@pytest.mark.parametrize("ground", ["paper", "field"])
def test_rules_and_scroll_bars_can_be_seen(theme: Theme, ground: str) -> None:
    # WCAG 2.1, success criterion 1.4.11: 3 : 1 for what is drawn rather than written.
    assert contrast(Color.parse(theme.variables["rule"]).rgb, Color.parse(theme.variables[ground]).rgb) >= 3
