"""Findings in plain words: what went well, what to work on, what to fly next, what to ask each other."""

from legwise.explain.explanation import explain

__all__ = ["explain"]
