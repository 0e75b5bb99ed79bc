"""Known idents that are most like one that is not known: for messages, and quick however many are known."""

from __future__ import annotations

import string
from collections.abc import Sequence
from difflib import SequenceMatcher
from typing import Final

from legwise.navdata.store import Store

_LETTERS: Final = string.ascii_uppercase + string.digits
_LONGEST: Final = 10
_LOOKED_AT: Final = 2000
_SHORT: Final = 4
"""Up to this many letters an ident with two changes is another ident, not a slip."""


def nearest_in(store: Store, prefixes: Sequence[str], ident: str, most: int) -> list[str]:
    """Idents of the keys that begin with one of ``prefixes``, best first.

    One letter changed, left out, put in or two swapped anywhere; of those that begin alike, and are longer than four
    letters, two such changes.
    """
    asked = "".join(letter for letter in ident.upper() if letter.isprintable())[:_LONGEST]
    most_changes = 1 if len(asked) <= _SHORT else 2
    found: dict[str, None] = {}
    for prefix in prefixes:
        known = (word for word in _one_away(asked) if store.keys(prefix + word, 1)[:1] == [prefix + word])
        found |= dict.fromkeys(known)
        for length in range(len(asked) - 1, 0, -1):
            if len(found) >= most and length < 2:
                break
            keys = store.keys(prefix + asked[:length], _LOOKED_AT)
            words = (key[len(prefix) :] for key in keys)
            found |= dict.fromkeys(word for word in words if changes(asked, word, most_changes) <= most_changes)
            if len(keys) >= _LOOKED_AT:
                break
    scored = [(SequenceMatcher(None, asked, word).ratio(), word) for word in found if word != ident]
    return [word for _score, word in sorted((-score, word) for score, word in scored)[:most]]


def changes(one: str, other: str, most: int) -> int:
    """How many letters are changed, left out, put in or swapped with a neighbour; beyond ``most``, one more than it.

    The distance of Damerau and Levenshtein in the form that changes no letter twice ("optimal string alignment").
    """
    if abs(len(one) - len(other)) > most:
        return most + 1
    before: list[int] = []
    last = list(range(len(other) + 1))
    for row, letter in enumerate(one, 1):
        now = [row]
        for column, its in enumerate(other, 1):
            least = min(last[column] + 1, now[-1] + 1, last[column - 1] + (letter != its))
            if row > 1 and column > 1 and letter == other[column - 2] and one[row - 2] == its:
                least = min(least, before[column - 2] + 1)
            now.append(least)
        before, last = last, now
    return min(last[-1], most + 1)


def _one_away(word: str) -> list[str]:
    """Every ident at one change of a letter from ``word``, ``word`` itself first."""
    halves = [(word[:cut], word[cut:]) for cut in range(len(word) + 1)]
    near = [word]
    near += [left + right[1] + right[0] + right[2:] for left, right in halves if len(right) > 1]
    near += [left + letter + right[1:] for left, right in halves if right for letter in _LETTERS]
    near += [left + right[1:] for left, right in halves if right]
    near += [left + letter + right for left, right in halves for letter in _LETTERS]
    return list(dict.fromkeys(near))
