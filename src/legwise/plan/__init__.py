"""A lesson to a plan: every leg with its path, course and altitudes."""

from legwise.plan.making import make_plan

__all__ = ["make_plan"]
