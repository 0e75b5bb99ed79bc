"""The grammar of a flight: which states there are, what may follow what, and what each change costs. All prices stand
here.

Every number below is a *surprise*: half the square of a deviation in units of its standard deviation, as for
Gaussian noise. Deviations of a pilot and of a log hold for some ten seconds, so what a state costs is counted once
every
``INDEPENDENT_S``; prices are paid once for each change of state. A difference of ``n`` between two stories makes the
dearer one exp(-n) times as likely. They come from the trade's tolerances, not from any sample.
"""

from __future__ import annotations

from typing import Final

INDEPENDENT_S: Final = 10.0
"""Deviations ten seconds apart are taken as independent: about the time a pilot takes to notice and correct."""

# What states cost, once every ten seconds -----------------------------------------------------------------------

ROUTE_OFFSET_NM: Final = 0.7
"""One standard deviation off a route leg: between half of the terminal scale (0.5 NM) and half of the en-route one (1
NM)."""
APPROACH_OFFSET_NM: Final = 0.5
"""The same on an approach: half of the terminal scale."""
TRACK_ANGLE_DEG: Final = 10.0
"""One standard deviation of track against a path: the tolerance of the standards; 30 is an intercept."""
INTERCEPT_DEG: Final = 30.0
INTERCEPT_DEG_PER_NM: Final = 45.0
"""Turning back toward a path is no sign of leaving it: a cut up to 30 degrees, 45 for each NM off, costs nothing."""
OFFSET_CAP: Final = 4.0
ANGLE_CAP: Final = 3.5
"""Beyond these a leg is simply not being flown, and how far is no further evidence."""
BEYOND_SLACK_NM: Final = 0.3
BEYOND_NM: Final = 0.5
BEYOND_CAP: Final = 6.0
"""Before the start or past the end of a leg: a turn's lead is free, then half a mile is one standard deviation."""

TO_AERODROME_BASE: Final = 0.3
"""Where an approach and the route's leg to its aerodrome lie on one line, it is the approach that is flown."""
DIRECT_BASE: Final = 0.3
"""Pointing at some fix is less of a coincidence than being on a published leg; where both fit, the leg is meant."""
BEARING_DEG: Final = 2.5
BEARING_SLACK_NM: Final = 0.25
BEARING_CAP: Final = 3.5
BEARING_CAP_SAID: Final = 1.0
"""Track against the bearing of the fix: some degrees of steering, and a quarter mile of position, which widens close
in. Steady lines that pass a fix by more than half a mile are not directs. A direct that was said is obeyed, however it
is flown: it never costs more than vectors."""

TURNING_DPS: Final = 1.0
TURNING_CAP: Final = 0.5
BEHIND_DEG: Final = 120.0
"""A third of the standard rate is a turn. In the turn to what is owed next, where it points is no evidence yet."""

VECTORS_UNSAID: Final = 1.5
"""Vectors explain any track, so they cost what a leg costs when flown 1.7 standard deviations off: nothing else may
fit."""
VECTORS_SAID: Final = 0.4
VECTORS_AFTER_CLEARED: Final = 0.8
"""While a heading is in force, and after a clearance that ends it, when the turn inbound may come any time."""
HEADING_SLACK_DEG: Final = 15.0
HEADING_DEG: Final = 15.0
HEADING_CAP: Final = 1.6
"""Track against an assigned heading: wind drift is free, then as for a path. Capped low: what was said is obeyed."""

CLIMB_OUT_S: Final = 180.0
NONE_CLIMB_OUT: Final = 0.4
"""For three minutes after take-off nothing need have been joined."""
PATTERN_NM: Final = 4.0
PATTERN_FT: Final = 2500.0
NONE_PATTERN: Final = 0.7
"""Low and near an aerodrome an aircraft may fly a traffic pattern, which owes no path."""
NONE_VISUAL: Final = 0.5
NONE_ELSEWHERE: Final = 4.0
"""Cleared visual, no path is owed; elsewhere to say nothing at all must stay dearer than any vectors."""
HOLD_NM: Final = 12.0
HOLD_BASE: Final = 0.3
HOLD_AWAY: Final = 4.0
OVER_FIX_NM: Final = 1.0
FAST_NM_PER_MIN: Final = 3.5
TURN_ROOM_NM: Final = 3.0
SIDE_ROOM_NM: Final = 6.0
"""A hold and a reversal begin over their fix, a hold ends there; on their outbound side, as far as they may lead, any
direction will do. The widest turn at 210 kt and 25 degrees is 2.8 NM across; a minute aside and a turn are 6 NM."""

# What changes cost, once ----------------------------------------------------------------------------------------

UNSAID: Final = 8.0
"""Leaving what is owed with nothing said: one flight in a few thousand minutes does so by chance (exp(-8))."""
UNSAID_THOUGH_OTHERS_WERE: Final = 20.0
"""The same in a lesson that does say what was said: the writer then very likely wrote down all of it."""
JOIN_FROM_HUB: Final = 4.0
VECTORS_FROM_HUB: Final = 2.0
GATE_SLACK_NM: Final = 1.5
GATE_NM: Final = 0.7
GATE_CAP: Final = 8.0
"""A leg is left for its next one at its end: the lead of a wide fast turn is free; farther before it costs as much as
leaving what is owed."""
GATE_SLACK_FT: Final = 100.0
GATE_FT: Final = 200.0
"""The same for a leg that ends on reaching an altitude: the tolerance of the standards, then twice that."""
TURN_BACK: Final = 3.0
"""A hold or a reversal takes minutes; a wide turn at its fix is none."""
SKIP_LEG: Final = 6.0
SKIP_REVERSAL: Final = 0.5
"""Each leg left out without a direct or a vector between. Of holds and course reversals many are not owed: on a
straight-in arrival, when cleared so, on vectors (FAA AIM 5-4-9 a)."""
ANOTHER_ATTEMPT: Final = 6.0
"""After a missed approach another one is begun only when cleared for it; the inbound leg of a hold on final is none."""
BEGUN_IN_A_MISSED: Final = 8.0
"""A log that begins in the climb out of an approach that it does not hold."""
UNCLEARED: Final = 15.0
"""Flying an approach that nobody cleared, in a lesson that says what was cleared."""
APPROACH_FROM_ANYWHERE: Final = 3.0
DIRECT_TO_FINAL: Final = 12.0
"""Nobody is sent direct to the final approach fix or inside it (FAA AIM 5-4-6 h6, i3); further fixes on the way to it
are rare."""
HOLD_BY_DIRECT: Final = 1.0
HOLD_AT_ONCE: Final = 4.0
DIRECT_IN_CLIMB: Final = 2.0
"""Small preferences: a hold is reached by the leg one is on, at its fix; a direct said in the climb-out waits for its
end."""
JOIN_WHILE_ON_A_LEG: Final = 1.0
FLOWN_ON: Final = 4.0
"""Told to discontinue, an aircraft is no longer on what it was on, unless the track says so for a while."""
MISS_EARLY: Final = 3.0
MISS_AT_END: Final = 1.0
TO_NONE: Final = 2.0

IMPOSSIBLE: Final = 1000.0
"""What the track contradicts."""

LATE_PER_S: Final = 0.05
"""Each second between the time noted, its accuracy taken off, and the change that obeys it."""
SOONER_PER_S: Final = 1e-6
"""Only breaks ties between moments at which something said without a time may have taken effect."""
EARLY_S: Final = 90.0
LATE_S: Final = 240.0
"""How far beyond its accuracy a noted time may be off: a typist's minute, and an aircraft slow to obey."""
