"""What to ask each other: what the alignment doubts, what the log can't decide, and what no log shows. Few, in plain
words, the most important first."""

from __future__ import annotations

from legwise.explain import phrases
from legwise.look import words
from legwise.model.alignment import Alignment
from legwise.model.deviations import JudgedAltitude
from legwise.model.results import Assessment, Finding, Verdict
from legwise.model.standard import Quantity
from legwise.model.track import AltitudeKind

MOST = 5

_HEIGHTS = frozenset(
    {
        Quantity.ALTITUDE,
        Quantity.CROSSING_ALTITUDE,
        Quantity.MDA,
        Quantity.DA,
        Quantity.VERTICAL_NEEDLE,
        Quantity.VERTICAL_DEVIATION,
    }
)

_KIND_WORDS: dict[AltitudeKind, str] = {
    AltitudeKind.INDICATED: "the indicated altitude",
    AltitudeKind.PRESSURE: "pressure altitude",
    AltitudeKind.GNSS_MSL: "GNSS height",
    AltitudeKind.GNSS_ELLIPSOID: "GNSS height",
    AltitudeKind.UNKNOWN: "of an unknown kind",
}


def questions(alignment: Alignment, assessment: Assessment, judged: JudgedAltitude) -> tuple[str, ...]:
    """At most ``MOST`` questions, and a line that counts the rest.

    First the alignment's own, since what was owed hangs on them; then descents below a minimum, what the log can't
    decide, nearest to its limit first, and what was not recorded. Open heights make one question: one look at an
    altimeter would answer them all.
    """
    undecided = [item for item in phrases.with_verdict(assessment, Verdict.UNDECIDED) if item.open != "instruction"]
    missing = phrases.with_verdict(assessment, Verdict.NOT_RECORDED)
    minima = [finding for finding in missing if _is_below_minima(finding)]
    open_ = [*sorted(undecided, key=_room), *(finding for finding in missing if finding not in minima)]
    of_findings = [_below_minima(finding) for finding in minima]
    heights = [finding for finding in open_ if phrases.quantity_of(finding) in _HEIGHTS]
    asked_of_height = False
    for finding in open_:
        if len(heights) > 1 and finding in heights:
            if not asked_of_height:
                of_findings.append(_altimeter(sorted(heights, key=lambda item: item.from_), judged))
            asked_of_height = True
        elif finding.verdict is Verdict.UNDECIDED:
            of_findings.append(_undecided(finding, assessment))
        else:
            of_findings.append(_missing(finding, assessment))
    return _at_most(tuple(dict.fromkeys(alignment.questions)), tuple(dict.fromkeys(of_findings)))


def _at_most(of_alignment: tuple[str, ...], of_findings: tuple[str, ...]) -> tuple[str, ...]:
    """The first ``MOST``, and how many more there are; the alignment's leave room for one of the findings'."""
    room = MOST - min(len(of_findings), 1)
    first = of_alignment[:room]
    asked = (*first, *of_findings[: MOST - len(first)])
    left = len(of_alignment) + len(of_findings) - len(asked)
    if left == 0:
        return asked
    place = "findings" if len(first) == len(of_alignment) else "instructions and findings"
    return (*asked, f"And {left} more in the {place}.")


def _room(finding: Finding) -> float:
    """How far inside its limit the worst value is, in parts of the doubt; negative beyond it."""
    size = abs(finding.worst) if finding.worst is not None else 0.0
    return (finding.limit - size) / finding.uncertainty if finding.uncertainty else finding.limit - size


def _altimeter(heights: list[Finding], judged: JudgedAltitude) -> str:
    """One question for all the heights that stay open, with the places to remember."""
    ends = [_height_at(finding) for finding in heights if phrases.quantity_of(finding) not in _VERTICAL]
    places = list(dict.fromkeys(ends))
    needle = any(phrases.quantity_of(finding) in _VERTICAL for finding in heights)
    asked = []
    if places:
        asked.append(f"the altimeter show {_listed(places)}")
    if needle:
        asked.append("the glidepath needle show on the final approach")
    known = [finding for finding in heights if finding.unit == "ft" and finding.verdict is Verdict.UNDECIDED]
    decides = f"which can't decide {len(heights)} limits"
    if judged.kind is None:
        start = "The log holds no altitude"
    elif known:
        doubt_ft = max(finding.uncertainty for finding in known)
        start = f"The log's altitude is {_KIND_WORDS[judged.kind]}, known to {words.number(doubt_ft)} ft, {decides}"
    else:
        least = max(heights, key=lambda item: item.uncertainty)
        start = f"The log knows the place on the glidepath to {phrases.amount(least, least.uncertainty)}, {decides}"
    return f"{start}. What did {', and '.join(asked)}?"


_VERTICAL = frozenset({Quantity.VERTICAL_NEEDLE, Quantity.VERTICAL_DEVIATION})


def _height_at(finding: Finding) -> str:
    """``"at 5,000 ft"``, ``"at FERNU"``, ``"at the DA"``."""
    quantity = phrases.quantity_of(finding)
    if quantity is Quantity.CROSSING_ALTITUDE and finding.fix:
        return f"at {words.clean(finding.fix)}"
    if quantity in {Quantity.MDA, Quantity.DA}:
        return f"at the {finding.what}"
    return f"at {words.number(finding.owed)} ft" if finding.owed is not None else f"at {phrases.clock(finding.from_)}"


def _listed(places: list[str]) -> str:
    """``"at 5,000 ft, at 3,500 ft and at FERNU"``; of many the first few, and that there are more."""
    if len(places) > MOST:
        return f"{', '.join(places[:MOST])} and elsewhere"
    return places[0] if len(places) == 1 else f"{', '.join(places[:-1])} and {places[-1]}"


def _undecided(finding: Finding, assessment: Assessment) -> str:
    known = phrases.amount(finding, finding.uncertainty)
    at = f" at {phrases.clock(finding.at_worst)}" if finding.at_worst is not None else ""
    size = abs(finding.worst) if finding.worst is not None else 0.0
    if size < finding.limit / 2 and finding.uncertainty > finding.limit / 2:
        return (
            f"{phrases.where(finding, assessment)}: the log knows the {finding.what} only to {known}, against a limit "
            f"of {phrases.limit(finding)}. What did the instruments show?"
        )
    return (
        f"{phrases.where(finding, assessment)}: the log shows {phrases.value(finding)}{at} against a limit of "
        f"{phrases.limit(finding)}, and knows it to {known}. What did the instruments show?"
    )


def _is_below_minima(finding: Finding) -> bool:
    return finding.seen_at is not None or (
        phrases.quantity_of(finding) in {Quantity.MDA, Quantity.DA} and "references" in finding.reason
    )


def _below_minima(finding: Finding) -> str:
    if finding.seen_at is None:
        return f"From {phrases.clock(finding.from_)} the descent went below the minimum. What was in sight, and when?"
    late_s = (finding.seen_at - finding.from_).total_seconds()
    return (
        f"The runway was reported in sight at {phrases.clock(finding.seen_at)}, {late_s:.0f} s after the descent went "
        "below the minimum. Is that when it came in sight, or when it was noted?"
    )


def _missing(finding: Finding, assessment: Assessment) -> str:
    if phrases.quantity_of(finding) is Quantity.HEADING:
        return f"No heading was recorded from {phrases.clock(finding.from_)} on. How were the assigned headings held?"
    place = phrases.where(finding, assessment)
    return f"{place}: {finding.what} is not recorded from {phrases.clock(finding.from_)} on. How did it go there?"
