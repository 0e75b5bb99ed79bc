"""The briefing sheet as one HTML file: nothing fetched, nothing run, one page of paper for a usual lesson."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Final

from legwise.look import FONT_STACK, css_variables
from legwise.model.briefing import Briefing
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan
from legwise.report.sheet import sheet_view
from legwise.report.sheet_content import SheetView

if TYPE_CHECKING:
    from jinja2 import Environment
    from markupsafe import Markup

SHEET_MARK: Final = '<meta name="generator" content="Legwise briefing sheet">'
SHEET_HEAD: Final = f'<!DOCTYPE html>\n<html lang="en">\n<head>\n<meta charset="utf-8">\n{SHEET_MARK}\n'
"""How every sheet begins, to the byte: what begins so may be replaced by a newer sheet."""
_POLICY: Final = "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'; form-action 'none'"


def sheet_html(plan: Plan, lesson: Lesson, briefing: Briefing) -> str:
    """The briefing sheet of a plan that was made from ``lesson``. Write it as UTF-8."""
    return render_sheet(sheet_view(plan, lesson, briefing))


def render_sheet(view: SheetView) -> str:
    """The sheet of a view; the same view gives the same text."""
    page = (
        _templates()
        .get_template("sheet.html.j2")
        .render(view=view, policy=_POLICY, mark=_own(SHEET_MARK), style=_own(_style()))
    )
    return page if page.endswith("\n") else page + "\n"


@cache
def _style() -> str:
    own = files("legwise.report").joinpath("static", "sheet.css").read_text(encoding="utf-8")
    return f":root{{color-scheme:light;--font:{FONT_STACK};{css_variables(dark=False)}}}\n{own}"


def _own(text: str) -> Markup:
    """Text of ours, to stand in the page as it is."""
    from markupsafe import Markup  # comes with jinja2: imported where it is used

    return Markup(text)  # noqa: S704 - static text of this package, none of a user


@cache
def _templates() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined  # heavy: imported where it is used

    return Environment(
        loader=PackageLoader("legwise.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
