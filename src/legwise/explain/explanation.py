"""The explanation: findings in words, ranked, with what to practise. Causes are hypotheses of a later stage and are
empty here."""

from __future__ import annotations

from legwise.explain.facts import facts_of
from legwise.explain.offsets import offset_facts, steady_offsets
from legwise.explain.practice import next_lesson, work_on
from legwise.explain.praise import went_well
from legwise.explain.questions import questions
from legwise.model.alignment import Alignment
from legwise.model.deviations import Deviations
from legwise.model.lesson import Lesson
from legwise.model.plan import Plan
from legwise.model.results import Assessment, Explanation, Summary
from legwise.model.standard import Standard
from legwise.model.track import Track


def explain(
    track: Track,
    plan: Plan,
    lesson: Lesson,  # noqa: ARG001
    alignment: Alignment,
    deviations: Deviations,
    assessment: Assessment,
    standard: Standard,
) -> Explanation:
    """The summary of a flight from its findings: at most three lines went well, three to work on, a drill for each.

    Nothing is invented: praise comes only from limits kept for certain, and where nothing is outside the summary says
    so. No cause is named here: a cause needs evidence that this function does not weigh (``lesson`` is for that).
    """
    offsets = steady_offsets(track, alignment, deviations)
    summary = Summary(
        went_well=went_well(assessment),
        work_on=work_on(assessment),
        next_lesson=next_lesson(assessment, standard, offsets),
        questions=questions(alignment, assessment, deviations.judged),
    )
    told = (*alignment.facts, *facts_of(track, plan, assessment), *offset_facts(offsets))
    facts = sorted(told, key=lambda fact: fact.time_s)
    return Explanation(causes=(), summary=summary, facts=tuple(facts))
