"""The words of the shorthand: what each says, and where it is published.

A word that several sources know differently has the meaning that is written down most in the cockpit; where the FAA's
meaning is another one, that is said. "Handbook" is the clearance shorthand in appendix A of the FAA's Instrument Flying
Handbook (FAA-H-8083-15B); "contractions" FAA Order JO 7340.2; "strips" the abbreviations of FAA Order JO 7110.65,
tables 2-3-11 and 2-3-12; "ICAO" Doc 8400; "METAR" the form of weather reports. Of the handbook @, X, DR, IB, CRS and
"250 K", of the strips X, MA and RH were checked against the text; the rest of these is from memory. Everything else is
common practice, with no published source.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

COMMON = "common practice"
Action = Literal[
    "left", "right", "heading", "runway-heading", "altitude", "alt", "level", "a", "until-established", "direct",
    "hold", "efc", "vtf", "across", "join", "resume", "cleared", "speed", "cross", "missed", "circle", "visual",
    "discontinue", "setting", "standard", "confirmed", "event", "filler", "refused", "in-sight-or-cleared",
]  # fmt: skip


@dataclass(frozen=True, slots=True)
class Term:
    """Phrases of one meaning. ``value`` is the event's kind, or what to do instead of a word that is not taken."""

    action: Action
    phrases: tuple[str, ...]
    meaning: str
    source: str = COMMON
    value: str = ""


TERMS: tuple[Term, ...] = (
    Term("heading", ("h", "hdg", "heading"), "heading", "contractions, ICAO (HDG); h: common practice"),
    Term("left", ("l", "lh", "lt", "tl", "left", "left turn", "turn left"), "turn left", "handbook (LT)"),
    Term("right", ("r", "rt", "tr", "right", "right turn", "turn right"), "turn right", "handbook (RT)"),
    Term("runway-heading", ("rwy hdg", "runway heading", "fly rwy hdg"), "runway heading", "handbook, strips (RH)"),
    Term("altitude", ("maint", "maintain", "mtn", "mntn", "m"), "maintain", "handbook (M), contractions (MNTN)"),
    Term("altitude", ("c", "↑", "climb", "clb", "climb to", "climb and maintain", "c ↑"), "climb to", "handbook (↑)"),
    Term(
        "altitude",
        ("↓", "desc", "des", "descend", "descent", "descend to", "descend and maintain", "d ↓"),
        "descend to",
        "handbook (↓), ICAO (DES)",
    ),
    Term("alt", ("alt", "altitude"), "altitude", "ICAO"),
    Term("a", ("a",), "altitude in hundreds of feet, as in the flight plan", "ICAO Doc 4444 (A045); METAR (A2992)"),
    Term("level", ("fl", "f", "flight level"), "flight level", "handbook, ICAO (FL)"),
    Term(
        "until-established",
        ("til est", "till est", "until est", "til established", "till established", "until established", "til estab"),
        "until established",
    ),
    Term("direct", ("dct", "dr", "direct", "→", "->", "proceed direct", "d →", "d ->", "dct →"), "direct to",
         "ICAO (DCT), handbook (DR); arrow: common practice, on FAA strips it is cruise"),
    Term("hold", ("hold", "hld", "hldg", "hold at"), "hold at", "ICAO (HLDG)"),
    Term("efc", ("efc", "expect further clearance"), "expect further clearance at", "handbook"),
    Term(
        "vtf",
        ("vtf", "vectors to final", "vectors final", "vector to final", "vectors for final", "vec final", "rv final",
         "rv to final", "for final"),
        "vectors to final: what a heading is for, no more",
        "handbook (RV radar vector)",
    ),
    Term("across", ("across", "across final", "across the final", "across loc", "across the loc", "thru final",
                    "through final", "thru loc", "through the final"), "vectored through the final course"),
    Term("join", ("join", "int", "intcp", "intc", "intercept"), "join the final course", "contractions (INTCP)"),
    Term("resume", ("resume", "own nav", "own navigation", "resume own nav", "resume own navigation", "resume nav"),
         "own navigation on the filed route"),
    Term("cleared", ("clrd", "cld", "clr", "cleared", "cleared for", "clrd for"), "cleared for the approach",
         "contractions (CLRD)"),
    Term("visual", ("va", "clrd visual", "cld visual", "cleared visual", "cleared for visual", "clrd vis", "clrd va",
                    "cleared for the visual", "visual apch", "visual approach"),
         "cleared for a visual approach", "strips (VA)"),
    Term("in-sight-or-cleared", ("visual", "vis"), ""),
    Term("speed", ("s", "spd", "speed", "ias", "slow", "reduce", "slow to", "reduce to", "speed to"), "speed in knots"),
    Term("cross", ("x", "xng", "cross", "crossing"), "cross a fix at", "handbook, strips (X)"),
    Term("missed", ("missed", "ma", "missed apch", "missed approach", "go around", "ga", "fly missed"),
         "missed approach", "strips (MA), ICAO (MISAP)"),
    Term("circle", ("circle", "circ", "circling", "circle rwy", "circle to", "circle to rwy"), "circle to land on"),
    Term("discontinue", ("disc", "discontinue", "discontinue apch", "discontinue approach", "break off", "disc apch",
                         "break off apch", "cancel apch", "cancel approach", "apch cancelled"), "approach broken off"),
    Term("setting", ("qnh", "q", "altimeter", "altim", "altm", "alstg"), "altimeter setting",
         "ICAO (QNH), contractions (ALSTG), METAR (Q1011)"),
    Term("standard", ("std", "qne", "standard"), "standard setting, 1013.2 hPa or 29.92 inches", "ICAO (QNE, STD)"),
    Term("confirmed", ("confirmed", "conf"), "the instructor confirms what the track was read as"),
    Term("event", ("in sight", "rwy in sight", "runway in sight", "field in sight", "lights in sight", "visual contact",
                   "got visual"), "the runway or its lights in sight", value="visual"),
    Term("event", ("visual lost", "lost visual", "lost sight", "sight lost"), "sight lost again", value="visual-lost"),
    Term("event", ("hood on", "under hood", "under the hood"), "view limited", value="hood-on"),
    Term("event", ("hood off", "hood up"), "view free", value="hood-off"),
    Term("event", ("ap on", "a/p on", "autopilot on"), "autopilot on", value="autopilot-on"),
    Term("event", ("ap off", "a/p off", "autopilot off"), "autopilot off", value="autopilot-off"),
    Term("event", ("fi flying", "cfi flying", "instr flying", "instructor flying", "ip flying"),
         "the instructor flies", value="instructor-flying"),
    Term("event", ("student flying", "stu flying", "sp flying"), "the student flies", value="student-flying"),
    Term("event", ("eng out", "engine out", "eng fail", "engine failure", "eng failure", "oei"),
         "engine out, simulated or real", value="engine-out"),
    Term("event", ("partial panel", "inst lost", "instruments lost", "gyros lost"),
         "instruments lost, simulated or real", value="instruments-lost"),
    Term("event", ("restored", "eng back", "engine back", "inst back", "full panel"), "all restored", value="restored"),
    Term("filler", ("fly", "turn", "proceed", "and", "&", "to", "the", "at", "@", "of"), ""),
    Term("refused", ("then",), "", value="What is said next stands in a line of its own."),
    Term("refused", ("sq", "squawk", "xpdr", "contact", "freq", "report", "rpt", "expect", "exp", "caf", "cruise",
                     "descend via", "climb via", "block", "pt", "procedure turn", "advise", "adz"),
         "", value="It decides nothing that a track shows. Keep it as a remark, behind an exclamation mark."),
)  # fmt: skip

PHRASES: dict[tuple[str, ...], Term] = {tuple(phrase.split()): term for term in TERMS for phrase in term.phrases}
LONGEST_PHRASE = max(len(phrase) for phrase in PHRASES)
KNOWN_WORDS = tuple(
    dict.fromkeys(
        word for phrase, term in PHRASES.items() if term.action != "refused" for word in phrase if len(word) > 1
    )
)
"""For the nearest known word."""

GLUED = frozenset(
    {"h", "hdg", "l", "lh", "lt", "tl", "r", "rh", "rt", "tr", "a", "alt", "c", "d", "m", "maint", "mtn", "fl", "f",
     "s", "spd", "ias", "efc", "qnh", "q"}
)  # fmt: skip
"""What a number may follow without a blank: H250, C40, EFC1345."""
