"""The line map: for any TOML that the parser accepts, every leaf has a line, and the line holds the key or the value.

The documents are written here, by a writer of TOML that uses every form of table, key and string there is; what they
mean comes from tomllib, which shares no code with the map.
"""

from __future__ import annotations

import tomllib
from collections.abc import Iterator

from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.lessons.lines import Place, line_map

SETTINGS = settings(deadline=None, derandomize=True, max_examples=300)


def leaves(node: object, place: Place = ()) -> Iterator[tuple[Place, object]]:
    if isinstance(node, dict) and node:
        for key, value in node.items():
            yield from leaves(value, (*place, key))
    elif isinstance(node, list) and node:
        for number, value in enumerate(node):
            yield from leaves(value, (*place, number))
    else:
        yield place, node


bare = st.from_regex(r"[a-z][a-z0-9_-]{0,5}", fullmatch=True)
keys = bare | bare.map(lambda key: f'"{key}"') | bare.map(lambda key: f"'{key} x'") | st.just('"a.b#c]"')
SCALARS = [
    "1", "-2.5e3", "true", "inf", "2026-04-18", "13:12:40", "2026-04-18T13:12:40Z", "2026-04-18 13:12:40",
    '"text"', "'text'", '"a \\" # ] } , ="', "'a # ] } = \\'", '""', "''", '""""""', "''''''",
    '"""one\ntwo \\""" " "" end"""', "'''one\n\ntwo '' ] # '''", '"""a"""""', "'''a'''''", '"""\\\n   a"""',
]  # fmt: skip
FIRST_ROWS: dict[str, set[str]] = {}
for written in SCALARS:
    FIRST_ROWS.setdefault(repr(tomllib.loads(f"x={written}")["x"]), set()).add(written.split("\n")[0])
scalars = st.sampled_from(SCALARS)
blanks = st.sampled_from(["", " ", "\n", " # ] , } = \" '\n", "\n\n  "])
gaps = st.sampled_from(["", " ", "\t "])


@st.composite
def lists(draw: st.DrawFn, values: st.SearchStrategy[str]) -> str:
    items = draw(st.lists(values, max_size=3))
    inner = ",".join(f"{draw(blanks)}{item}{draw(blanks)}" for item in items)
    comma = draw(st.sampled_from(["", ","])) if items else ""
    return f"[{inner}{comma}{draw(blanks)}]"


@st.composite
def inline_tables(draw: st.DrawFn, values: st.SearchStrategy[str]) -> str:
    names = draw(st.lists(bare, max_size=3, unique=True))
    pairs = ",".join(f"{draw(gaps)}{name}{draw(gaps)}={draw(gaps)}{draw(values)}{draw(gaps)}" for name in names)
    return "{" + pairs + draw(gaps) + "}"


values = st.recursive(scalars, lambda inner: lists(inner) | inline_tables(inner), max_leaves=6)


@st.composite
def documents(draw: st.DrawFn) -> str:
    """TOML of pairs and tables; some are not valid (a key twice), which the parser tells."""
    rows = []
    for _ in range(draw(st.integers(1, 8))):
        kind = draw(st.sampled_from(["pair", "pair", "pair", "table", "tables", "inner", "comment"]))
        if kind == "pair":
            more = [".", draw(keys)] if draw(st.integers(0, 1)) else []
            key = draw(gaps).join([draw(keys), *more])
            rows.append(f"{draw(gaps)}{key}{draw(gaps)}={draw(gaps)}{draw(values)}{draw(gaps)}")
        elif kind == "table":
            rows.append(f"[{draw(gaps)}t{draw(st.integers(0, 9))}.{draw(bare)}{draw(gaps)}] # [x]")
        elif kind == "tables":
            rows.append(f"[[ l{draw(st.integers(0, 2))} ]]")
        elif kind == "inner":
            rows.append("[[l0]]\n[l0.sub]\nq = 1\n[[l0.more]]\nz = 2\n[[l0.more]]\nz = 3")
        else:
            rows.append("# a = [ {")
    return "\n".join(rows) + draw(blanks)


def holds(line: str, place: Place, value: object) -> bool:
    """Whether a line of the text holds the key of a leaf, or for an item of a list the first row of its value."""
    if isinstance(place[-1], str):
        return place[-1] in line
    if value in ([], {}):
        return "[" in line or "{" in line
    return any(row in line for row in FIRST_ROWS[repr(value)])


@SETTINGS
@given(documents())
def test_every_leaf_has_a_line_that_holds_its_key(text: str) -> None:
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return
    rows = text.split("\n")

    lines = line_map(text)

    for place, value in leaves(data):
        assert place in lines
        assert not place or holds(rows[lines[place] - 1], place, value)


@SETTINGS
@given(documents())
def test_the_map_knows_no_place_that_is_not_there(text: str) -> None:
    try:
        data = tomllib.loads(text)
    except tomllib.TOMLDecodeError:
        return

    for place in line_map(text):
        node: object = data
        for part in place:
            node = node[part]  # type: ignore[index]


def test_lines_of_a_lesson() -> None:
    text = (
        "# a comment\r\n"
        "[[approach]]\r\n"
        "leg = [\r\n"
        '  { path = "IF", fix = "A1" }, # first\r\n'
        '  { path = "TF",\tfix = "B1", altitude = { at_ft = 900 } },\r\n'
        "]\r\n"
        "[approach.runway]\r\n"
        "ident = 'RW27'\r\n"
        "[[approach]]\r\n"
        "minima.da_ft = 612\r\n"
    )

    lines = line_map(text)

    assert lines["approach", 0, "leg"] == 3
    assert lines["approach", 0, "leg", 0, "fix"] == 4
    assert lines["approach", 0, "leg", 1, "altitude", "at_ft"] == 5
    assert lines["approach", 0, "runway", "ident"] == 8
    assert lines["approach", 1] == 9
    assert lines["approach", 1, "minima", "da_ft"] == 10


def test_keys_with_escapes() -> None:
    text = 'a = 1\n"\\u0062\\"" = 2\n'

    assert line_map(text)['b"',] == 2
