"""Legs written out: the 23 path terminators of ARINC 424 as the lesson format's table of legs has them."""

from __future__ import annotations

from typing import get_args

import pytest

from legwise.errors import LessonError
from legwise.lessons import parse_lesson
from legwise.model.lesson import LessonLeg, PathTerminator
from lessons.lesson_legs import ANY_LEG, MAY, NEEDS, VALUES, leg_text


def lesson_text(*legs: str, missed: str = "") -> str:
    """An approach whose legs stand on lines 4, 5, ..."""
    rows = "".join(f"  {leg},\n" for leg in legs)
    return f'[[approach]]\nairport = "XSKH"\nleg = [\n{rows}]\n' + (f"missed = [ {missed} ]\n" if missed else "")


def around(leg: str) -> str:
    """A leg on line 5, with a fix before it and a leg after it that it can meet."""
    return lesson_text('{ path = "IF", fix = "HOLMA" }', leg, '{ path = "CF", fix = "SKH", course_deg_mag = 100 }')


def refused(text: str) -> LessonError:
    with pytest.raises(LessonError) as caught:
        parse_lesson(text, file="flight.toml")
    assert len(str(caught.value).splitlines()) <= 8
    assert max(len(row) for row in str(caught.value).splitlines()) <= 300
    return caught.value


def stems(keys: set[str]) -> set[str]:
    return {key.removesuffix("_mag").removesuffix("_true") for key in keys}


def test_the_table_here_is_whole() -> None:
    assert set(NEEDS) == set(get_args(PathTerminator))
    assert set(VALUES) == set(LessonLeg.model_fields) - {"path"}


@pytest.mark.parametrize("path", NEEDS)
def test_every_leg_with_what_it_needs_and_all_it_may_carry(path: str) -> None:
    needed = NEEDS[path].split()
    besides = [*MAY.get(path, "").split(), *sorted(ANY_LEG)]
    both = list(dict.fromkeys([*needed, *besides]))

    for keys in (needed, [key for key in both if key != "leg_nm"], [key for key in both if key != "leg_minutes"]):
        leg = parse_lesson(around(leg_text(path, *keys)), file="a.toml").approach[0].leg[1]

        assert leg.path == path
        assert {key for key in LessonLeg.model_fields if getattr(leg, key) is not None} == {"path", *keys}


@pytest.mark.parametrize("path", NEEDS)
def test_a_direction_may_be_true_in_place_of_magnetic(path: str) -> None:
    keys = [key.replace("_mag", "_true") for key in NEEDS[path].split()]

    assert parse_lesson(around(leg_text(path, *keys)), file="a.toml").approach[0].leg[1].path == path


@pytest.mark.parametrize(("path", "key"), [(path, key) for path in NEEDS for key in NEEDS[path].split()])
def test_a_key_that_is_missing_is_named_with_its_leg_and_line(path: str, key: str) -> None:
    error = refused(around(leg_text(path, *(other for other in NEEDS[path].split() if other != key))))

    assert error.where == "flight.toml, line 5, [[approach]] 1 leg 2"
    assert error.message.startswith(f"{key}")
    assert f" {path} leg" in error.message
    assert error.remedy.startswith(f"Add {key}")


@pytest.mark.parametrize("path", NEEDS)
def test_a_key_that_says_nothing_on_a_leg_is_refused(path: str) -> None:
    allowed = stems({*NEEDS[path].split(), *MAY.get(path, "").split(), *ANY_LEG})
    strays = [key for key in VALUES if not stems({key}) <= allowed]

    for key in strays:
        error = refused(around(leg_text(path, *NEEDS[path].split(), key)))

        assert error.where == f"flight.toml, line 5, [[approach]] 1 leg 2 {key}"
        assert f"{key} says nothing on" in error.message
        assert f"{path} takes " in error.remedy
    assert ("fix" in strays) == (path[0] in "CV" and path != "CF")


def test_what_to_write_in_place_of_the_wrong_direction() -> None:
    heading = refused(around('{ path = "VA", course_deg_mag = 90, heading_deg_mag = 90, altitude = { at_ft = 900 } }'))
    hold = refused(around('{ path = "HM", fix = "SKH", inbound_course_deg_mag = 90, course_deg_mag = 90 }'))

    assert "heading_deg_mag or heading_deg_true in its place" in heading.remedy
    assert "inbound_course_deg_mag or inbound_course_deg_true in its place" in hold.remedy


def test_the_radius_of_an_rf_follows() -> None:
    error = refused(around('{ path = "RF", fix = "SKH", centre = "CENTR", turn = "left", radius_nm = 3 }'))

    assert "follows from centre and fix" in error.remedy


def test_a_centre_may_be_a_position() -> None:
    text = around('{ path = "RF", fix = "SKH", centre = { lat_deg = 46.5, lon_deg = -28 }, turn = "left" }')
    half = around('{ path = "RF", fix = "SKH", centre = { lat_deg = 46.5 }, turn = "left" }')

    assert parse_lesson(text, file="a.toml").approach[0].leg[1].centre is not None
    assert "lon_deg is missing" in refused(half).message


def test_a_hold_has_a_time_or_a_length() -> None:
    error = refused(around(leg_text("HF", "fix", "inbound_course_deg_mag", "leg_minutes", "leg_nm")))

    assert error.where == "flight.toml, line 5, [[approach]] 1 leg 2 leg_nm"
    assert "leg_minutes and leg_nm are both given" in error.message


def test_two_norths_of_one_direction_exclude_each_other() -> None:
    error = refused(around(leg_text("CR", "course_deg_mag", "navaid", "radial_deg_mag", "radial_deg_true")))

    assert "radial_deg_mag and radial_deg_true are both given" in error.message


@pytest.mark.parametrize("path", NEEDS)
def test_first_legs(path: str) -> None:
    after = '{ path = "CF", fix = "SKH", course_deg_mag = 100 }'
    text = lesson_text(leg_text(path, *NEEDS[path].split()), after)

    if path in ("TF", "RF", "AF"):
        error = refused(text)
        assert error.where == "flight.toml, line 4, [[approach]] 1 leg 1 path"
        assert f"{path}, which needs a fix before it" in error.message
        assert '{ path = "IF", fix = ... }' in error.remedy
    else:
        assert parse_lesson(text, file="a.toml").approach[0].leg[0].path == path


@pytest.mark.parametrize("path", NEEDS)
def test_a_leg_between_fixes_follows_one_that_leads_to_a_fix(path: str) -> None:
    text = lesson_text(
        '{ path = "IF", fix = "A1" }', leg_text(path, *NEEDS[path].split()), '{ path = "TF", fix = "B1" }'
    )

    if path in ("IF", "TF", "CF", "DF", "RF", "AF", "HA", "HF", "HM"):
        assert len(parse_lesson(text, file="a.toml").approach[0].leg) == 3
    else:
        error = refused(text)
        assert error.where == "flight.toml, line 6, [[approach]] 1 leg 3 path"
        assert f"the {path} before it leads to none" in error.message


@pytest.mark.parametrize("path", ["CI", "VI"])
def test_an_arc_may_be_met_from_a_course_or_a_heading(path: str) -> None:
    arc = leg_text("AF", *NEEDS["AF"].split())

    legs = parse_lesson(around(f"{leg_text(path, *NEEDS[path].split())}, {arc}"), file="a.toml").approach[0].leg

    assert [leg.path for leg in legs] == ["IF", path, "AF", "CF"]


@pytest.mark.parametrize("before", ['"IF", fix = "A1"', '"HF", fix = "A1", inbound_course_deg_mag = 90'])
def test_a_track_to_the_fix_that_the_aircraft_is_at(before: str) -> None:
    error = refused(lesson_text(f"{{ path = {before} }}", '{ path = "TF", fix = "A1" }'))

    assert error.where == "flight.toml, line 5, [[approach]] 1 leg 2 fix"
    assert "from A1 to A1 has no length" in error.message


@pytest.mark.parametrize("path", ["CI", "VI", "PI"])
def test_a_leg_that_ends_on_the_next_one_is_not_the_last(path: str) -> None:
    error = refused(lesson_text('{ path = "IF", fix = "A1" }', leg_text(path, *NEEDS[path].split())))

    assert f"{path} leg ends on the path of the next leg, and it is the last" in error.message


def test_the_course_back_to_the_fix_of_a_procedure_turn_is_a_leg() -> None:
    text = lesson_text(
        '{ path = "IF", fix = "SKH", role = "IAF" }',
        '{ path = "PI", fix = "SKH", outbound_course_deg_mag = 280, turn = "left", limit_nm = 10 }',
        '{ path = "CF", fix = "SKH", course_deg_mag = 100, role = "FAF" }',
        '{ path = "TF", fix = "RW10", role = "MAP" }',
    )

    assert [leg.path for leg in parse_lesson(text, file="a.toml").approach[0].leg] == ["IF", "PI", "CF", "TF"]


@pytest.mark.parametrize("path", NEEDS)
def test_how_a_missed_approach_may_begin(path: str) -> None:
    first = leg_text(path, *NEEDS[path].split())
    text = lesson_text(
        '{ path = "IF", fix = "A1" }', missed=f'{first}, {{ path = "CF", fix = "B1", course_deg_mag = 1 }}'
    )

    assert parse_lesson(text, file="a.toml").approach[0].missed[0].path == path


def test_a_missed_approach_from_where_no_fix_is_begins_with_no_track() -> None:
    text = lesson_text(
        '{ path = "IF", fix = "A1" }',
        '{ path = "FD", fix = "A1", course_deg_mag = 90, dme = "SKH", distance_nm = 1, role = "MAP" }',
        missed='{ path = "TF", fix = "B1" }',
    )

    assert refused(text).where == "flight.toml, line 7, [[approach]] 1 missed 1 path"


# Approaches from navigation data.

CODED = '[navdata]\narinc424 = "tarn_islands.dat"\n[[approach]]\nairport = "XSKH"\nprocedure = "R27"\n'


def test_an_approach_by_its_procedure() -> None:
    text = (
        CODED + 'transition = "HOLMA"\nguidance = "LNAV"\nminima = { mda_ft = 700 }\nflown_minima = { mda_ft = 720 }\n'
    )

    approach = parse_lesson(text, file="a.toml").approach[0]

    assert (approach.procedure, approach.transition, approach.leg) == ("R27", "HOLMA", ())


@pytest.mark.parametrize("navdata", ["", '[navdata]\nfixes = "fixes.csv"\n', "[navdata]\n"])
def test_a_procedure_without_navigation_data(navdata: str) -> None:
    error = refused(navdata + '[[approach]]\nairport = "XSKH"\nprocedure = "R27"\n')

    assert error.where.endswith("[[approach]] 1 procedure")
    assert '"R27"' in error.message
    assert "[navdata] with arinc424" in error.remedy
    assert "leg = [" in error.remedy


def test_a_procedure_that_is_written_out_needs_none() -> None:
    text = lesson_text('{ path = "IF", fix = "A1" }') + 'procedure = "R27"\ntransition = "HOLMA"\n'

    assert parse_lesson(text, file="a.toml").approach[0].procedure == "R27"


def test_a_transition_is_one_of_a_procedure() -> None:
    error = refused(lesson_text('{ path = "IF", fix = "A1" }') + 'transition = "HOLMA"\n')

    assert error.where == "flight.toml, line 6, [[approach]] 1 transition"


def test_a_missed_approach_alone_is_not_written_out() -> None:
    error = refused(CODED + 'missed = [ { path = "DF", fix = "A1" } ]\n')

    assert "the approach is not" in error.message


def test_an_approach_of_nothing() -> None:
    error = refused('[[approach]]\nairport = "XSKH"\n')

    assert "the approach has no legs" in error.message
    assert "procedure = ..." in error.remedy


def test_a_file_of_navigation_data_has_a_name() -> None:
    assert '"a?b"' in refused('[navdata]\narinc424 = "a\\u0000b"\n').message


@pytest.mark.parametrize("path", ["tf", "Tf"])
def test_a_path_terminator_may_stand_in_small_letters(path: str) -> None:
    text = lesson_text('{ path = "if", fix = "HOLMA" }', f'{{ path = "{path}", fix = "SKH" }}')

    assert [leg.path for leg in parse_lesson(text, file="a.toml").approach[0].leg] == ["IF", "TF"]


@pytest.mark.parametrize("onward", ['{ path = "DF", fix = "SKH" }', '{ path = "VM", heading_deg_mag = 90 }'])
@pytest.mark.parametrize("path", ["VI", "CI"])
def test_an_intercept_needs_a_path_to_meet(path: str, onward: str) -> None:
    key = "heading" if path == "VI" else "course"
    text = lesson_text('{ path = "IF", fix = "HOLMA" }', f'{{ path = "{path}", {key}_deg_mag = 250 }}', onward)
    error = refused(text)

    assert f"the {path} before it ends where it meets the path of this leg" in error.message
    assert "line 6" in str(error)
