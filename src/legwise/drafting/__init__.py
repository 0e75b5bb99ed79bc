"""A debriefed flight to a lesson file to start from, to be confirmed or corrected by who was there."""

from legwise.drafting.draft import draft_toml

__all__ = ["draft_toml"]
