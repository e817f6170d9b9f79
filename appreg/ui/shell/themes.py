"""The themes: quiet paper and ink, one accent, and three state colours that also differ in lightness.

Every ink stands at 4.5 : 1 or more on paper, on the raised field and on the chosen row. The plain themes
use nothing but the sixteen colours that every terminal has.
"""

from collections.abc import Mapping
from typing import Final

from rich.console import Console
from textual.theme import Theme

from appreg.tasks.desk.keep_settings import Settings

DARK: Final = "appreg-dark"
LIGHT: Final = "appreg-light"
PLAIN_DARK: Final = "appreg-plain-dark"
PLAIN_LIGHT: Final = "appreg-plain-light"

# Grounds are nearly grey, so that a terminal of 256 colours takes them from its ramp of greys.
_DARK_TOKENS: Final = {
    "ink": "#e6e8e3",
    "quiet": "#acb3af",
    "mark": "#87c3f5",
    "pass": "#4fd0b0",
    "fail": "#ff8f6b",
    "doubt": "#f2d060",
    "rule": "#667276",
    "paper": "#14181b",
    "field": "#1e2427",
    "chosen": "#2c3235",
}
_LIGHT_TOKENS: Final = {
    "ink": "#1b2023",
    "quiet": "#525a57",
    "mark": "#0a4f86",
    "pass": "#005d66",
    "fail": "#b81435",
    "doubt": "#483400",
    "rule": "#7f847f",
    "paper": "#f8f7f2",
    "field": "#eeece4",
    "chosen": "#dde5e8",
}
# Exactly the sixteen: a terminal without more maps each to itself. On white only black, red, blue and
# magenta can be read in every palette; magenta keeps red-green blindness out of the verdicts.
_PLAIN_DARK_TOKENS: Final = {
    "ink": "#ffffff",
    "quiet": "#aaaaaa",
    "mark": "#55ffff",
    "pass": "#55ff55",
    "fail": "#ff55ff",
    "doubt": "#ffff55",
    "rule": "#aaaaaa",
    "paper": "#000000",
    "field": "#000000",
    "chosen": "#0000aa",
}
_PLAIN_LIGHT_TOKENS: Final = {
    "ink": "#000000",
    "quiet": "#000000",
    "mark": "#000000",
    "pass": "#0000aa",
    "fail": "#aa0000",
    "doubt": "#aa00aa",
    "rule": "#555555",
    "paper": "#ffffff",
    "field": "#ffffff",
    "chosen": "#ffff55",
}


def has_sixteen_only() -> bool:
    """Tell whether the terminal names itself as one of no more than sixteen colours."""
    return Console(force_terminal=True).color_system == "standard"


def theme_for(settings: Settings, *, sixteen_only: bool) -> str:
    """The name of the theme that settings ask for; sixteen_only: the terminal has no more colours."""
    if settings.plain_colours or sixteen_only:
        return PLAIN_LIGHT if settings.theme == "light" else PLAIN_DARK
    return LIGHT if settings.theme == "light" else DARK


def _theme(name: str, tokens: Mapping[str, str], *, dark: bool) -> Theme:
    """Give Textual's own names the same colours, so that its widgets speak the same language."""
    return Theme(
        name=name,
        primary=tokens["mark"],
        secondary=tokens["quiet"],
        accent=tokens["mark"],
        warning=tokens["doubt"],
        error=tokens["fail"],
        success=tokens["pass"],
        foreground=tokens["ink"],
        background=tokens["paper"],
        surface=tokens["field"],
        panel=tokens["chosen"],
        boost=tokens["field"],
        dark=dark,
        text_alpha=1.0,
        variables={
            **tokens,
            "text": tokens["ink"],
            "text-muted": tokens["quiet"],
            "text-disabled": tokens["quiet"],
            "block-cursor-background": tokens["chosen"],
            "block-cursor-foreground": tokens["ink"],
            "block-cursor-text-style": "bold",
            "block-cursor-blurred-background": tokens["field"],
            "block-cursor-blurred-foreground": tokens["ink"],
            "input-cursor-background": tokens["mark"],
            "input-cursor-foreground": tokens["paper"],
            "input-selection-background": tokens["chosen"],
            "border": tokens["mark"],
            "border-blurred": tokens["rule"],
            "scrollbar": tokens["rule"],
            "scrollbar-hover": tokens["quiet"],
            "scrollbar-active": tokens["mark"],
            "scrollbar-background": tokens["paper"],
            "scrollbar-background-hover": tokens["paper"],
            "scrollbar-background-active": tokens["paper"],
            "scrollbar-corner-color": tokens["paper"],
        },
    )


THEMES: Final = (
    _theme(DARK, _DARK_TOKENS, dark=True),
    _theme(LIGHT, _LIGHT_TOKENS, dark=False),
    _theme(PLAIN_DARK, _PLAIN_DARK_TOKENS, dark=True),
    _theme(PLAIN_LIGHT, _PLAIN_LIGHT_TOKENS, dark=False),
)
