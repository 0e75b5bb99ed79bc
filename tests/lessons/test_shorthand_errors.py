"""Shorthand that can't be understood: the message names file and line, points at the word, and says what would do."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from legwise.errors import LessonError
from legwise.lessons import read_shorthand
from legwise.lessons.shorthand.vocabulary import GLUED, PHRASES
from legwise.model.lesson import LessonApproach

APPROACHES = (
    LessonApproach(airport="XSKH", procedure="R27"),
    LessonApproach(airport="XSKH", procedure="I27"),
)
FIXES = ("CALDU", "BRAKO")


def refused(text: str) -> LessonError:
    with pytest.raises(LessonError) as caught:
        read_shorthand(text, file="said.txt", known_fixes=FIXES, approaches=APPROACHES)
    return caught.value


def error_of(text: str) -> LessonError | None:
    """The error that a text ends in, or None where it is read."""
    try:
        read_shorthand(text, file="said.txt", known_fixes=FIXES, approaches=APPROACHES)
    except LessonError as error:
        return error
    return None


def pointed_at(error: LessonError) -> str:
    """What stands above the carets."""
    row, carets = error.remedy.split("\n")[-2:]
    start = carets.index("^")
    assert set(carets.strip()) == {"^"}
    return row[start : start + carets.count("^")]


# The line, the word that is pointed at, and what message or remedy must say.
WRONG: list[tuple[str, str, list[str]]] = [
    # Typists' slips, with the nearest known word.
    ("1312 maintane 4000", "maintane", ["not understood", "maintain"]),
    ("hdgg 250", "hdgg", ["nearest known word is hdg"]),
    ("interceppt loc", "interceppt", ["intercept"]),
    ("hold CALDU EFX 1345", "EFX", ["nearest known word is efc"]),
    ("dierct CALDU", "dierct", ["direct"]),
    ("crossing", "crossing", ["no fix follows"]),
    ("H25O", "25O", ["letter O", "zero"]),
    ("4O00", "4O00", ["letter O"]),
    ("1312-H250", "1312-H250", ["not understood"]),
    ("xyzzy", "xyzzy", ["H250, 4000"]),
    # Headings.
    ("H25", "25", ["025", "250"]),
    ("hdg 5", "5", ["005", "050"]),
    ("H50", "50", ["050"]),
    ("H400", "H400", ["0 to 360", "digit"]),
    ("H1234", "1234", ["three digits"]),
    ("H", "H", ["no heading follows"]),
    ("H 4000ft", "4000ft", ["three digits"]),
    ("RH", "RH", ["runway heading", "rwy hdg 052"]),
    ("rwy hdg", "rwy hdg", ["runway heading"]),
    ("L27", "L27", ["L027 or L270", "clrd L27"]),
    ("L", "L", ["says nothing"]),
    ("250", "250", ["H250", "A250", "FL250", "S250"]),
    ("H250 H260", "H260", ["says again", "two lines"]),
    ("H250 L260", "L260", ["says again"]),
    # Altitudes, levels, settings.
    ("40", "40", ["A40 for 4000 ft", ":40"]),
    ("maint", "maint", ["no altitude follows"]),
    ("maint CALDU", "CALDU", ["feet like 4000"]),
    ("C4", "4", ["4000", "04"]),
    ("A700", "A700", ["60,000 (feet)"]),
    ("FL6", "6", ["FL60"]),
    ("FL601", "FL601", ["10 to 600"]),
    ("4000 FL60", "FL60", ["both given"]),
    ("4000 5000", "5000", ["says again"]),
    ("40+", "40+", ["belongs to a fix", "x CALDU 40+"]),
    ("A3000", "3000", ["3000 for the altitude", "30.00 for the altimeter setting"]),
    ("2950", "2950", ["2950ft for the altitude", "29.50"]),
    ("1312 1011", "1011", ["QNH 1011", "1011ft"]),
    ("H250 1312", "1312", ["1312ft", "in front of the line for the time"]),
    ("QNH", "QNH", ["no setting follows"]),
    ("QNH 1500", "QNH 1500", ["850 to 1,090 (hPa)"]),
    ("QNH CALDU", "CALDU", ["altimeter setting"]),
    ("QNH 1011 QNH 1012", "QNH 1012", ["second altimeter setting"]),
    ("til est", "til est", ["says nothing"]),
    ("H250 til est", "til est", ["without an altitude"]),
    # Directs and holds.
    ("dct", "dct", ["no fix follows"]),
    ("D→", "D→", ["no fix follows"]),
    ("dct H250", "H250", ["a fix"]),
    ("dct 4000", "4000", ["a fix"]),
    ("dct CALDU BRAKO", "BRAKO", ["stands alone", "D→BRAKO"]),
    ("CALDU", "CALDU", ["stands alone", "hold"]),
    ("hold", "hold", ["no fix follows"]),
    ("hold W CALDU", "W", ["inbound course"]),
    ("hold CALDU west", "west", ["inbound course"]),
    ("hold CALDU 200 L 210", "210", ["says again"]),
    ("hold CALDU 20 L", "20", ["020 or 200"]),
    ("hold CALDU 400", "400", ["0 to 360"]),
    ("hold CALDU 45min", "45min", ["up to 30 (minutes)"]),
    ("hold CALDU 1min 4nm", "4nm", ["1min and 4nm are both given"]),
    ("hold CALDU 200 200T", "200T", ["both given"]),
    ("hold CALDU @FL60", "FL60", ["FL60 hold CALDU"]),
    ("hold CALDU EFC", "EFC", ["no time follows", "1345"]),
    ("hold CALDU EFC 2560", "2560", ["a time"]),
    ("EFC 1345", "EFC", ["hold CALDU EFC 1345"]),
    ("D→BRAKO hold CALDU", "hold", ["two fixes"]),
    # Crossings.
    ("x CALDU", "x CALDU", ["no altitude follows"]),
    ("x CALDU FL60", "FL60", ["feet"]),
    ("x CALDU 50+ 30-", "50+", ["upside down"]),
    ("x CALDU 40 50+", "40", ["alone"]),
    # The final course and approaches.
    ("vtf", "vtf", ["says nothing"]),
    ("4000 vtf", "vtf", ["without a heading"]),
    ("clrd", "clrd", ["XSKH/R27", "XSKH/I27"]),
    ("clrd 27", "27", ["clrd XSKH/R27; or clrd XSKH/I27"]),
    ("clrd NDB 09", "NDB 09", ["names no approach", "XSKH/R27"]),
    ("clrd XABC", "XABC", ["names no approach"]),
    ("clrd CALDU", "CALDU", ["is a fix", "D→CALDU"]),
    ("visual", "visual", ["rwy in sight", "clrd visual"]),
    ("1358 visual", "visual", ["rwy in sight", "clrd visual"]),
    ("circle", "circle", ["circle 09"]),
    ("circle 40", "40", ["circle 09"]),
    # What excludes what.
    ("H250 D→CALDU", "D→CALDU", ["H250 and D→CALDU stand in one line", "two lines"]),
    ("hold CALDU join", "join", ["exclude"]),
    ("missed clrd R27", "clrd", ["exclude"]),
    ("own nav H250", "own nav", ["exclude"]),
    # Times.
    ("1312", "1312", ["nothing but its time", "QNH 1312", "1312ft"]),
    ("1400 H250", "1400", ["14:00 for the time", "1400ft for the altitude"]),
    ("2000", "2000", ["20:00", "2000ft"]),
    (":14 H250", ":14", ["no line above tells the hour"]),
    ("H250 13:12", "13:12", ["middle of the line"]),
    ("~H250", "H250", ["no time follows about"]),
    ("1312 ±4000s H250", "1312 ±4000s", ["0 to 3,600 (seconds)"]),
    ("2026-02-30T13:12:40Z H250", "2026-02-30T13:12:40Z", ["no date"]),
    ("2026-02-03T13:12:40 H250", "2026-02-03T13:12:40", ["zone"]),
    # Events and remarks.
    ("hood on", "hood on", ["needs its time"]),
    ("~1312 hood on", "1312", ["no accuracy"]),
    ("1312 !", "!", ["empty"]),
    # What is not taken down, and what is not closed.
    ("squawk 0700", "squawk", ["remark"]),
    ("H250 then dct CALDU", "then", ["line of its own"]),
    ('dct "CALDU', '"', ["no twin"]),
    ("S900", "S900", ["700 (knots)"]),
    ("spd", "spd", ["no speed follows"]),
    ("A/P", "A/P", ["not understood"]),
]


@pytest.mark.parametrize(("line", "word", "says"), WRONG, ids=[line for line, *_ in WRONG])
def test_a_word_that_is_not_understood_is_pointed_at(line: str, word: str, says: list[str]) -> None:
    error = refused(f"# above\n\n{line}\n")

    assert error.where == "said.txt, line 3"
    assert pointed_at(error) == word
    text = str(error)
    assert all(words in text for words in says), text
    assert text.count("\n") < 9


@pytest.mark.parametrize(
    ("above", "line", "says"),
    [
        ("1315 H250", ":14 H260", ["13:14", "14:14"]),
        ("1312 H250", "14 H260", [":14", "A14", "H140"]),
        ("1312 H250", "14", [":14", "A14"]),
    ],
)
def test_minutes_that_could_be_anything_else_are_asked_about(above: str, line: str, says: list[str]) -> None:
    error = refused(f"{above}\n{line}\n")

    assert error.where == "said.txt, line 2"
    assert all(words in str(error) for words in says)


def test_without_approaches_a_name_must_be_whole() -> None:
    with pytest.raises(LessonError, match="clrd XSKH/R27"):
        read_shorthand("clrd ILS 27", file="said.txt")

    assert read_shorthand("clrd XSKH", file="said.txt").clearance[0].cleared == "XSKH"


def test_only_approach_is_meant_by_cleared_alone() -> None:
    said = read_shorthand("clrd apch 2600", file="said.txt", approaches=APPROACHES[:1])

    assert said.clearance[0].cleared == "XSKH/R27"


@pytest.mark.parametrize(
    "text",
    [
        "H250" * 2000,
        "H250 " * 790,
        "4000 " * 790,
        '"' * 3999,
        '""' * 1999,
        '"a"' * 1333,
        "->" * 1999,
        "~" * 3999,
        "1,234" * 700,
        "hold CALDU " * 300,
        "x CALDU 40+ " * 300,
        "clrd " * 700,
        "clrd " + "rwy " * 900,
        "at or " * 600,
        "±" * 3000,
        "9" * 3999,
        "H" + "2" * 3998,
        "D" * 3998 + "4",
        "1312 ! " + "x" * 3900,
        "\x00\x1b[31mH250",
        "H٢٥٠",
        "\u202eH250\u2028 4000",
        "2026-04-18T" + "9" * 39,
        "EFC " * 100,
        "#" * 3999,
    ],
)
def test_hostile_lines_end_in_an_error_or_are_read(text: str) -> None:
    error = error_of(text)

    assert error is None or len(str(error)) < 1500
    assert all(letter.isprintable() or letter == "\n" for letter in str(error))


@pytest.mark.parametrize(
    ("text", "says"),
    [("\n" * 6000, "lines"), ("# " + "x" * 500_000, "500,000 characters"), ("# " + "x" * 4000, "4,000 characters")],
)
def test_a_text_that_is_something_else_is_refused(text: str, says: str) -> None:
    assert says in refused(text).message


WORDS = sorted({word for phrase in PHRASES for word in phrase} | {f"{head}250" for head in GLUED})
MORE = [
    "1312", ":14", "250", "40", "4000", "FL60", "CALDU", '"A B"', "40+", "30-", "R27", "27", "200", "1min", "4nm",
    "~", "±20s", "!", "?", "#", "29.92", "1011", "x",
]  # fmt: skip


@settings(deadline=None, derandomize=True, max_examples=400)
@given(st.lists(st.sampled_from([*WORDS, *MORE]), max_size=12).map(" ".join) | st.text(max_size=60))
def test_any_words_are_understood_or_refused_with_their_line(line: str) -> None:
    error = error_of(line)

    assert error is None or error.where.startswith("said.txt, line ")
    assert error is None or "^" in error.remedy


SOUND = [
    "heading 250",
    "maintain 4000",
    "direct CALDU",
    "hold CALDU",
    "intercept",
    "resume own navigation",
    "missed",
    "across",
    "discontinue",
    "speed 120",
]


def test_a_letter_more_or_less_is_never_another_instruction_in_silence() -> None:
    """A slip in a word (not in a number or a name) is refused, or means the same: it never changes what is said."""
    for line in SOUND:
        meant = read_shorthand(line, file="said.txt").clearance
        word, _, rest = line.partition(" ")
        slips = {word[:at] + more + word[at + 1 :] for at in range(len(word)) for more in ("", word[at] * 2)}
        for slip in sorted(slips - {""}):
            text = f"{slip} {rest}"
            assert error_of(text) or read_shorthand(text, file="said.txt").clearance == meant, text
