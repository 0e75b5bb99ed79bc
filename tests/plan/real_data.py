"""Real records of tests/data/arinc424 (public domain, old cycles, not for navigation), opened."""

from __future__ import annotations

import pathlib
import tempfile
from functools import cache

from legwise.model.navdata import NavData
from legwise.navdata import open_navdata
from plan.procedure_tally import Tally, grouped, tally

FOLDER = pathlib.Path(__file__).resolve().parents[1] / "data" / "arinc424"


@cache
def cycle(name: str) -> NavData:
    """All files of one cycle as one ("2101")."""
    with tempfile.TemporaryDirectory() as folder:
        (file,) = grouped(FOLDER.glob(f"faacifp18_{name}_*.txt"), pathlib.Path(folder))
        return open_navdata(file)


@cache
def whole_tally() -> Tally:
    """The tally over all files."""
    with tempfile.TemporaryDirectory() as folder:
        return tally(grouped(FOLDER.glob("*.txt"), pathlib.Path(folder)))
