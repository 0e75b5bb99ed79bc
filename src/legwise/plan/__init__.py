"""A lesson to a plan: every leg with its path, course and altitudes."""

from legwise.plan.making import make_plan
from legwise.plan.route.planned import GivenRoute

__all__ = ["GivenRoute", "make_plan"]
