"""Shapes and hatchings: the second cue beside every colour."""

from __future__ import annotations

from typing import Final, NamedTuple

from legwise.model.alignment import Guidance
from legwise.model.results import Verdict


class Mark(NamedTuple):
    """A verdict's look: a glyph for text, the palette's role, and a word for CSS classes."""

    glyph: str
    role: str
    css: str


VERDICT_MARKS: Final[dict[Verdict, Mark]] = {
    Verdict.WITHIN: Mark("●", "within", "within"),
    Verdict.OUTSIDE: Mark("▲", "outside", "outside"),
    Verdict.UNDECIDED: Mark("◆", "undecided", "undecided"),
    Verdict.NOT_RECORDED: Mark("○", "quiet", "not-recorded"),
    Verdict.NOT_APPLICABLE: Mark("–", "quiet", "not-applicable"),
    Verdict.SET_ASIDE: Mark("□", "quiet", "set-aside"),
}


class StretchMark(NamedTuple):
    """A stretch of the time line: the palette's role and a hatching ("" for none)."""

    role: str
    hatching: str


STRETCH_MARKS: Final[dict[Guidance, StretchMark]] = {
    Guidance.LEG: StretchMark("stretch-leg", ""),
    Guidance.DIRECT: StretchMark("stretch-direct", "-"),
    Guidance.VECTORS: StretchMark("stretch-vectors", "/"),
    Guidance.HOLD: StretchMark("stretch-hold", "x"),
    Guidance.PROCEDURE_TURN: StretchMark("stretch-hold", "\\"),
    Guidance.ARC: StretchMark("stretch-leg", "."),
    Guidance.MISSED: StretchMark("stretch-missed", "\\"),
    Guidance.NONE: StretchMark("stretch-none", ""),
}
APPROACH_STRETCH: Final = StretchMark("stretch-approach", "")
