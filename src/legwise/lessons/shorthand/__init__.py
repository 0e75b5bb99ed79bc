"""What was said, in shorthand: a line each as an instructor scribbles it, to the tables of a lesson, and back."""

from legwise.lessons.shorthand.adding import read_shorthand_file, with_said
from legwise.lessons.shorthand.reading import Said, read_shorthand
from legwise.lessons.shorthand.writing import shorthand_of

__all__ = ["Said", "read_shorthand", "read_shorthand_file", "shorthand_of", "with_said"]
