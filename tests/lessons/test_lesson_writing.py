"""A lesson written back as text: what was read is what is read again, whatever it holds; comments are only comments."""

from __future__ import annotations

import datetime as dt
import re
import tomllib
from pathlib import Path
from typing import get_args

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.lessons import lesson_toml, parse_lesson, read_lesson
from legwise.lessons.writing import LEG_KEYS
from legwise.model.lesson import (
    Accuracy,
    AltimeterSetting,
    Altimetry,
    Clearance,
    ColumnChoice,
    Event,
    EventKind,
    FixKind,
    HoldInstruction,
    Lesson,
    LessonApproach,
    LessonFix,
    LessonHead,
    LessonLeg,
    Minima,
    NavdataFiles,
    Objective,
    Observed,
    PathTerminator,
    Remark,
    Route,
)
from lessons.lesson_legs import ANY_LEG, MAY, NEEDS

ROOT = Path(__file__).parents[2]
SAMPLES = [*sorted(ROOT.glob("sample_tracks/*/lesson.toml")), Path(__file__).parent / "whole_lesson.toml"]
SETTINGS = settings(deadline=None, derandomize=True, max_examples=80)
HOSTILE = [
    "",
    " ",
    "\"'\\",
    '"""',
    "'''",
    "a\nb",
    "a\r\nb",
    "\t",
    "\x00\x1b[31m\x7f",
    "# x",
    "[[fix]]",
    "é\u2028\U0001f6e9",
    "={},",
]


def same(lesson: Lesson) -> Lesson:
    """A lesson without what tells where it was read, and without what follows from its route's text."""
    route = lesson.route.model_copy(update={"elements": ()})
    return lesson.model_copy(update={"lines": {}, "file": "", "folder": "", "route": route})


def again(text: str) -> Lesson:
    return parse_lesson(text, file="again.toml")


@pytest.mark.parametrize("path", SAMPLES, ids=lambda path: f"{path.parent.name}-{path.name}")
def test_every_sample_reads_the_same_again(path: Path) -> None:
    lesson = read_lesson(path)

    text = lesson_toml(lesson)

    assert same(again(text)) == same(lesson)
    assert again(text).route.elements == lesson.route.elements
    assert lesson_toml(again(text)) == text


def test_the_order_and_the_style_of_the_format() -> None:
    lesson = Lesson(
        lesson=LessonHead(title="Lesson 9", date=dt.date(2026, 4, 18), objective=(Objective(task="holding"),)),
        altimetry=Altimetry(qnh_hpa=1009.0),
        fix=(LessonFix(ident="BRAKO", lat_deg=46.5123, lon_deg=-28.00412345678),),
        approach=(
            LessonApproach(
                airport="XSKH",
                minima=Minima(da_ft=612),
                leg=(
                    LessonLeg(path="IF", fix="HOLMA"),
                    LessonLeg(path="CF", fix="RW27", role="MAP", course_deg_mag=262.4),
                ),
            ),
        ),
        clearance=(
            Clearance(time=dt.time(13, 12, 40), direct="CALDU"),
            Clearance(time="13:31", hold=HoldInstruction(fix="CALDU", leg_minutes=1.5, efc=dt.time(13, 45))),
        ),
    )
    comments = {
        "": "A lesson file.\nNot for navigation.",
        "[lesson] date": "the day",
        "[altimetry]": "optional",
        "[altimetry] oat_deg_c": "at the aerodrome",
        "[accuracy]": "the whole doubt",
        "[[approach]] 1 leg 2": "the final course",
        "[[clearance]]": "What was said, in order.",
        "[[clearance]] 1": "inferred, please confirm",
        "[[clearance]] 2 hold.efc": "as heard",
        "[[remark]]": "None yet.",
    }

    assert lesson_toml(lesson, comments) == (
        """\
# A lesson file.
# Not for navigation.

[lesson]
title = "Lesson 9"
date = 2026-04-18               # the day
objective = [
  { task = "holding" },
]

[altimetry]                     # optional
qnh_hpa = 1009
# oat_deg_c: at the aerodrome

[accuracy]                      # the whole doubt

[[fix]]
ident = "BRAKO"
lat_deg = 46.512300
lon_deg = -28.00412345678

[[approach]]
airport = "XSKH"
minima = { da_ft = 612 }
leg = [
  { path = "IF", fix = "HOLMA" },
  { path = "CF", fix = "RW27", course_deg_mag = 262.4, role = "MAP" }, # the final course
]

# What was said, in order.
[[clearance]]                   # inferred, please confirm
time = 13:12:40
direct = "CALDU"

[[clearance]]
time = "13:31"
hold = { fix = "CALDU", leg_minutes = 1.5, efc = 13:45:00 } # efc: as heard

# None yet.
"""
    )


def test_keys_of_a_leg_are_all_written() -> None:
    assert sorted(LEG_KEYS) == sorted(LessonLeg.model_fields)


def test_a_lesson_without_anything_is_an_empty_file() -> None:
    assert lesson_toml(Lesson()) == "\n"


def test_what_is_at_its_default_is_written_where_it_was_said() -> None:
    said = Lesson(lesson=LessonHead(standard="faa-instrument"))

    assert lesson_toml(said) == '[lesson]\nstandard = "faa-instrument"\n'


@pytest.mark.parametrize(
    ("time", "written"),
    [
        (dt.time(13, 31), "13:31:00"),
        (dt.time(13, 31, 20, 500_000), "13:31:20.500000"),
        ("13:31", '"13:31"'),
        (dt.datetime(2026, 4, 18, 13, 31, 20, tzinfo=dt.UTC), "2026-04-18T13:31:20Z"),
        (
            dt.datetime(2026, 4, 18, 9, 31, 20, tzinfo=dt.timezone(dt.timedelta(hours=-4))),
            "2026-04-18T09:31:20-04:00",
        ),
        (
            dt.datetime(2026, 4, 18, 13, 31, 20, tzinfo=dt.timezone(dt.timedelta(seconds=30))),
            "2026-04-18T13:30:50Z",
        ),
    ],
)
def test_times_in_every_form(time: object, written: str) -> None:
    lesson = Lesson.model_validate({"clearance": [{"time": time, "direct": "A1"}]})

    text = lesson_toml(lesson)

    assert f"time = {written}\n" in text
    assert again(text).clearance[0].time == time


@pytest.mark.parametrize(
    "key", ["[lesson] title", "[lesson]", "", "[[remark]] 1 text", "[[remark]] 1", "[[fix]]", "[route]"]
)
@pytest.mark.parametrize("comment", ["a\nb\n\nc", "x" * 300, '"""\r\n[[fix]]\x00\x0b\x85\u2028é', "]", "#", "\n"])
def test_a_comment_never_changes_what_is_read(key: str, comment: str) -> None:
    lesson = Lesson(lesson=LessonHead(title="x"), remark=(Remark(text="y"),))

    text = lesson_toml(lesson, {key: comment})

    assert same(again(text)) == same(lesson)
    assert all(letter.isprintable() for letter in text.replace("\n", ""))
    for word in re.findall("[abcx]+", comment):
        assert word in text


@pytest.mark.parametrize(
    "key",
    [
        "[[clearance]] 2",
        "[[clearance]] 10 time",
        "[zzz]",
        "nonsense",
        "[[approach]] 1 leg 1",
        "[lesson]x",
        "[[clearance]] time",
    ],
)
def test_a_comment_on_what_is_not_there_is_a_mistake_of_the_caller(key: str) -> None:
    lesson = Lesson(clearance=(Clearance(direct="A1"),))

    with pytest.raises(ValueError, match=re.escape(key)):
        lesson_toml(lesson, {key: "x"})


def test_the_tenth_is_not_the_first() -> None:
    lesson = Lesson(clearance=tuple(Clearance(direct=f"A{number}") for number in range(1, 12)))

    rows = lesson_toml(lesson, {"[[clearance]] 1": "one", "[[clearance]] 11 direct": "eleven"}).splitlines()

    assert rows[0].endswith("# one")
    assert [row for row in rows if "eleven" in row] == ['direct = "A11"                  # eleven']


# Lessons of any content.

TEXTS = st.sampled_from(HOSTILE) | st.text(max_size=30)
IDENTS = st.from_regex(r"[A-Za-z0-9\"'\\#é=\[\]{},.-]{1,8}", fullmatch=True)
INSTANTS = st.integers(400_000_000, 4_000_000_000).map(lambda second: dt.datetime.fromtimestamp(second, dt.UTC))
TIMES = INSTANTS | st.times() | st.from_regex(r"([01][0-9]|2[0-3]):[0-5][0-9]", fullmatch=True)


def numbers(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(low, high, allow_nan=False) | st.integers(int(low), int(high)).map(float)


DIRECTIONS = numbers(0, 360)
ALTITUDES = numbers(-1500, 60_000)
POSITIVE = numbers(1, 300)
LEG_VALUES: dict[str, st.SearchStrategy[object]] = {
    "fix": IDENTS,
    "centre": IDENTS | st.fixed_dictionaries({"lat_deg": numbers(-90, 90), "lon_deg": numbers(-180, 180)}),
    "turn": st.sampled_from(["left", "right"]),
    "dme": IDENTS,
    "navaid": IDENTS,
    "altitude": st.fixed_dictionaries({"at_ft": ALTITUDES}) | st.fixed_dictionaries({"at_or_below_ft": ALTITUDES}),
    "role": st.sampled_from(["IAF", "IF", "STEPDOWN"]),
    "fly_over": st.booleans(),
    "leg_minutes": numbers(1, 30),
}


@st.composite
def written_legs(draw: st.DrawFn) -> dict[str, object]:
    path = draw(st.sampled_from(get_args(PathTerminator)))
    may = draw(st.sets(st.sampled_from([*MAY.get(path, "").split(), *sorted(ANY_LEG)]))) - {"leg_nm"}
    north = draw(st.sampled_from(["mag", "true"]))
    keys = {*NEEDS[path].split(), *may}
    values = {key: draw(LEG_VALUES.get(key, DIRECTIONS if key.endswith("_mag") else POSITIVE)) for key in sorted(keys)}
    return {"path": path} | {key.replace("_mag", f"_{north}"): value for key, value in values.items()}


@st.composite
def approaches(draw: st.DrawFn) -> LessonApproach:
    # No TF to where the aircraft is already: these two are no idents of other legs.
    first: dict[str, object] = {"path": "IF", "fix": f"@{draw(IDENTS)}"}
    last: dict[str, object] = {"path": "FM", "fix": f"@{draw(IDENTS)}", "course_deg_mag": 90.0}
    # A leg between fixes stands behind an IF, and what has to meet a leg before a course from a fix.
    legs = [leg for item in draw(st.lists(written_legs(), max_size=4)) for leg in (first, item, last)]
    # The approach ends at a fix, from which its missed approach may begin with any leg.
    to_fix: dict[str, object] = {"path": "CF", "fix": f"@{draw(IDENTS)}", "course_deg_mag": 90.0}
    missed = draw(st.lists(written_legs(), max_size=1))
    return LessonApproach.model_validate(
        {
            "airport": draw(IDENTS),
            "title": draw(st.none() | TEXTS),
            "leg": [*legs, last, to_fix],
            "missed": [*missed, last],
            "minima": draw(st.none() | st.fixed_dictionaries({"da_ft": numbers(0, 60_000)})),
        }
    )


FIXES = st.builds(
    LessonFix,
    ident=IDENTS,
    lat_deg=numbers(-90, 90),
    lon_deg=numbers(-180, 180),
    kind=st.sampled_from(get_args(FixKind)),
    elevation_ft=st.none() | ALTITUDES,
    fly_over=st.booleans(),
)
HOLDS = st.builds(HoldInstruction, fix=IDENTS, inbound_course_deg_mag=st.none() | DIRECTIONS, efc=st.none() | TIMES)
CLEARANCES = st.builds(Clearance, direct=IDENTS, altitude_ft=st.none() | ALTITUDES) | st.builds(Clearance, hold=HOLDS)
HEADINGS = TEXTS.filter(lambda key: key != "utc_offset")
LESSONS = st.builds(
    Lesson,
    lesson=st.builds(
        LessonHead,
        title=st.none() | TEXTS,
        date=st.none() | st.dates(dt.date(1980, 1, 1), dt.date(2099, 12, 31)),
        objective=st.lists(st.builds(Objective, task=TEXTS, standard=st.none() | TEXTS), max_size=2).map(tuple),
    ),
    altimetry=st.builds(Altimetry, qnh_hpa=st.none() | numbers(850, 1090)),
    altimeter=st.lists(st.builds(AltimeterSetting, time=TIMES, standard=st.just(True)), max_size=2).map(tuple),
    accuracy=st.builds(Accuracy, horizontal_m=st.none() | numbers(1, 20_000)),
    navdata=st.builds(NavdataFiles, fixes=st.none() | IDENTS),
    fix=st.lists(FIXES, max_size=3, unique_by=lambda fix: fix.ident.upper()).map(tuple),
    route=st.builds(
        Route, points=st.none() | st.lists(IDENTS, min_size=1, max_size=4).map(tuple), speed_kt=st.none() | POSITIVE
    ),
    approach=st.lists(approaches(), max_size=2).map(tuple),
    clearance=st.lists(CLEARANCES, max_size=3).map(tuple),
    event=st.lists(st.builds(Event, time=TIMES, what=st.sampled_from(get_args(EventKind))), max_size=2).map(tuple),
    observed=st.lists(st.builds(Observed, item=TEXTS, done=st.none() | st.booleans()), max_size=2).map(tuple),
    remark=st.lists(st.builds(Remark, time=st.none() | TIMES, text=TEXTS), max_size=2).map(tuple),
    columns=st.dictionaries(HEADINGS, TEXTS | st.builds(ColumnChoice, heading=TEXTS, unit=TEXTS), max_size=3),
)


@SETTINGS
@given(LESSONS)
def test_any_lesson_reads_the_same_again(lesson: Lesson) -> None:
    text = lesson_toml(lesson)

    assert same(again(text)) == lesson
    tomllib.loads(text.replace("\n", "\r\n"))


@SETTINGS
@given(LESSONS, st.dictionaries(st.sampled_from(["", "[lesson]", "[lesson] title", "[columns]", "[[fix]]"]), TEXTS))
def test_any_comment_is_only_a_comment(lesson: Lesson, comments: dict[str, str]) -> None:
    assert same(again(lesson_toml(lesson, comments))) == lesson
