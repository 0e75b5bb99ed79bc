"""A route as it is written, for messages that point at it; and what its elements turn out to be."""

from __future__ import annotations

from dataclasses import dataclass

from legwise.errors import PlanError
from legwise.model.navdata import CodedProcedure
from legwise.model.route_text import RouteElement, caret_under
from legwise.plan.fixes.places import Place
from legwise.plan.route.airways import Stretch


@dataclass(frozen=True, slots=True, kw_only=True)
class RouteWords:
    """A route as it is written: its elements, where it stands, and its text, "" where its points are listed."""

    elements: tuple[RouteElement, ...]
    where: str
    text: str = ""

    def place_of(self, element: RouteElement) -> str:
        """Where an element stands, for a message: the text, or the number of the point in its list."""
        return self.where if self.text else f"{self.where} {element.start + 1}"

    def pointed_at(self, element: RouteElement, remedy: str) -> str:
        """A remedy with the element shown under it, carets below."""
        if not self.text:
            return remedy
        return f"{remedy}\n{caret_under(self.text, element.start, element.stop)}".lstrip("\n")

    def error(self, element: RouteElement, message: str, remedy: str) -> PlanError:
        """An error about an element."""
        return PlanError(message, where=self.place_of(element), remedy=self.pointed_at(element, remedy))


@dataclass(frozen=True, slots=True, kw_only=True)
class PointItem:
    """A point, and the places that it may mean: at least one."""

    element: RouteElement
    places: tuple[Place, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class AirwayItem:
    """An airway, and its stretches: at least one."""

    element: RouteElement
    stretches: tuple[Stretch, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ProcedureItem:
    """A departure or an arrival."""

    element: RouteElement
    procedure: CodedProcedure


@dataclass(frozen=True, slots=True, kw_only=True)
class DirectItem:
    """DCT."""

    element: RouteElement


Item = PointItem | AirwayItem | ProcedureItem | DirectItem
