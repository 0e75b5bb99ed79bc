"""Fly the kinds of the builder, debrief them, and score what was told against what was true.

    python tests/benchmarks/score_alignment.py [--kind NAME ...] [--seeds N] [--seed N] [--kept-out] [--show]

A sample is right when its guidance is, and its leg by its fixes. Samples within 5 s of a true change are counted and
also told apart. Two processes.
"""

from __future__ import annotations

import argparse
import json
import multiprocessing
import sys
import tempfile
import time
from collections import Counter, defaultdict
from dataclasses import dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any

import numpy as np

sys.path.insert(0, str(Path(__file__).resolve().parents[1]))

from builders.flights.built import BuiltFlight
from builders.flights.registry import flight, kept_out, kinds
from builders.flights.said import clock

if TYPE_CHECKING:
    import legwise

HOLDS = ("HA", "HF", "HM")
TECHNIQUE = ("steady-offset", "needle-chasing", "homing", "wind-not-held", "turn-late", "turn-early", "large-bite")
"""Causes that the wandering of any pilot here may show: found is counted, invented is not."""


@dataclass
class Score:
    """One flight's marks."""

    kind: str
    seed: int
    mode: str
    words: str
    right: float = 0.0
    inside: float = 0.0
    guidance: float = 0.0
    confusion: Counter[tuple[str, str]] = field(default_factory=Counter)
    found: list[str] = field(default_factory=list)
    missed: list[str] = field(default_factory=list)
    invented: list[str] = field(default_factory=list)
    outcomes: tuple[int, int] = (0, 0)
    told: Counter[str] = field(default_factory=Counter)
    wrong: list[str] = field(default_factory=list)
    seconds: float = 0.0
    fault: str = ""


def leg_name(kind: str, start: str, end: str) -> str:
    """A leg of the results as the truth names it."""
    if kind in HOLDS:
        return f"HOLD {end or start}"
    if kind == "PI":
        return f"PI {end or start}"
    if not end:
        return kind
    return f"{start}-{end}" if kind in ("TF", "RF", "AF") else f"-{end}"


def score(kind: str, seed: int) -> Score:
    """Build, debrief, mark."""
    import legwise

    built = flight(kind, seed)
    world = built.world
    words = f"{built.mode}, {world.skill.name}, {world.cruise_kt:.0f} kt, {world.recorder.rate_hz:g} Hz"
    made = Score(kind, seed, built.mode, words)
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        built.write(folder)
        begun = time.perf_counter()
        try:
            lesson = legwise.read_lesson(folder / "lesson.toml")
            debrief = legwise.debrief(legwise.read_track(folder / "track.csv", lesson=lesson), lesson)
            samples = debrief.samples
        except Exception as error:  # noqa: BLE001  # a flight that can't be debriefed is a mark, not the end
            made.fault = f"{type(error).__name__}: {str(error)[:300]}"
            return made
        made.seconds = time.perf_counter() - begun
    _mark_samples(made, built, debrief, samples)
    _mark_events(made, built, debrief)
    return made


def _mark_samples(made: Score, built: BuiltFlight, debrief: legwise.Debrief, samples: Any) -> None:
    names = {leg.id: leg_name(leg.kind, leg.from_ or "", leg.to or "") for leg in debrief.legs}
    got_t = samples["time"].map(_seconds).to_numpy(dtype=float)
    at = {round(float(t) * 10): i for i, t in enumerate(built.rows.t)}
    chosen = [(row, at[round(t * 10)]) for row, t in enumerate(got_t) if round(t * 10) in at]
    guidance = samples["guidance"].fillna("").to_numpy()
    legs = [names.get(leg, leg) if leg else "" for leg in samples["leg"].fillna("")]
    right, near, known = [], [], []
    for row, index in chosen:
        if not built.scored[index]:
            continue
        true, true_leg = str(built.guidance[index]), str(built.leg[index])
        fits = guidance[row] in true.split("|") and legs[row] in true_leg.split("|")
        known.append(guidance[row] in true.split("|"))
        right.append(fits)
        near.append(bool(built.near[index]))
        made.confusion[(true, str(guidance[row]))] += 1
        _stretch(made, fits, float(built.rows.t[index]), f"{true} {true_leg}", f"{guidance[row]} {legs[row]}")
    made.right = float(np.mean(right))
    made.guidance = float(np.mean(known))
    made.inside = float(np.mean([r for r, n in zip(right, near, strict=True) if not n]))


def _seconds(value: Any) -> float:
    import pandas as pd

    return float((pd.Timestamp(value) - pd.Timestamp(clock(0.0))).total_seconds())


def _stretch(made: Score, fits: bool, t: float, true: str, got: str) -> None:
    """Wrong samples in runs, as words."""
    words = f"was {true}, told {got}"
    last = made.wrong[-1] if made.wrong else ""
    if fits:
        if last and not last.startswith("|"):
            made.wrong[-1] = "|" + last
    elif last and not last.startswith("|") and last.endswith(words):
        made.wrong[-1] = f"{last.split(' to ')[0]} to {clock(t):%H:%M:%S}: {words}"
    else:
        if last and not last.startswith("|"):
            made.wrong[-1] = "|" + last
        made.wrong.append(f"{clock(t):%H:%M:%S} to {clock(t):%H:%M:%S}: {words}")


def _mark_events(made: Score, built: BuiltFlight, debrief: legwise.Debrief) -> None:
    causes = [(cause.kind, _seconds(cause.from_)) for cause in debrief.result.explanation.causes]
    left = list(causes)
    for planted in built.truth.planted:
        hit = next((c for c in left if c[0] == planted["kind"] and abs(c[1] - planted["t"]) < 240.0), None)
        (made.found if hit else made.missed).append(planted["kind"])
        if hit:
            left.remove(hit)
    made.invented = [name for name, _ in left if name not in TECHNIQUE and name != "unwritten-instruction"]
    outcomes = [outcome["outcome"] for outcome in built.truth.outcomes]
    got = [approach.outcome for approach in debrief.approaches]
    made.outcomes = (sum(a == b for a, b in zip(outcomes, got, strict=False)), max(len(outcomes), len(got)))
    _mark_instructions(made, built, debrief)
    _mark_turns_and_holds(made, built, debrief)


def _mark_turns_and_holds(made: Score, built: BuiltFlight, debrief: legwise.Debrief) -> None:
    """Turns by their fix, the start within 6 s and the lead within 0.15 NM; holds by fix and entry, and circuits."""
    told = [(turn.fix, _seconds(turn.start), turn.lead_nm) for turn in debrief.result.assessment.turns]
    for true in built.truth.turns:
        if abs(true["change_deg"]) < 20.0:
            continue
        made.told["turn true"] += 1
        near = [turn for turn in told if turn[0] == true["fix"] and abs(turn[1] - true["start"]) < 60.0]
        made.told["turn told"] += bool(near)
        made.told["turn start and lead right"] += any(
            abs(turn[1] - true["start"]) <= 6.0 and abs(turn[2] - true["lead_nm"]) <= 0.15 for turn in near
        )
    if not built.truth.holds:
        return
    holds = json.loads(debrief.json()).get("holds", [])
    for true in built.truth.holds:
        made.told["hold flown"] += 1
        there = [hold for hold in holds if hold["fix"] == true["fix"]]
        made.told["hold told, entry right"] += any(hold["entry"] == true["entry"] for hold in there)
        made.told["hold told, circuits right"] += any(len(hold["circuits"]) == len(true["circuits"]) for hold in there)


def _mark_instructions(made: Score, built: BuiltFlight, debrief: legwise.Debrief) -> None:
    told = [
        (entry.kind, _seconds(entry.effect), dict(entry.values), entry.origin)
        for entry in debrief.result.assessment.clearances
    ]
    for true in built.truth.instructions:
        if true.kind not in ("heading", "direct", "hold") or true.effect is None:
            continue
        hits = [entry for entry in told if entry[0] == true.kind and abs(entry[1] - true.effect) <= 20.0]
        near = [entry for entry in hits if _alike(true.kind, true.values, entry[2])]
        made.told[f"{true.kind} true"] += 1
        if near:
            made.told[f"{true.kind} told, {near[0][3]}"] += 1
    made.told["inferred"] += sum(entry[3] == "inferred" for entry in told)


def _alike(kind: str, true: dict[str, Any], got: dict[str, Any]) -> bool:
    if kind == "heading":
        value = got.get("heading_deg_mag")
        return value is not None and abs((float(value) - true[kind + "_deg_mag"] + 180.0) % 360.0 - 180.0) <= 5.0
    if kind == "direct":
        return bool(got.get("direct") == true["direct"])
    held = got.get("hold")
    fix = held.get("fix") if isinstance(held, dict) else getattr(held, "fix", None)
    return bool(fix == true["hold"]["fix"])


def _scored(task: tuple[str, int]) -> Score:
    return score(*task)


def report(scores: list[Score], *, show: bool) -> None:
    """The table."""
    say = sys.stdout.write
    by_kind: dict[str, list[Score]] = defaultdict(list)
    for made in scores:
        by_kind[made.kind].append(made)
    say(f"{'kind':42} {'n':>2} {'right':>6} {'worst':>6} (seed) {'inside':>6} {'guid.':>6} outc. ")
    say("mistakes: found/missed\n")
    for kind, group in by_kind.items():
        whole = [made for made in group if not made.fault]
        for made in group:
            if made.fault:
                say(f"{kind:42} seed {made.seed}: {made.fault}\n")
        if not whole:
            continue
        worst = min(whole, key=lambda made: made.right)
        found, missed = (Counter(x for m in whole for x in getattr(m, name)) for name in ("found", "missed"))
        say(
            f"{kind:42} {len(whole):2} {100 * np.mean([m.right for m in whole]):6.1f} {100 * worst.right:6.1f} "
            f"({worst.seed:3}) {100 * np.mean([m.inside for m in whole]):6.1f} "
            f"{100 * np.mean([m.guidance for m in whole]):6.1f} "
            f"{sum(m.outcomes[0] for m in whole)}/{sum(m.outcomes[1] for m in whole)}   "
            f"{dict(found) or ''} / {dict(missed) or ''}\n"
        )
    _totals([made for made in scores if not made.fault], say)
    if show:
        for made in scores:
            say(f"\n{made.kind} {made.seed} ({made.words}): {100 * made.right:.1f} %, {made.seconds:.1f} s\n")
            for line in made.wrong:
                say(f"  {line.lstrip('|')}\n")


def _totals(scores: list[Score], say: Any) -> None:
    if not scores:
        return
    below = sum(made.right < 0.97 for made in scores)
    say(f"\n{len(scores)} flights, {100 * np.mean([m.right for m in scores]):.1f} % right; {below} below 97 %\n")
    confusion: Counter[tuple[str, str]] = Counter()
    for made in scores:
        total = sum(made.confusion.values())
        for pair, count in made.confusion.items():
            confusion[pair] += round(10000.0 * count / total)
    true, got = sorted({p[0] for p in confusion}), sorted({p[1] for p in confusion})
    say("\nguidance, every flight weighing the same (rows: true; columns: told; in percent of the row)\n")
    say(f"{'':22}" + "".join(f"{word[:9]:>10}" for word in got) + "\n")
    for row in true:
        total = sum(confusion[(row, word)] for word in got) or 1
        say(f"{row:22}" + "".join(f"{100 * confusion[(row, word)] / total:10.1f}" for word in got) + "\n")
    invented = Counter(name for made in scores for name in made.invented)
    say(f"\ncauses told and not planted: {dict(invented)}\n")
    told: Counter[str] = Counter()
    for made in scores:
        told.update(made.told)
    say(f"instructions: {dict(sorted(told.items()))}\n")


def main() -> None:
    """The command."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    parser.add_argument("--kind", action="append", help="only these kinds (may be given again)")
    parser.add_argument("--seeds", type=int, default=3, help="seeds 0 to N-1 of each kind")
    parser.add_argument("--seed", type=int, help="only this seed")
    parser.add_argument("--kept-out", action="store_true", help="the kinds that are kept out of development")
    parser.add_argument("--show", action="store_true", help="the wrong stretches in words")
    asked = parser.parse_args()
    out = set(kept_out())
    if asked.kept_out:
        names = [name for name in kinds() if name in out]
    else:
        names = asked.kind or [name for name in kinds() if name not in out]
    refused = [name for name in names if name in out and not asked.kept_out]
    if refused:
        parser.error(f"kept out of development, and scored with --kept-out only: {', '.join(refused)}")
    seeds = [asked.seed] if asked.seed is not None else list(range(asked.seeds))
    tasks = [(name, seed) for name in names for seed in seeds]
    with multiprocessing.get_context("spawn").Pool(2) as pool:
        scores = []
        for made in pool.imap(_scored, tasks):
            scores.append(made)
            sys.stderr.write(f"{made.kind} {made.seed} ({made.words}): {100 * made.right:.1f} % {made.fault}\n")
    report(scores, show=asked.show)


if __name__ == "__main__":
    main()
