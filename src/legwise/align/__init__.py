"""What was cleared, said or inferred, and what was flown: a track and a plan become an alignment."""

from legwise.align.story import align

__all__ = ["align"]
