"""The two themes: quiet paper and ink, one accent, and four state colours that also differ in lightness.

Every ink stands at 4.5 : 1 or more on paper, on the raised field and on the chosen row.
"""

from typing import Final

from textual.theme import Theme

DARK: Final = "appreg-dark"
LIGHT: Final = "appreg-light"

INKS: Final = ("ink", "quiet", "mark", "pass", "fail", "doubt")
"""Tokens for text."""
GROUNDS: Final = ("paper", "field", "chosen")
"""Tokens that text stands on."""

_DARK_TOKENS: Final = {
    "ink": "#dfe2dc",
    "quiet": "#a3aca7",
    "mark": "#86c5ee",
    "pass": "#5fcfae",
    "fail": "#ff9a76",
    "doubt": "#ecc95a",
    "rule": "#4a5457",
    "paper": "#14181b",
    "field": "#1e2428",
    "chosen": "#2a343a",
}
_LIGHT_TOKENS: Final = {
    "ink": "#1b2023",
    "quiet": "#525a57",
    "mark": "#0a5282",
    "pass": "#005c47",
    "fail": "#992d00",
    "doubt": "#654e00",
    "rule": "#a9aea8",
    "paper": "#f8f7f2",
    "field": "#eeece4",
    "chosen": "#dde5e8",
}


def _theme(name: str, tokens: dict[str, str], *, dark: bool) -> Theme:
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


THEMES: Final = (_theme(DARK, _DARK_TOKENS, dark=True), _theme(LIGHT, _LIGHT_TOKENS, dark=False))
