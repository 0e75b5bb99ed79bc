"""A sample's debrief by the package's public calls, beside the truth about it."""

from __future__ import annotations

import datetime as dt
import json
import tomllib
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import pandas as pd

import legwise

SAMPLE_TRACKS = Path(__file__).resolve().parents[2] / "sample_tracks"


@dataclass(frozen=True)
class Debriefed:
    """A sample's debrief, beside the truth about it. ``samples.time`` is an aware UTC time."""

    document: dict[str, Any]
    samples: pd.DataFrame
    truth: dict[str, Any]

    def leg_names(self) -> pd.Series[str]:
        """FROM-TO of the leg of each sample, empty where there is none."""
        names = {leg["id"]: f"{leg['from'] or ''}-{leg['to']}" for leg in self.document["legs"]}
        return self.samples["leg"].fillna("").map(lambda leg_id: names[leg_id] if leg_id else "")

    def planted(self, kind: str) -> list[dict[str, Any]]:
        """What was planted of a kind, in order."""
        return [planted for planted in self.truth["planted"] if planted["kind"] == kind]

    def disagreements(self, got: list[str], true: list[str]) -> str:
        """Where the debrief and the truth differ, in runs, for the message of a failing test."""
        lines: list[str] = []
        run: tuple[str, str] | None = None
        for time, have, want in zip(self.samples["time"], got, true, strict=True):
            pair = (have, want)
            if have != want and pair != run:
                lines.append(f"{time:%H:%M:%S} on: {have!r}, was {want!r}")
            run = pair
        return "\n".join(lines)

    def share_right(self, got: list[str], true: list[str]) -> float:
        """The share of samples that are as in truth."""
        right = [have == want for have, want in zip(got, true, strict=True)]
        return sum(right) / len(right)


def stretch_column(samples: pd.DataFrame, truth: dict[str, Any], key: str) -> list[str]:
    """The truth for every sample: ``guidance`` or ``leg`` of its stretch."""
    values = []
    stretches = iter(truth["stretch"])
    stretch = next(stretches)
    for time in samples["time"]:
        while time >= stretch["end"]:
            stretch = next(stretches)
        values.append(stretch[key])
    return values


def when(text: str) -> dt.datetime:
    """A time of a debrief."""
    return dt.datetime.fromisoformat(text)


def debrief_of(folder: Path, out: Path, standard: str) -> Debriefed:
    """Debrief the one track in a folder with its lesson."""
    (track_file,) = folder.glob("track.*")
    lesson = legwise.read_lesson(folder / "lesson.toml")
    debrief = legwise.debrief(legwise.read_track(track_file), lesson, standard=standard)
    debrief.to_json(out / "debrief.json")
    document = json.loads((out / "debrief.json").read_text())
    samples = debrief.samples.assign(time=lambda frame: pd.to_datetime(frame["time"], utc=True, format="ISO8601"))
    truth_file = folder / "truth.toml"
    return Debriefed(document, samples, tomllib.loads(truth_file.read_text()) if truth_file.exists() else {})
