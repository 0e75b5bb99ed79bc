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
_LEAST_LIKE: Final = 0.5


def nearest_in(store: Store, prefixes: Sequence[str], ident: str, most: int) -> list[str]:
    """Idents of the keys that begin with one of ``prefixes``, best first.

    One letter changed, left out, put in or two swapped anywhere; else those that begin alike.
    """
    asked = "".join(letter for letter in ident.upper() if letter.isprintable())[:_LONGEST]
    found: dict[str, None] = {}
    for prefix in prefixes:
        known = (word for word in _one_away(asked) if store.keys(prefix + word, 1)[:1] == [prefix + word])
        found |= dict.fromkeys(known)
        for length in range(len(asked) - 1, 0, -1):
            if len(found) >= most and length < 2:
                break
            keys = store.keys(prefix + asked[:length], _LOOKED_AT)
            found |= dict.fromkeys(key[len(prefix) :] for key in keys)
            if len(keys) >= _LOOKED_AT:
                break
    scored = [(SequenceMatcher(None, asked, word).ratio(), word) for word in found if word != ident]
    ranked = sorted((-score, word) for score, word in scored if score >= _LEAST_LIKE)
    return [word for _score, word in ranked[:most]]


def _one_away(word: str) -> list[str]:
    """Every ident at one change of a letter from ``word``, ``word`` itself first."""
    halves = [(word[:cut], word[cut:]) for cut in range(len(word) + 1)]
    near = [word]
    near += [left + right[1] + right[0] + right[2:] for left, right in halves if len(right) > 1]
    near += [left + letter + right[1:] for left, right in halves if right for letter in _LETTERS]
    near += [left + right[1:] for left, right in halves if right]
    near += [left + letter + right for left, right in halves for letter in _LETTERS]
    return list(dict.fromkeys(near))
