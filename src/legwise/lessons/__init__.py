"""A lesson file (TOML) to a lesson; the text of a route to its points."""

from legwise.lessons.reading import parse_lesson, read_lesson
from legwise.lessons.route_text import split_route_text

__all__ = ["parse_lesson", "read_lesson", "split_route_text"]
