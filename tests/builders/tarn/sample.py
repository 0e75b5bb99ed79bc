"""A finished sample: the files of one folder under ``sample_tracks``."""

from __future__ import annotations

from dataclasses import dataclass

from builders.tarn.flight import Flight
from builders.tarn.recorder import Row
from builders.tarn.truth import Truth


@dataclass(frozen=True, slots=True, kw_only=True)
class Sample:
    """A flown flight with its files, by name; ``flight`` and ``truth`` are kept for tests."""

    name: str
    flight: Flight
    rows: list[Row]
    truth: Truth
    files: dict[str, str]


def about_text(name: str, seed: int, story: str) -> str:
    """``ABOUT.md`` of a sample."""
    return f"""# {name}

{story}

Invented: no such islands, aerodromes, fixes, procedures or people exist. **Not for navigation.** Flown by the builder
under `tests/builders/` (`python tests/builders/make_samples.py`) from seed {seed}; the same seed gives the same bytes.
`lesson.toml` is the lesson as an instructor would have written it, `truth.toml` what was really flown and planted.
Licence: MIT, as the project.
"""
