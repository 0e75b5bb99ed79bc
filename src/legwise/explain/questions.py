"""What to ask each other: what the alignment doubts, what the log can't decide, and what no log shows. Few, and in
plain words."""

from __future__ import annotations

from legwise.explain import phrases
from legwise.model.alignment import Alignment
from legwise.model.results import Assessment, Finding, Verdict
from legwise.model.standard import Quantity

MOST_OF_A_KIND = 3


def questions(alignment: Alignment, assessment: Assessment) -> tuple[str, ...]:
    """The alignment's own questions, then those of findings that stay open, nearest to their limit first."""
    undecided = sorted(phrases.with_verdict(assessment, Verdict.UNDECIDED), key=_room)
    missing = phrases.with_verdict(assessment, Verdict.NOT_RECORDED)
    asked = [
        *alignment.questions,
        *[_undecided(finding, assessment) for finding in undecided[:MOST_OF_A_KIND]],
        *list(dict.fromkeys(_missing(finding, assessment) for finding in missing))[:MOST_OF_A_KIND],
    ]
    return tuple(dict.fromkeys(asked))


def _room(finding: Finding) -> float:
    """How far inside its limit the worst value is, in parts of the doubt; negative beyond it."""
    size = abs(finding.worst) if finding.worst is not None else 0.0
    return (finding.limit - size) / finding.uncertainty if finding.uncertainty else finding.limit - size


def _undecided(finding: Finding, assessment: Assessment) -> str:
    known = phrases.amount(finding, finding.uncertainty)
    at = f" at {phrases.clock(finding.at_worst)}" if finding.at_worst is not None else ""
    minimum = phrases.quantity_of(finding) in {Quantity.MDA, Quantity.DA}
    limit = "" if minimum else f" against a limit of {phrases.limit(finding)}"
    return (
        f"{phrases.where(finding, assessment)}: the log shows {phrases.value(finding)}{at}{limit}, "
        f"and knows it to {known}. What did the instruments show?"
    )


def _missing(finding: Finding, assessment: Assessment) -> str:
    quantity = phrases.quantity_of(finding)
    if quantity in {Quantity.MDA, Quantity.DA} and finding.worst is None and "references" in finding.reason:
        return f"From {phrases.clock(finding.from_)} the descent went below the minimum. What was in sight, and when?"
    if quantity is Quantity.HEADING:
        return f"No heading was recorded from {phrases.clock(finding.from_)} on. How were the assigned headings held?"
    place = phrases.where(finding, assessment)
    return f"{place}: {finding.what} is not recorded from {phrases.clock(finding.from_)} on. How did it go there?"
