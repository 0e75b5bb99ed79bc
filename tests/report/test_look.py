"""The palette's promises and the words for signs."""

from __future__ import annotations

import pytest

from legwise.look import PALETTE, STRETCH_MARKS, VERDICT_MARKS, contrast, light_to_dark, words
from legwise.look.leg_words import arrival_words, ends_words, lead_words, leg_words, radius_words
from legwise.model.alignment import Guidance
from legwise.model.briefing import HoldBriefing, PlannedTurn
from legwise.model.plan import AltitudeWindow, LegEnd
from legwise.model.results import Verdict
from report.hand_made_legs import SKH, hold_at, other_leg

TEXT = ("ink", "quiet", "flown", "within", "outside", "undecided")
LINES = ("flown", "owed", "planned", "outside", "ink")
GROUNDS = ("paper", "card")
STRETCHES = [role for role in PALETTE if role.startswith("stretch-")]


def test_contrast_is_that_of_wcag() -> None:
    # WCAG 2.2: black on white 21:1 by definition; #777777 on white is the well-known near miss, 4.48:1.
    assert contrast("#000000", "#ffffff") == pytest.approx(21.0)
    assert contrast("#ffffff", "#777777") == pytest.approx(4.48, abs=0.005)


@pytest.mark.parametrize("theme", [0, 1])
@pytest.mark.parametrize("ground", GROUNDS)
def test_text_and_lines_stand_out_in_both_themes(theme: int, ground: str) -> None:
    for role in TEXT:
        assert contrast(PALETTE[role][theme], PALETTE[ground][theme]) >= 4.5, role
    for role in LINES:
        assert contrast(PALETTE[role][theme], PALETTE[ground][theme]) >= 3.0, role


@pytest.mark.parametrize("theme", [0, 1])
def test_lines_stand_out_on_what_they_are_drawn_over(theme: int) -> None:
    for ground in ("band", "corridor"):
        for role in ("flown", "owed", "outside"):
            assert contrast(PALETTE[role][theme], PALETTE[ground][theme]) >= 3.0, (role, ground)
    for role in STRETCHES:
        assert contrast(PALETTE["ink"][theme], PALETTE[role][theme]) >= 4.5, role


def test_light_colours_are_all_different_so_that_they_can_be_swapped() -> None:
    assert len(light_to_dark()) == len(PALETTE)


def test_every_verdict_and_guidance_has_a_second_cue() -> None:
    assert set(VERDICT_MARKS) == set(Verdict)
    assert len({mark.glyph for mark in VERDICT_MARKS.values()}) == len(Verdict)
    assert set(STRETCH_MARKS) == set(Guidance)


@pytest.mark.parametrize(
    ("value", "said"),
    [
        # contract, Conventions: +0.5 lateral = half scale right of course, and the needle points back to the course
        (0.5, "half scale right of course: needle left"),
        (-0.25, "quarter scale left of course: needle right"),
        (1.0, "full scale right of course: needle left"),
        (-1.3, "1.30 times full scale left of course: needle right"),
        (0.62, "0.62 of full scale right of course: needle left"),
        (0.001, "on course"),
        (float("nan"), "not recorded"),
    ],
)
def test_lateral_needle_in_words(value: float, said: str) -> None:
    assert words.lateral_needle(value) == said


@pytest.mark.parametrize(
    ("value", "said"),
    [
        (0.5, "half scale high: glidepath below"),
        (-0.4, "0.40 of full scale low: glidepath above"),
        (0.0, "on the glidepath"),
    ],
)
def test_vertical_needle_in_words(value: float, said: str) -> None:
    assert words.vertical_needle(value) == said


@pytest.mark.parametrize(
    ("what", "unit", "value", "said"),
    [
        ("altitude", "ft", 60.0, "60 ft high"),
        ("altitude", "ft", -130.0, "130 ft low"),
        ("cross-track", "nm", -0.4, "0.40 NM left of course"),
        ("lateral needle", "scale", 0.75, "three-quarter scale right of course: needle left"),
        ("heading", "deg", -12.0, "12° left of the heading"),
        ("track", "deg", 7.0, "7° right of the course"),
        ("MDA", "ft", -20.0, "20 ft below the minimum"),
        ("DA", "ft", 40.0, "40 ft above the minimum"),
        ("crossing altitude", "ft", -120.0, "120 ft low"),
        ("airspeed", "kt", 8.0, "8 kt fast"),
        ("climb gradient", "ft/nm", -30.0, "−30 ft/NM"),
        ("vertical deviation", "ft", 75.0, "75 ft high: glidepath below"),
    ],
)
def test_deviation_in_words(what: str, unit: str, value: float, said: str) -> None:
    assert words.deviation(what, unit, value) == said


def test_minus_zero_has_no_sign() -> None:
    assert words.number(-0.004, 2) == "0.00"
    assert words.number(-1234.5, 1) == "−1,234.5"


def test_text_from_files_is_one_clean_line() -> None:
    assert words.clean("a\x00b\u202ec\n\td") == "abc d"
    assert words.clean("x" * 50, longest=10) == "x" * 9 + "…"
    assert words.figure_text("<b>&") == "&lt;b&gt;&amp;"


@pytest.mark.parametrize(
    ("leg", "words"),
    [
        (("TF", "BRAKO", "CALDU", ""), "BRAKO to CALDU"),
        (("DF", "", "CALDU", ""), "direct to CALDU"),
        (("CF", "", "CALDU", ""), "to CALDU"),
        (("VA", "RW05", "", "to 900 ft"), "RW05 to 900 ft"),
        (("FC", "SKH", "", "for 22.0 NM"), "SKH for 22.0 NM"),
        (("CR", "NESSA", "", "on radial 037 of TBN"), "NESSA to radial 037 of TBN"),
        (("VI", "", "", "until the next leg"), "heading until the next leg"),
        (("VM", "BRAKO", "", "vectors"), "BRAKO, vectors"),
        (("HM", "TBN", "TBN", ""), "hold at TBN"),
        (("PI", "TBN", "TBN", ""), "procedure turn at TBN"),
        (("VA", "RW05", "", ""), "from RW05"),
    ],
)
def test_a_leg_is_named_by_how_it_ends(leg: tuple[str, str, str, str], words: str) -> None:
    assert leg_words(*leg) == words


def test_a_leg_to_a_fix_ends_in_no_words_and_one_to_an_altitude_in_some() -> None:
    climb = other_leg("R1", "VA", end=LegEnd(kind="altitude"), altitude=AltitudeWindow(low_ft=900.0))

    assert (ends_words(climb), ends_words(other_leg("R2", "DF", to_fix=SKH)), ends_words(None)) == ("to 900 ft", "", "")


def test_a_radius_that_is_no_round_tenth_has_two_decimals() -> None:
    assert [radius_words(nm) for nm in (10.0, 10.08, 2.5, 9.999)] == ["10.0", "10.08", "2.5", "10.0"]


def test_a_lead_without_room_says_so() -> None:
    turn = PlannedTurn(
        turn_deg=90.0, onto="R2", fix="SKH", fly_over=False, lead_nm=0.5, lead_least_nm=0.4, lead_largest_nm=0.6,
        no_room=True,
    )  # fmt: skip

    assert lead_words(turn) == "lead 0.40 to 0.60 NM, no room"


def test_an_entry_that_the_flight_decides_is_told_as_such() -> None:
    brief = HoldBriefing(
        leg_id="R2", hold=hold_at(SKH, 90.0), arrival_course_deg_true=180.0, arrival_course_deg_mag=190.0,
        arrival_estimated=True, entries=("direct", "teardrop"), arrival_within_deg=20.0, entry_depends=True,
    )  # fmt: skip

    assert arrival_words(brief).startswith(
        "arriving between 170° and 210°, the entry depends on where the turn there is made: direct: over the fix"
    )
