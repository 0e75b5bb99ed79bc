"""The samples, re-flown by their builder and debriefed through the package's public calls."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import pytest

from builders.make_samples import BUILDERS
from builders.tarn.sample import Sample
from samples.debriefed import SAMPLE_TRACKS, Debriefed, debrief_of


@pytest.fixture(scope="session")
def flown() -> dict[str, Sample]:
    """The samples, flown anew."""
    return {sample.name: sample for sample in (build() for build in BUILDERS)}


@pytest.fixture(scope="session")
def debriefed(tmp_path_factory: pytest.TempPathFactory) -> Callable[[str, str], Debriefed]:
    """The debrief of a stored sample under a standard, made once."""

    @cache
    def made(name: str, standard: str = "faa-instrument") -> Debriefed:
        return debrief_of(SAMPLE_TRACKS / name, tmp_path_factory.mktemp(name), standard)

    return made
