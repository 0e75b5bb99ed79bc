"""Mutations of archives and of what is in them: unpacked, changed, packed again."""

from __future__ import annotations

import gzip
import io
import random
import zipfile
import zlib
from collections.abc import Mapping

from campaigns.tools import Tools

_MOST_UNPACKED = 20_000


def mutate_archive(data: bytes, tools: Tools) -> bytes:
    """The content of a gzip file or a zip changed, its members renamed, nested or left out; or blindly changed."""
    chance = tools.chance
    if data.startswith(b"\x1f\x8b"):
        inner = _inflated(data)
        if inner is None or chance.random() < 0.3:
            return tools.mutate(data, tools.most)
        inner = tools.mutate(inner, tools.most)
        packed = gzip.compress(inner, compresslevel=chance.randrange(10), mtime=0)
        return packed + (packed if chance.random() < 0.1 else b"")
    members = _members(data)
    if members is None or chance.random() < 0.3:
        return tools.mutate(data, tools.most)
    names = list(members) or ["a"]
    how, name = chance.randrange(6), chance.choice(names)
    held = members.get(name, b"")
    if how == 0:
        members[tools.mutate(name.encode(errors="replace"), 40).decode("latin-1")] = held
    elif how == 1:
        members.pop(name, None)
    elif how == 2:
        members[name] = gzip.compress(held, mtime=0)
    else:
        members[name] = tools.mutate(held, tools.most)
    return _zip_of(members, chance)


def _inflated(data: bytes) -> bytes | None:
    try:
        return zlib.decompressobj(31).decompress(data, _MOST_UNPACKED)
    except zlib.error:
        return None


def _members(data: bytes) -> dict[str, bytes] | None:
    members: dict[str, bytes] = {}
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            for member in archive.infolist()[:5]:
                with archive.open(member) as stream:
                    members[member.filename] = stream.read(_MOST_UNPACKED)
    except Exception:  # noqa: BLE001 (a mutated archive may fail in any way; then it is mutated blindly)
        return None
    return members


def _zip_of(members: Mapping[str, bytes], chance: random.Random) -> bytes:
    buffer = io.BytesIO()
    method = zipfile.ZIP_BZIP2 if chance.random() < 0.02 else chance.choice([zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED])
    with zipfile.ZipFile(buffer, "w", method) as archive:
        # A name ends at a zero byte, and one given twice is a warning.
        for name, held in {name.partition("\0")[0][:60] or "a": held for name, held in members.items()}.items():
            archive.writestr(zipfile.ZipInfo(name, (2026, 4, 18, 0, 0, 0)), held, method)
    return buffer.getvalue()
