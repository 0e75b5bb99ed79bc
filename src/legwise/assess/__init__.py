"""Deviations against a standard: figures and findings, each with its doubt and its source."""

from legwise.assess.assessment import assess

__all__ = ["assess"]
