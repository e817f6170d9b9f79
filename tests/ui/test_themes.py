"""Text can be read: contrast by the formula of WCAG 2.1 (success criterion 1.4.3, 4.5 : 1 for text)."""

import pytest
from textual.color import Color
from textual.theme import Theme

from appreg.ui.shell.themes import THEMES

INKS = ("ink", "quiet", "mark", "pass", "fail", "doubt")
"""Tokens for text."""
GROUNDS = ("paper", "field", "chosen")
"""Tokens that text stands on."""

LEAST = 4.5


def luminance(colour: str) -> float:
    """Relative luminance as WCAG 2.1 defines it, from sRGB."""
    parts = [channel / 255 for channel in Color.parse(colour).rgb]
    red, green, blue = (part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast(one: str, other: str) -> float:
    bright, dark = sorted((luminance(one), luminance(other)), reverse=True)
    return (bright + 0.05) / (dark + 0.05)


def test_black_on_white_is_21_to_1_as_published() -> None:
    assert contrast("#000000", "#ffffff") == pytest.approx(21)


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
@pytest.mark.parametrize("ink", INKS)
@pytest.mark.parametrize("ground", GROUNDS)
def test_every_ink_can_be_read_on_every_ground(theme: Theme, ink: str, ground: str) -> None:
    assert contrast(theme.variables[ink], theme.variables[ground]) >= LEAST


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_the_cursor_in_a_field_can_be_read(theme: Theme) -> None:
    cursor, under = theme.variables["input-cursor-background"], theme.variables["input-cursor-foreground"]
    assert contrast(cursor, under) >= LEAST


@pytest.mark.parametrize("theme", THEMES, ids=lambda theme: theme.name)
def test_pass_and_fail_differ_in_more_than_red_against_green(theme: Theme) -> None:
    good, bad = Color.parse(theme.variables["pass"]), Color.parse(theme.variables["fail"])
    assert abs(good.b - bad.b) > 40  # blue is what red-green blindness leaves
