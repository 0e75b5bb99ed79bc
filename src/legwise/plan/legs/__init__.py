"""Legs, written out or coded, to what they fix before the flight: a path, a course, a heading, a hold, a reversal."""
