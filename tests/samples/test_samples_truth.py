"""The debriefs of the samples, held to what the builder planted.

Tolerances are the recorder's noise, or as said beside them.
"""

from __future__ import annotations

import datetime as dt
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from typing import Any

import numpy as np
import pytest

from builders.tarn.sample import Sample
from samples.debriefed import SAMPLE_TRACKS, Debriefed, stretch_column, when

Debriefs = Callable[..., Debriefed]
BUILDER = Path(__file__).resolve().parents[1] / "builders" / "make_samples.py"
NAMES = ("clean_lpv", "vectors_and_dip", "nothing_said")
RIGHT_SHARE = 0.97
INSTRUCTION_S = 15.0
LEAD_NM = 0.10
"""What a turn's start can be told to: 3 s of roll and of smoothing at 2 NM a minute."""


def seconds_apart(one: dt.datetime, other: dt.datetime) -> float:
    return abs((one - other).total_seconds())


def test_builder_gives_the_stored_bytes_again(tmp_path: Path) -> None:
    """The builder as it is run by hand; numbers and text must not depend on the machine's clock, locale or folder."""
    subprocess.run([sys.executable, BUILDER, "--out", tmp_path], check=True, cwd=tmp_path, stdout=subprocess.DEVNULL)

    assert sorted(folder.name for folder in tmp_path.iterdir()) == sorted(NAMES)
    for folder in tmp_path.iterdir():
        stored = {path.name: path.read_bytes() for path in (SAMPLE_TRACKS / folder.name).iterdir()}
        assert {path.name: path.read_bytes() for path in folder.iterdir()} == stored
        assert all(len(data) < 600_000 for data in stored.values())


@pytest.mark.parametrize("name", NAMES)
def test_every_sample_is_kept(name: str, debriefed: Debriefs, flown: dict[str, Sample]) -> None:
    track = debriefed(name).document["track"]

    assert track["samples"] == track["kept"] == len(flown[name].rows)


@pytest.mark.parametrize("name", NAMES)
def test_guidance_is_what_was_flown_by(name: str, debriefed: Debriefs) -> None:
    debrief = debriefed(name)
    got = debrief.samples["guidance"].tolist()
    true = stretch_column(debrief.samples, debrief.truth, "guidance")

    assert debrief.share_right(got, true) >= RIGHT_SHARE, debrief.disagreements(got, true)


@pytest.mark.parametrize("name", NAMES)
def test_leg_is_the_one_flown(name: str, debriefed: Debriefs) -> None:
    debrief = debriefed(name)
    got = debrief.leg_names().tolist()
    true = stretch_column(debrief.samples, debrief.truth, "leg")

    assert debrief.share_right(got, true) >= RIGHT_SHARE, debrief.disagreements(got, true)


@pytest.mark.parametrize("name", NAMES)
def test_cross_track_is_the_true_one_to_the_noise(name: str, debriefed: Debriefs, flown: dict[str, Sample]) -> None:
    """On planned legs, outside turns: within five standard deviations of the receiver's error, at every sample."""
    debrief, sample = debriefed(name), flown[name]
    noise_nm = (2.5 if name == "nothing_said" else 1.0) / 1852.0
    true_nm = np.array([np.nan if s.cross_track_nm is None else s.cross_track_nm for s in sample.flight.log])
    guided = [s.guidance == "leg" for s in sample.flight.log]
    same_leg = debrief.leg_names().to_numpy() == np.array([s.leg for s in sample.flight.log])
    judged = same_leg & guided & (debrief.samples["in_turn"].fillna(0).to_numpy() == 0) & np.isfinite(true_nm)
    error_nm = debrief.samples["cross_track_nm"].to_numpy(dtype=float)[judged] - true_nm[judged]

    assert judged.sum() > 0.5 * sum(guided)
    assert np.abs(error_nm).max() < 5.0 * noise_nm
    assert np.sqrt(np.mean(error_nm**2)) < 1.6 * noise_nm


@pytest.mark.parametrize("name", NAMES)
def test_turns_have_their_leads(name: str, debriefed: Debriefs) -> None:
    debrief = debriefed(name)
    turns = {turn["fix"]: turn for turn in debrief.document["turns"]}

    for true in debrief.truth["turn"]:
        turn = turns[true["fix"]]
        assert turn["lead_nm"] == pytest.approx(true["lead_nm"], abs=LEAD_NM), true["fix"]
        assert turn["expected_lead_nm"] == pytest.approx(true["expected_lead_nm"], abs=0.05), true["fix"]


@pytest.mark.parametrize("standard", ["faa-instrument", "easa-instrument"])
def test_clean_flight_is_within_everything_that_is_judged(standard: str, debriefed: Debriefs) -> None:
    findings = debriefed("clean_lpv", standard).document["findings"]

    assert [finding for finding in findings if finding["verdict"] == "outside"] == []
    assert [finding for finding in findings if finding["verdict"] not in ("within", "not applicable")] == []
    assert sum(finding["verdict"] == "within" for finding in findings) >= 5


@pytest.mark.parametrize("name", NAMES)
def test_approach_ends_as_it_did(name: str, debriefed: Debriefs) -> None:
    debrief = debriefed(name)
    (approach,) = debrief.document["approaches"]
    outcome = debrief.truth["outcome"]

    assert approach["outcome"] == outcome["approach"]
    assert (approach["airport"], approach["runway"]) == ("XSKH", "RW27")
    assert approach["guidance"] == "LPV"
    assert approach["minima_ft"] == 612


@pytest.mark.parametrize("name", ["clean_lpv", "nothing_said"])
def test_needles_on_final_are_the_true_ones(name: str, debriefed: Debriefs) -> None:
    """Two deviations of height are 9 m of 36 m full scale at the minimum in the portable logger, half that else."""
    debrief = debriefed(name)
    (approach,) = debrief.document["approaches"]
    outcome = debrief.truth["outcome"]

    assert approach["lateral_needle"]["max_abs"] == pytest.approx(abs(outcome["lateral_needle"]), abs=0.05)
    tolerance = 0.25 if name == "nothing_said" else 0.12
    assert approach["vertical_needle"]["max_abs"] == pytest.approx(abs(outcome["vertical_needle"]), abs=tolerance)


def test_leg_held_right_is_measured(debriefed: Debriefs) -> None:
    debrief = debriefed("vectors_and_dip")
    (offset,) = debrief.planted("offset")
    held = debrief.samples["time"].between(offset["from"], offset["to"])

    assert set(debrief.leg_names()[held]) == {offset["leg"]}
    assert debrief.samples.loc[held, "cross_track_nm"].mean() == pytest.approx(offset["cross_track_nm"], abs=0.02)
    assert debrief.samples.loc[held, "cross_track_nm"].between(0.35, 0.45).all()


def test_late_turn_is_seen(debriefed: Debriefs) -> None:
    debrief = debriefed("vectors_and_dip")
    (late,) = debrief.planted("late-turn")
    (turn,) = (turn for turn in debrief.document["turns"] if turn["fix"] == late["fix"])

    assert turn["expected_lead_nm"] - turn["lead_nm"] == pytest.approx(late["late_nm"], abs=LEAD_NM)
    assert seconds_apart(when(turn["start"]), late["turn_begun"]) <= 5.0


def test_low_dip_is_found(debriefed: Debriefs) -> None:
    debrief = debriefed("vectors_and_dip")
    (dip,) = debrief.planted("low-dip")
    (finding,) = (
        finding
        for finding in debrief.document["findings"]
        if finding["what"].startswith("vertical needle") and finding["verdict"] == "outside"
    )

    assert finding["worst"] == pytest.approx(dip["vertical_needle"], abs=0.05)
    assert seconds_apart(when(finding["at_worst"]), dip["at"]) <= 10.0
    assert finding["limit"] == 0.75
    assert finding["excursions"] == 1
    assert finding["outside_s"] == pytest.approx(dip["beyond_s"], abs=8.0)


def test_lateral_needle_stays_within_on_final(debriefed: Debriefs) -> None:
    """Nothing but the dip was planted on final."""
    debrief = debriefed("vectors_and_dip")
    final = debrief.leg_names() == "FERNU-RW27"

    assert debrief.samples.loc[final, "lateral_needle"].abs().max() < 0.5


def instructions(debrief: Debriefed, kind: str, **values: object) -> list[dict[str, Any]]:
    """Instructions of a kind whose values are these."""
    return [
        entry
        for entry in debrief.document["clearances"]
        if entry["kind"] == kind and all(entry.get(key) == value for key, value in values.items())
    ]


def test_what_was_said_stands_in_the_debrief(debriefed: Debriefs) -> None:
    debrief = debriefed("vectors_and_dip")
    (heading,), (direct,) = debrief.planted("heading"), debrief.planted("direct")
    first, second = debrief.planted("vectors")

    for planted in (heading, first, second):
        entries = instructions(debrief, "heading", heading_deg_mag=planted["heading_deg_mag"])
        assert min(seconds_apart(when(entry["time"]), planted["said"]) for entry in entries) <= INSTRUCTION_S
    (said_direct,) = instructions(debrief, "direct", direct="CALDU")
    assert seconds_apart(when(said_direct["time"]), direct["said"]) <= INSTRUCTION_S
    assert len(instructions(debrief, "cleared")) == 1
    assert {entry["origin"] for entry in debrief.document["clearances"] if entry["kind"] != "missed"} == {"said"}


@pytest.mark.parametrize("name", ["vectors_and_dip", "nothing_said"])
def test_join_is_judged_from_the_join_on(name: str, debriefed: Debriefs) -> None:
    debrief = debriefed(name)
    (join,) = debrief.planted("join")
    (approach,) = debrief.document["approaches"]
    first = debrief.samples[debrief.leg_names() == join["leg"]].iloc[0]

    assert seconds_apart(first["time"].to_pydatetime(), join["turn_begun"]) <= INSTRUCTION_S
    assert first["along_track_to_go_nm"] == pytest.approx(join["to_faf_nm"], abs=0.4)
    assert (
        join["turn_begun"] - dt.timedelta(seconds=INSTRUCTION_S)
        <= when(approach["joined_at"])
        <= join["on_course"] + dt.timedelta(seconds=2 * INSTRUCTION_S)
    )


def test_missed_approach_is_told(debriefed: Debriefs) -> None:
    debrief = debriefed("vectors_and_dip")
    (planted,) = debrief.planted("missed")
    (missed,) = debrief.document["missed"]
    (approach,) = debrief.document["approaches"]

    assert seconds_apart(when(missed["started_at"]), planted["started"]) <= 8.0
    assert missed["started_ft"] == pytest.approx(planted["lowest_ft"], abs=25.0)
    assert approach["lowest_altitude_ft"] == pytest.approx(planted["lowest_ft"], abs=20.0)
    assert missed["before_map"] is False
    assert missed["turn_before_map"] is False
    assert missed["climb_ft_per_nm"] > 200.0


def test_what_nobody_said_is_inferred(debriefed: Debriefs) -> None:
    """Headings by track alone carry the drift: 13 kt across 108 kt are 7 degrees."""
    debrief = debriefed("nothing_said")
    (direct,) = debrief.planted("direct")

    (inferred,) = instructions(debrief, "direct", direct=direct["to"])
    assert seconds_apart(when(inferred["time"]), direct["turn_begun"]) <= INSTRUCTION_S
    for planted in debrief.planted("vectors"):
        near = [
            entry
            for entry in instructions(debrief, "heading")
            if seconds_apart(when(entry["time"]), planted["turn_begun"]) <= INSTRUCTION_S
        ]
        assert len(near) == 1, planted
        assert near[0]["heading_deg_mag"] == pytest.approx(planted["heading_deg_mag"], abs=12.0)
    assert {entry["origin"] for entry in debrief.document["clearances"]} == {"inferred"}
    assert all(0.0 <= entry["confidence"] <= 1.0 for entry in debrief.document["clearances"])
    assert debrief.document["summary"]["questions"]


def test_nothing_is_inferred_on_the_clean_flight(debriefed: Debriefs) -> None:
    kinds = [(entry["origin"], entry["kind"]) for entry in debriefed("clean_lpv").document["clearances"]]

    assert [kind for origin, kind in kinds if origin == "inferred"] == []


def test_the_planted_offset_is_told_though_it_is_within_the_limit(debriefed: Debriefs) -> None:
    texts = [fact["text"] for fact in debriefed("vectors_and_dip").document["facts"]]

    assert any(text.startswith("On CALDU to NORVI the track ran 0.40 NM right of course for") for text in texts), texts


@pytest.mark.parametrize("name", ["clean_lpv", "nothing_said"])
def test_no_offset_is_told_where_none_was_flown(name: str, debriefed: Debriefs) -> None:
    assert not [fact for fact in debriefed(name).document["facts"] if "of course for" in fact["text"]]
