"""An instruction written in shorthand reads as the same again, whatever a lesson file allows it to hold."""

from __future__ import annotations

import datetime as dt
from typing import Any

import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from legwise.lessons import read_shorthand, shorthand_of
from legwise.lessons.check_clearance import clearance_problems
from legwise.lessons.checks import cross_checks
from legwise.model.lesson import Clearance, Crossing, HoldInstruction, Lesson

# Letters that an ident may hold, whatever they look like; blanks stand single, inside.
PARTS = st.text(st.characters(exclude_categories=["Cc", "Cs", "Zs", "Zl", "Zp"]), min_size=1, max_size=8)
IDENTS = st.one_of(
    st.sampled_from(
        ["CALDU", "SKH", "L", "EFC", "H250", "R27", "caldu", "FL60", "MA", "4000", "XSKH", "LNAV", '"', "!", "#"]
    ),
    st.from_regex("[A-Z][A-Z0-9]{1,4}", fullmatch=True),
    st.lists(PARTS, min_size=1, max_size=3).map(" ".join),
).filter(lambda ident: ident.split() == ident.split(" "))
CLEARED = st.one_of(st.sampled_from(["XSKH/R27", "XSKH", "XSKH/RW27", "XTBN/VOR RWY 05", "K1/a"]), IDENTS)
OFFSETS = st.integers(-14 * 60, 14 * 60).map(lambda minutes: dt.timezone(dt.timedelta(minutes=minutes)))
TIMES = st.one_of(
    st.times(),
    st.times().map(lambda time: time.strftime("%H:%M")),
    st.times().map(lambda time: time.replace(microsecond=0)),
    st.builds(dt.datetime.combine, st.dates(dt.date(1981, 1, 1), dt.date(2098, 1, 1)), st.times(), OFFSETS),
)
DEGREES = st.one_of(st.integers(0, 360).map(float), st.floats(0, 360))
FEET = st.one_of(
    st.integers(-15, 600).map(lambda hundreds: hundreds * 100.0),
    st.integers(-1500, 60_000).map(float),
    st.floats(-1500, 60_000),
)
YES = st.none() | st.just(True)


def positive(most: float) -> st.SearchStrategy[float]:
    return st.one_of(st.integers(1, int(most)).map(float), st.floats(0, most, exclude_min=True))


def maybe(values: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    return st.none() | values


HOLDS = st.builds(
    HoldInstruction,
    fix=IDENTS,
    inbound_course_deg_mag=maybe(DEGREES),
    turn=st.sampled_from([None, "left", "right"]),
    leg_minutes=maybe(positive(30)),
    altitude_ft=maybe(FEET),
    efc=maybe(TIMES),
) | st.builds(
    HoldInstruction,
    fix=IDENTS,
    inbound_course_deg_true=DEGREES,
    leg_nm=positive(300),
)
CROSSINGS = st.one_of(
    st.builds(Crossing, fix=IDENTS, at_ft=FEET),
    st.builds(Crossing, fix=IDENTS, at_or_above_ft=FEET),
    st.builds(Crossing, fix=IDENTS, at_or_below_ft=FEET),
    st.builds(Crossing, fix=IDENTS, at_or_above_ft=FEET, at_or_below_ft=FEET),
)
# What goes together: each of these decides what is navigated by in one way, and the rest stands beside any.
LATERAL: list[dict[str, st.SearchStrategy[Any]]] = [
    {},
    {
        "heading_deg_mag": DEGREES,
        "turn": st.sampled_from([None, "left", "right"]),
        "until": st.sampled_from([None, "final"]),
    },
    {"heading_deg_true": DEGREES, "turn": st.sampled_from([None, "left", "right"]), "join": YES},
    {"heading_deg_mag": DEGREES, "across": YES},
    {"heading_deg_mag": DEGREES, "cleared": CLEARED},
    {"heading_deg_mag": DEGREES, "missed": YES},
    {"heading_deg_mag": DEGREES, "discontinue": YES},
    {"direct": IDENTS, "turn": st.sampled_from([None, "left", "right"])},
    {"direct": IDENTS, "cleared": CLEARED},
    {"direct": IDENTS, "resume": YES},
    {"hold": HOLDS},
    {"join": YES},
    {"cleared": CLEARED, "circle": maybe(st.sampled_from(["RW09", "RW27L", "RW36C"]))},
    {"resume": YES},
    {"across": YES},
    {"missed": YES, "turn": st.sampled_from([None, "left"])},
    {"discontinue": YES},
    {"visual": YES},
    {"circle": st.sampled_from(["RW01", "RW18R"])},
]
BESIDE: dict[str, st.SearchStrategy[Any]] = {
    "time": maybe(TIMES),
    "time_accuracy_s": maybe(st.one_of(st.just(180.0), st.floats(0, 3600))),
    "speed_kt": maybe(positive(700)),
    "crossing": maybe(CROSSINGS),
    "confirmed": YES,
}
VERTICAL: list[dict[str, st.SearchStrategy[Any]]] = [
    {},
    {"altitude_ft": FEET, "altitude_until": st.sampled_from([None, "established"])},
    {"flight_level": st.one_of(st.integers(10, 600).map(float), st.floats(10, 600))},
]


@st.composite
def clearances(draw: st.DrawFn) -> Clearance:
    """Any instruction that a lesson file may hold."""
    parts = {**BESIDE, **draw(st.sampled_from(VERTICAL)), **draw(st.sampled_from(LATERAL))}
    clearance = Clearance(**{key: draw(values) for key, values in parts.items()})
    assume(not list(clearance_problems(("clearance", 0), clearance)))
    assume(not cross_checks(Lesson(clearance=(clearance,)), {}))
    return clearance


@settings(deadline=None, derandomize=True, max_examples=500)
@given(clearances())
def test_every_instruction_reads_the_same_again(clearance: Clearance) -> None:
    line = shorthand_of(clearance)

    assert read_shorthand(line, file="said.txt").clearance == (clearance,), line


@settings(deadline=None, derandomize=True, max_examples=100)
@given(clearances())
def test_writing_is_the_same_from_either_side(clearance: Clearance) -> None:
    line = shorthand_of(clearance)

    assert shorthand_of(read_shorthand(line, file="said.txt").clearance[0]) == line


@settings(deadline=None, derandomize=True, max_examples=100)
@given(clearances())
def test_capitals_and_small_letters_are_alike(clearance: Clearance) -> None:
    line = shorthand_of(clearance)
    assume('"' not in line)  # what stands in quotes is taken as it stands

    assert read_shorthand(line.swapcase(), file="said.txt").clearance == (clearance,), line


@pytest.mark.parametrize(
    ("clearance", "line"),
    [
        # Every form of the contract's section "What air traffic control said".
        (Clearance(time=dt.time(13, 12, 40), heading_deg_mag=250, altitude_ft=4000), "13:12:40 H250 4000"),
        (Clearance(time=dt.time(13, 19, 5), direct="CALDU"), "13:19:05 D→CALDU"),
        (
            Clearance(
                time="13:31",
                hold=HoldInstruction(
                    fix="CALDU",
                    inbound_course_deg_mag=200,
                    turn="left",
                    leg_minutes=1.0,
                    altitude_ft=4000,
                    efc=dt.time(13, 45),
                ),
            ),
            "13:31 hold CALDU 200 L 1min @4000 EFC 13:45:00",
        ),
        (Clearance(time=dt.time(13, 47, 30), heading_deg_mag=310, until="final"), "13:47:30 H310 vtf"),
        (Clearance(join=True), "join"),
        (Clearance(time=dt.time(13, 52, 10), cleared="XSKH/R27", altitude_ft=2600), "13:52:10 clrd XSKH/R27 2600"),
        (Clearance(across=True), "across"),
        (Clearance(resume=True, flight_level=60), "own nav FL60"),
        (Clearance(speed_kt=120, crossing=Crossing(fix="CALDU", at_or_above_ft=4000)), "S120 x CALDU 4000+"),
        (Clearance(missed=True, confirmed=True), "missed confirmed"),
        (Clearance(cleared="XSKH/RW27", circle="RW09"), "clrd XSKH/RW27 circle 09"),
        (Clearance(visual=True), "clrd visual"),
        (Clearance(discontinue=True), "disc"),
        (Clearance(heading_deg_true=5, turn="right", time="13:12", time_accuracy_s=180), "~13:12 R005T"),
        (Clearance(hold=HoldInstruction(fix="CALDU")), "hold CALDU"),
    ],
)
def test_a_page_writes_it_so(clearance: Clearance, line: str) -> None:
    assert shorthand_of(clearance) == line
    assert read_shorthand(line, file="said.txt").clearance == (clearance,)


def test_what_is_false_says_nothing_and_is_left_out() -> None:
    said = Clearance(heading_deg_mag=250, join=False, across=False, confirmed=False)

    assert shorthand_of(said) == "H250"
