"""Deviations: which altitude is judged, and how far every sample was from what was owed."""

from legwise.measure.altimetry import judge_altitude
from legwise.measure.flight import measure

__all__ = ["judge_altitude", "measure"]
