"""From a result to a view, from the view to figures and to one HTML page."""

from legwise.report.content import DebriefView
from legwise.report.figures import figures_of
from legwise.report.page import render
from legwise.report.view import view_of

__all__ = ["DebriefView", "figures_of", "render", "view_of"]
