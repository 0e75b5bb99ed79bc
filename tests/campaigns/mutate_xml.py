"""Mutations of XML that keep its elements closed."""

from __future__ import annotations

import re

from campaigns.tools import Tools

_TAGS = re.compile(rb"<[^<>]*>|[^<>]+")
_NAME = re.compile(rb"</?([^\s/>]+)")
_ENTITY = re.compile(rb"&(?!(amp|lt|gt|quot|apos|#\d{1,7}|#x[0-9a-fA-F]{1,6});)")


def mutate_xml(data: bytes, tools: Tools) -> bytes:
    """Elements and texts changed, doubled, moved and left out; what is left open is closed, nine times in ten."""
    chance = tools.chance
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        data = data.decode("utf-16", errors="replace").replace("UTF-16", "UTF-8").encode()
    parts = _TAGS.findall(data)
    if not parts:
        return tools.mutate(data, tools.most)
    for _ in range(chance.randint(1, 3)):
        how, at = chance.randrange(8), tools.place(parts)
        if how < 4:
            parts[at] = _changed_part(parts[at], tools)
        elif how == 4:
            stop = min(len(parts), at + chance.randint(1, 8))
            to = tools.place(parts)
            parts[to:to] = parts[at:stop]
        elif how == 5:
            del parts[at : at + chance.randint(1, 6)]
        elif how == 6:
            parts.insert(at, chance.choice(tools.tokens))
        else:
            other = tools.place(parts)
            parts[at], parts[other] = parts[other], parts[at]
        parts = parts or [b"<gpx>"]
    whole = b"".join(parts)
    return _closed(whole, tools.most) if chance.random() < 0.9 else whole


def _changed_part(part: bytes, tools: Tools) -> bytes:
    """Another text, or another value between quotes; a name seldom."""
    if not part.startswith(b"<"):
        return tools.some(part).replace(b"<", b"")
    pieces = re.split(rb"([\"'])", part)
    if len(pieces) >= 5 and tools.chance.random() < 0.8:
        at = tools.chance.randrange(2, len(pieces) - 1, 4)
        pieces[at] = tools.some(pieces[at]).replace(b"<", b"").replace(b'"', b"")
        return b"".join(pieces)
    return tools.chance.choice(tools.tokens) if tools.chance.random() < 0.5 else tools.mutate(part, len(part) + 20)


def _closed(data: bytes, most: int) -> bytes:
    """The same text with every element closed, in their order, within ``most`` bytes."""
    whole: list[bytes] = []
    open_names: list[bytes] = []
    length = 0
    for part in _TAGS.findall(data):
        name = _NAME.match(part)
        room = most - length - sum(len(one) + 3 for one in open_names) - 40
        if len(part) > room:
            break
        piece = part
        if not part.startswith(b"<"):
            piece = _ENTITY.sub(b"&amp;", part)[: max(0, room)]
        elif part.startswith((b"<?", b"<!")) or name is None:
            pass
        elif part.startswith(b"</"):
            if name[1] not in open_names:
                continue
            piece = b""
            while open_names and not piece.endswith(b"</" + name[1] + b">"):
                piece += b"</" + open_names.pop() + b">"
        elif not part.endswith(b"/>"):
            open_names.append(name[1])
        whole.append(piece)
        length += len(piece)
    return b"".join([*whole, *(b"</" + name + b">" for name in reversed(open_names))])
