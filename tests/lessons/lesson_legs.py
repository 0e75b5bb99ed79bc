"""The lesson format's table of legs, copied from the format, with a value for every key of a leg."""

from __future__ import annotations

VALUES = {
    "fix": '"SKH"',
    "centre": '"CENTR"',
    "radius_nm": "10",
    "turn": '"left"',
    "dme": '"SKH"',
    "navaid": '"SKH"',
    "distance_nm": "5",
    "limit_nm": "10",
    "leg_minutes": "1.0",
    "leg_nm": "4",
    "altitude": "{ at_or_above_ft = 3000 }",
    "speed_max_kt": "210",
    "role": '"IAF"',
    "fly_over": "true",
} | {
    f"{stem}_deg_{north}": "95"
    for stem in ("course", "heading", "inbound_course", "outbound_course", "radial")
    for north in ("mag", "true")
}
# The format's table: what each leg needs, and what may stand besides (beside what any leg may carry).
NEEDS = {
    "IF": "fix",
    "TF": "fix",
    "DF": "fix",
    "CF": "fix course_deg_mag",
    "RF": "fix centre turn",
    "AF": "fix centre radius_nm turn",
    "CA": "course_deg_mag altitude",
    "VA": "heading_deg_mag altitude",
    "CI": "course_deg_mag",
    "VI": "heading_deg_mag",
    "CD": "course_deg_mag dme distance_nm",
    "VD": "heading_deg_mag dme distance_nm",
    "CR": "course_deg_mag navaid radial_deg_mag",
    "VR": "heading_deg_mag navaid radial_deg_mag",
    "VM": "heading_deg_mag",
    "FA": "fix course_deg_mag altitude",
    "FC": "fix course_deg_mag distance_nm",
    "FD": "fix course_deg_mag dme distance_nm",
    "FM": "fix course_deg_mag",
    "PI": "fix outbound_course_deg_mag turn",
    "HA": "fix inbound_course_deg_mag altitude",
    "HF": "fix inbound_course_deg_mag",
    "HM": "fix inbound_course_deg_mag",
}
MAY = {
    **dict.fromkeys(("CA", "CI", "CD", "FA", "FC", "FD", "FM", "IF"), "navaid"),
    "TF": "course_deg_mag distance_nm navaid",
    "CF": "distance_nm navaid",
    "DF": "distance_nm navaid",
    "PI": "limit_nm navaid",
    **dict.fromkeys(("HA", "HF", "HM"), "leg_minutes leg_nm navaid"),
}
ANY_LEG = {"altitude", "speed_max_kt", "role", "fly_over", "turn"}


def leg_text(path: str, *keys: str) -> str:
    return "{ " + ", ".join([f'path = "{path}"', *(f"{key} = {VALUES[key]}" for key in keys)]) + " }"
