"""Legwise: what was cleared, what was flown, how it stood against the standard, and why. A training aid, not for navigation."""

__version__ = "0.1.0"
