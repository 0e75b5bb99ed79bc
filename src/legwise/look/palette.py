"""The colours of every page, light and dark, and why these.

Hues come from the eight colours of Okabe and Ito ("Color Universal Design", 2008), which stay apart for the common
kinds of colour blindness. Two of them carry the page: **blue is what was flown, amber is what was owed**; blue against
amber is the pair that protanopes, deuteranopes and tritanopes all keep apart, and their dashes differ too, so they
survive a grey printer. Vermilion marks "outside", bluish green "within". The reddish purple is left out: it reads as
the route colour of cockpit displays, which these pages do not imitate. No meaning hangs on a colour alone: a verdict
has its word and its shape, a line its dash, a stretch its label and its hatching. Hues are darkened on light paper and
lightened on dark paper until text has a contrast of 4.5 to 1 and a line 3 to 1 (WCAG 2.2, 1.4.3 and 1.4.11);
tests/report holds them to that.

Light values are all different, so a page can turn a figure dark by swapping colour for colour.
"""

from __future__ import annotations

from typing import Final, NamedTuple


class Colour(NamedTuple):
    """One colour by its role: on light paper and on dark paper, as ``#rrggbb``."""

    light: str
    dark: str


PALETTE: Final[dict[str, Colour]] = {
    "paper": Colour("#faf8f3", "#12171d"),
    "card": Colour("#fffefb", "#1a2129"),
    "ink": Colour("#1b2430", "#edf0f2"),
    "quiet": Colour("#525d6a", "#a9b4bf"),
    "rule": Colour("#d8d4c8", "#38434e"),
    "grid": Colour("#e9e6dd", "#28323c"),
    "flown": Colour("#0069a8", "#63b8f0"),
    "owed": Colour("#9a6200", "#e8b24a"),
    "planned": Colour("#6a7280", "#8f9aa6"),
    "band": Colour("#f5e8c8", "#3b3320"),
    "corridor": Colour("#e6ebe9", "#222c33"),
    "within": Colour("#006b4c", "#52cba0"),
    "outside": Colour("#b04300", "#ff9c62"),
    "undecided": Colour("#655600", "#e5d84c"),
    "chosen": Colour("#b9d9ee", "#27506c"),
    "stretch-leg": Colour("#cfe0ec", "#2b4357"),
    "stretch-approach": Colour("#a8cbe3", "#35607f"),
    "stretch-direct": Colour("#d3e6d6", "#2f4a3a"),
    "stretch-vectors": Colour("#f3dcae", "#5a4418"),
    "stretch-hold": Colour("#ece5a6", "#4c4719"),
    "stretch-missed": Colour("#ecd0bb", "#5c3a27"),
    "stretch-none": Colour("#e5e3dd", "#2d333a"),
}

FONT_STACK: Final = "system-ui, -apple-system, 'Segoe UI', Roboto, 'Noto Sans', 'DejaVu Sans', sans-serif"


def light(role: str) -> str:
    """The colour of a role on light paper; unknown roles are a KeyError."""
    return PALETTE[role].light


def css_variables(*, dark: bool) -> str:
    """The palette as CSS custom properties, in the palette's order."""
    return "".join(f"--{role}:{colour.dark if dark else colour.light};" for role, colour in PALETTE.items())


def light_to_dark() -> dict[str, str]:
    """For every light colour its dark counterpart."""
    return {colour.light: colour.dark for colour in PALETTE.values()}


def contrast(one: str, other: str) -> float:
    """Contrast ratio of two ``#rrggbb`` colours, from 1 to 21 (WCAG 2.2, "contrast ratio" and "relative luminance")."""
    brighter, darker = sorted((_luminance(one), _luminance(other)), reverse=True)
    return (brighter + 0.05) / (darker + 0.05)


def _luminance(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue
