"""From a view to one HTML file: everything inside it, nothing fetched, nothing run that is not ours."""

from __future__ import annotations

import base64
import hashlib
import json
from collections.abc import Mapping
from functools import cache
from importlib.resources import files
from typing import TYPE_CHECKING, Any

import numpy as np
import numpy.typing as npt

from legwise.look import FONT_STACK, css_variables, light_to_dark
from legwise.report.content import DebriefView
from legwise.report.figures import figures_of
from legwise.report.ground import GRIDS_NM
from legwise.report.ground_figure import grid_words

if TYPE_CHECKING:
    from jinja2 import Environment

PLOTLY_JS_VERSION = "4.1.1"
PLOTLY_JS_FILE = f"vendor/plotly-basic-{PLOTLY_JS_VERSION}.min.js"
PLOTLY_JS_SHA256 = "99784e3abfb07b142a15e521a439e6d9addceadb3f79553fd24c72774f0649ba"
_SCRIPTS = ("data.js", "charts.js", "moment.js", "rows.js")

Json = dict[str, Any] | list[Any] | str | int | float | bool | None


def render(view: DebriefView) -> str:
    """The whole page, its line ends ``\\n``. Write it as UTF-8 bytes unchanged: its scripts are admitted by their
    hashes.
    """
    library = static_text(PLOTLY_JS_FILE)
    script = "\n".join(static_text(name) for name in _SCRIPTS)
    hashes = " ".join(_script_hash(text) for text in (library, script))
    policy = (
        f"default-src 'none'; script-src {hashes}; style-src 'unsafe-inline'; img-src data: blob:; "
        "base-uri 'none'; form-action 'none'"
    )
    page = (
        _templates()
        .get_template("debrief.html.j2")
        .render(
            view=view,
            data=page_data(view),
            policy=policy,
            style=_own(_style()),
            library=_own(library),
            script=_own(script),
        )
    )
    return page if page.endswith("\n") else page + "\n"


def page_data(view: DebriefView) -> dict[str, Json]:
    """What the scripts need, as JSON: packed arrays, figures and series that refer to them, the palette's dark half."""
    pool = _Pool()
    series = view.series
    figures = {name: pool.share(json.loads(made.to_json())) for name, made in figures_of(view).items()}
    return {
        "figures": figures,
        "times": pool.add(series.time_ms),
        "recorded": pool.add((series.index >= 0).astype(np.int8)),
        "east": pool.add(series.east_nm.astype(np.float32)),
        "north": pool.add(series.north_nm.astype(np.float32)),
        "altitude": pool.add(series.altitude_ft.astype(np.float32)),
        "lateral": pool.add(series.lateral_needle.astype(np.float32)),
        "vertical": pool.add(series.vertical_needle.astype(np.float32)),
        "speed": pool.add(series.groundspeed_kt.astype(np.float32)),
        "toGo": {profile.key: pool.add(profile.to_go_nm.astype(np.float32)) for profile in view.profiles},
        "readout": [
            {"name": part.name, "words": list(part.words), "codes": pool.add(_narrow(part.codes))}
            for part in view.readout
        ],
        "stretches": [
            {"label": item.label, "from": item.span.from_ms, "to": item.span.to_ms} for item in view.stretches
        ],
        "grids": [{"side": side, "words": grid_words(side)} for side in GRIDS_NM],
        "dark": dict(light_to_dark()),
        "arrays": list(pool.arrays),
    }


class _Pool:
    """Packed arrays, each kept once; the rest refers to them as ``{"array": place}``."""

    def __init__(self) -> None:
        self.arrays: list[Json] = []
        self._places: dict[tuple[str, str], int] = {}

    def add(self, values: npt.NDArray[Any]) -> Json:
        return self._keep(values.dtype.str[1:], base64.b64encode(values.tobytes()).decode("ascii"))

    def share(self, value: Json) -> Json:
        """``value`` with every packed array in it moved to the pool."""
        if isinstance(value, list):
            return [self.share(item) for item in value]
        if not isinstance(value, Mapping):
            return value
        if value.keys() == {"dtype", "bdata"}:
            return self._keep(str(value["dtype"]), str(value["bdata"]))
        return {key: self.share(item) for key, item in value.items()}

    def _keep(self, kind: str, packed: str) -> Json:
        place = self._places.setdefault((kind, packed), len(self.arrays))
        if place == len(self.arrays):
            self.arrays.append({"dtype": kind, "bdata": packed})
        return {"array": place}


def _narrow(codes: npt.NDArray[np.int64]) -> npt.NDArray[Any]:
    return codes.astype(np.int16 if codes.size == 0 or codes.max() < 32_768 else np.int32)


@cache
def static_text(name: str) -> str:
    """A file of ``static/`` as text, its line ends as they are."""
    return files("legwise.report").joinpath("static", name).read_bytes().decode("utf-8")


def _style() -> str:
    palette = (
        f":root{{color-scheme:light dark;--font:{FONT_STACK};{css_variables(dark=False)}}}\n"
        f"@media screen and (prefers-color-scheme:dark){{:root{{{css_variables(dark=True)}}}}}\n"
    )
    return palette + static_text("page.css")


def _script_hash(text: str) -> str:
    return f"'sha256-{base64.b64encode(hashlib.sha256(text.encode()).digest()).decode('ascii')}'"


def _own(text: str) -> str:
    """Text of ours, to stand in the page as it is."""
    from markupsafe import Markup  # comes with jinja2: imported where it is used

    return Markup(text)  # noqa: S704 - static files of this package, no text of a user


@cache
def _templates() -> Environment:
    from jinja2 import Environment, PackageLoader, StrictUndefined  # heavy: imported where it is used

    made = Environment(
        loader=PackageLoader("legwise.report"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    made.policies["json.dumps_kwargs"] = {"sort_keys": True, "separators": (",", ":"), "allow_nan": False}
    return made
