"""What a draft shows to be filled in: lines that say nothing until their mark is taken away."""

from __future__ import annotations

from typing import Final

HEAD: Final = """\
A lesson file to start from, drafted from a track. Times are UTC. A line that begins with # says nothing yet: take
the mark away where it is true. 'legwise plan' tells what the file amounts to, 'legwise debrief' judges by it."""
LESSON: Final = """\
title = "what was to be practised"
student = "S-000"
instructor = "I-00"
standard = "faa-instrument"  # or "easa-instrument"
objective = [{ task = "holding", standard = "third inbound leg 60 s ± 10 s" }]"""
ALTIMETRY: Final = """\
qnh_hpa = 1013.2
oat_deg_c = 15"""
AIRCRAFT: Final = """\
approach_ias_kt = 90
holding_ias_kt = 95
category = "A\""""
NAVDATA: Final = """\
arinc424 = "navdata.dat"  # coded navigation data, relative to this file
fixes = "fixes.csv"  # or, beside it, a plain list: ident, lat_deg, lon_deg, kind"""
ROUTE: Final = """\
text = "XTBN BRAKO CALDU XSKH"
altitude_ft = 5000"""
APPROACH: Final = """\
The approach, by its identifier in the navigation data:
[[approach]]
airport = "XSKH"
procedure = "R27"
transition = "HOLMA"
minima = { da_ft = 612 }"""
MINIMA: Final = """\
The minima of the chart, in place of 9999; a minimum descent altitude is mda_ft:
minima = { da_ft = 9999 }"""
CLEARANCES: Final = """\
What air traffic control said, in order. What is written here with confirmed = false was read from the track: confirm it
(take that line away), correct it, or take it out, and add what is missing. What is less than 90 % sure stands as a
comment. A track shows where the aircraft went, not the heading that was given."""


def altitude(time: str) -> str:
    """An altitude said at a time, as TOML has it."""
    return f"[[clearance]]\ntime = {time}\naltitude_ft = 5000"


def after(visual: str, remark: str) -> str:
    """An event, an observation and a remark at times in the flight."""
    return f"""\
What no track can show:
[[event]]
time = {visual}
what = "visual"

[[observed]]
item = "database currency checked"
done = true

[[remark]]
time = {remark}
text = "asked for a lower altitude\""""
