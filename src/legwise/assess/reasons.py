"""What a finding says of itself, in a sentence for the page: the worst value in words, its time, the limit, the
doubt."""

from __future__ import annotations

from legwise.assess.judging import Judgement
from legwise.look import words
from legwise.model.instants import instant
from legwise.model.results import Verdict
from legwise.model.standard import Quantity, Tolerance, Unit

_DECIMALS: dict[str, int] = {"scale": 2, "nm": 2}

_NOT_RECORDED: dict[Quantity, str] = {
    Quantity.ALTITUDE: "No altitude was recorded here.",
    Quantity.CROSSING_ALTITUDE: "No altitude was recorded here.",
    Quantity.MDA: "No altitude was recorded here.",
    Quantity.DA: "No altitude was recorded here.",
    Quantity.HEADING: "No heading was recorded; on a heading the track over the ground is not the heading.",
    Quantity.LATERAL_NEEDLE: "No deviation could be worked out here.",
    Quantity.VERTICAL_NEEDLE: "No deviation from the glidepath could be worked out here.",
    Quantity.VERTICAL_DEVIATION: "No deviation from the glidepath could be worked out here.",
    Quantity.CROSS_TRACK: "No deviation could be worked out here.",
    Quantity.TRACK: "No track could be worked out here.",
}


def clock(epoch_s: float) -> str:
    """The time of day, UTC, to the whole second begun: ``"13:12:40Z"``."""
    return f"{instant(epoch_s):%H:%M:%S}Z"


def reason_of(
    tolerance: Tolerance,
    judgement: Judgement,
    at_s: float | None,
    *,
    owed: float | None = None,
    flown: float | None = None,
    extra: str = "",
) -> str:
    """The sentence for a finding.

    ``at_s`` is the time of the worst value, ``owed`` the altitude or heading it is measured from, ``flown`` the
    altitude that a fix was crossed at, ``extra`` a further sentence.
    """
    if judgement.worst is None or at_s is None:
        text = _NOT_RECORDED.get(tolerance.quantity, "Not recorded.")
    else:
        moment = f"{_value(tolerance, judgement, owed, flown)} at {clock(at_s)}"
        text = f"{_lead(tolerance)} {moment}; limit {_limit(tolerance, judgement)}.{_doubt(tolerance, judgement)}"
    return f"{text} {extra}" if extra else text


def _lead(tolerance: Tolerance) -> str:
    if tolerance.quantity is Quantity.CROSSING_ALTITUDE:
        return "Crossed"
    if tolerance.quantity is Quantity.DA:
        return "Lowest:"
    return "Nearest its limits:" if tolerance.quantity is Quantity.MDA else "Largest:"


def _value(tolerance: Tolerance, judgement: Judgement, owed: float | None, flown: float | None) -> str:
    """The value in words; with a further decimal where rounding would make it look like its limit.

    A fix crossed with nothing beyond its bound is told with the altitude flown: the bound may lie far from it.
    """
    worst, limit = judgement.worst or 0.0, judgement.limit
    if tolerance.quantity is Quantity.CROSSING_ALTITUDE and owed is not None:
        side = "above" if worst > 0 else "below"
        text = (
            f"{words.number(abs(worst))} ft {side} {words.number(owed)} ft"
            if round(worst)
            else f"at {words.number(owed if flown is None else flown)} ft"
        )
    else:
        text = words.deviation(tolerance.quantity.value, tolerance.unit, worst)
    decimals = _DECIMALS.get(tolerance.unit, 0)
    if abs(worst) != limit and round(abs(worst), decimals) == round(limit, decimals):
        return f"{text} ({words.number(abs(worst), decimals + 2)})"
    return text


def limit_words(tolerance: Tolerance, limit: float) -> str:
    """A limit in words: ``"three-quarter scale"``, ``"100 ft"``."""
    if tolerance.unit == "scale":
        return words.scale(limit)
    return words.amount(limit, tolerance.unit)


def _limit(tolerance: Tolerance, judgement: Judgement) -> str:
    if tolerance.quantity in {Quantity.MDA, Quantity.DA}:
        binds_above = judgement.limit > 0
        return f"the minimum to {words.amount(judgement.limit, 'ft')} above it" if binds_above else "the minimum itself"
    text = limit_words(tolerance, judgement.limit)
    if tolerance.brief_high is not None and tolerance.brief_s is not None:
        text += f", briefly ({tolerance.brief_s:.0f} s: a setting) {words.amount(tolerance.brief_high, tolerance.unit)}"
    return text


def _doubt(tolerance: Tolerance, judgement: Judgement) -> str:
    if judgement.brief:
        return " Only briefly beyond the normal limit."
    if judgement.verdict is not Verdict.UNDECIDED:
        return ""
    if judgement.worst is not None and abs(judgement.worst) - judgement.limit > judgement.uncertainty:
        return " Beyond it for too short a time to be sure of."
    return f" The log knows it to {_amount(judgement.uncertainty, tolerance.unit)}, which can't decide it."


def _amount(size: float, unit: Unit) -> str:
    return f"{words.number(size, 3 if unit in {'scale', 'nm'} else 0)}{_UNIT[unit]}"


_UNIT: dict[str, str] = {"ft": " ft", "nm": " NM", "scale": " of full scale", "deg": "°"}
