"""A lesson file (TOML) to a lesson, and back; the text of a route to its elements."""

from legwise.lessons.reading import parse_lesson, read_lesson
from legwise.lessons.route_text import split_route_text
from legwise.lessons.writing import lesson_toml

__all__ = ["lesson_toml", "parse_lesson", "read_lesson", "split_route_text"]
