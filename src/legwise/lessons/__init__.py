"""A lesson file (TOML) to a lesson, and back; the text of a route to its elements; what was said, in shorthand."""

from legwise.lessons.reading import parse_lesson, read_lesson
from legwise.lessons.route_text import split_route_text
from legwise.lessons.shorthand import Said, read_shorthand, read_shorthand_file, shorthand_of, with_said
from legwise.lessons.writing import lesson_toml

__all__ = [
    "Said",
    "lesson_toml",
    "parse_lesson",
    "read_lesson",
    "read_shorthand",
    "read_shorthand_file",
    "shorthand_of",
    "split_route_text",
    "with_said",
]
