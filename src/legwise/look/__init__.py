"""What every page shares: the palette, the marks and the words."""

from legwise.look.marks import APPROACH_STRETCH, STRETCH_MARKS, VERDICT_MARKS, Mark, StretchMark
from legwise.look.palette import FONT_STACK, PALETTE, Colour, contrast, css_variables, light, light_to_dark

__all__ = [
    "APPROACH_STRETCH",
    "FONT_STACK",
    "PALETTE",
    "STRETCH_MARKS",
    "VERDICT_MARKS",
    "Colour",
    "Mark",
    "StretchMark",
    "contrast",
    "css_variables",
    "light",
    "light_to_dark",
]
