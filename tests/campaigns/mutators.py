"""Mutations that keep a log's structure, so that a campaign gets past the first check of each reader.

Rows stay rows, records keep their columns, checksums are put right.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping

from campaigns.made_records import HEAD, RECORD
from campaigns.mutate_archives import mutate_archive
from campaigns.mutate_xml import mutate_xml
from campaigns.tools import Tools

_SEPARATORS = (b",", b";", b"\t", b"|")

Change = Callable[[bytes, Tools], bytes]


def changed(reader: str, data: bytes, tools: Tools) -> bytes:
    """``data`` mutated for a reader; now and then by libFuzzer alone, which knows nothing of structure."""
    change = _CHANGES.get(reader)
    if change is None or not data or tools.chance.random() < 0.2:
        return tools.mutate(data, tools.most)
    return change(data, tools)[: tools.most]


def _shuffled_lines(lines: list[bytes], tools: Tools) -> None:
    """One line doubled, left out, exchanged with another, or moved."""
    chance, at = tools.chance, tools.place(lines)
    how = chance.randrange(5)
    if how == 0:
        lines.insert(at, lines[at])
    elif how == 1 and len(lines) > 1:
        del lines[at]
    elif how == 2:
        other = tools.place(lines)
        lines[at], lines[other] = lines[other], lines[at]
    elif how == 3:
        lines.insert(tools.place(lines), lines.pop(at))
    else:
        lines.insert(at, chance.choice(tools.tokens))


def _csv(data: bytes, tools: Tools) -> bytes:
    chance = tools.chance
    if data.startswith((b"\xff\xfe", b"\xfe\xff")):
        data = data.decode("utf-16", errors="replace").encode()
    end = b"\r\n" if b"\r\n" in data else b"\n"
    separator = max(_SEPARATORS, key=data.count)
    rows = [line.split(separator) for line in data.split(end)]
    for _ in range(chance.randint(1, 3)):
        how = chance.randrange(10)
        if how < 5:
            row = chance.choice(rows)
            at = tools.place(row)
            row[at] = tools.some(row[at])
        elif how < 7:
            lines = [separator.join(row) for row in rows]
            _shuffled_lines(lines, tools)
            rows = [line.split(separator) for line in lines]
        elif how < 9:
            _change_column(rows, tools)
        else:
            other = chance.choice(_SEPARATORS)
            rows = [[cell.replace(other, b" ") for cell in row] for row in rows]
            separator = other
    changed_data = end.join(separator.join(row) for row in rows)
    if chance.random() < 0.02:
        return changed_data.decode("utf-8", errors="replace").encode("utf-16")
    return changed_data


def _change_column(rows: list[list[bytes]], tools: Tools) -> None:
    """A column moved, doubled, left out, emptied or changed in every row that has it."""
    chance = tools.chance
    width = max(len(row) for row in rows)
    at, to, how, token = (
        chance.randrange(width),
        chance.randrange(width),
        chance.randrange(6),
        chance.choice(tools.tokens),
    )
    for index, row in enumerate(rows):
        if at >= len(row):
            continue
        if how == 0:
            row.insert(to, row.pop(at))
        elif how == 1:
            row.insert(to, row[at])
        elif how == 2 and len(row) > 1:
            del row[at]
        elif how == 3 and index:
            row[at] = b"" if chance.random() < 0.7 else row[at]
        elif how == 4 and index:
            row[at] = row[at].replace(b".", b",") if b"." in row[at] else row[at].replace(b",", b".")
        elif how == 5 and index:
            row[at] = token


def _nmea(data: bytes, tools: Tools) -> bytes:
    chance = tools.chance
    lines = data.split(b"\n")
    for _ in range(chance.randint(1, 3)):
        if chance.random() < 0.35:
            _shuffled_lines(lines, tools)
            continue
        at = tools.place(lines)
        fields = lines[at].partition(b"*")[0].split(b",")
        field = tools.place(fields)
        fields[field] = tools.some(fields[field], 20)
        if chance.random() < 0.1:
            fields.insert(field, b"")
        lines[at] = b",".join(fields)
    wrong = 0.05 if chance.random() < 0.5 else 0.0
    return b"\n".join(line if chance.random() < wrong else _with_checksum(line) for line in lines)


def _with_checksum(line: bytes) -> bytes:
    if not line.startswith((b"$", b"!")):
        return line
    body = line[1:].partition(b"*")[0].rstrip(b"\r")
    total = 0
    for byte in body:
        total ^= byte
    return b"%c%b*%02X\r" % (line[0], body, total)


def _igc(data: bytes, tools: Tools) -> bytes:
    chance = tools.chance
    lines = data.split(b"\n")
    for _ in range(chance.randint(1, 3)):
        if chance.random() < 0.35:
            _shuffled_lines(lines, tools)
            continue
        at = tools.place(lines)
        line = lines[at]
        if chance.random() < 0.6 and line:
            # Figures change in their places: the columns are what a record is.
            start = tools.place(line)
            stop = min(len(line), start + chance.randint(1, 7))
            figures = b"0123456789" if chance.random() < 0.85 else b"09-NSEWAV \0"
            line = line[:start] + bytes(chance.choice(figures) for _ in range(stop - start)) + line[stop:]
        else:
            line = tools.some(line, 90)
        lines[at] = line
    return b"\n".join(lines)


def _columns(data: bytes, tools: Tools) -> bytes:
    chance = tools.chance
    lines = data.split(b"\n")
    for _ in range(chance.randint(1, 2)):
        if chance.random() < 0.3:
            _shuffled_lines(lines, tools)
            continue
        at = tools.place(lines)
        key, _equals, value = lines[at].partition(b" = ")
        if chance.random() < 0.5:
            key = chance.choice(tools.tokens)
        elif chance.random() < 0.5:
            value = chance.choice(tools.tokens)
        else:
            value = b'"' + tools.some(value.strip(b'"')) + b'"'
        lines[at] = key + b" = " + value
    return b"\n".join(lines)


def _records(data: bytes, tools: Tools) -> bytes:
    """Of the records for mending: a byte of one changed, one put in, left out, doubled or moved."""
    chance = tools.chance
    head = bytearray(data[:HEAD].ljust(HEAD, b"\0"))
    records = [data[at : at + RECORD] for at in range(HEAD, len(data) - RECORD + 1, RECORD)] or [tools.tokens[0]]
    for _ in range(chance.randint(1, 3)):
        how = chance.randrange(6)
        if how == 0:
            head[chance.randrange(HEAD)] = chance.randrange(256)
        elif how <= 2:
            at, byte = tools.place(records), chance.randrange(RECORD)
            changed_record = bytearray(records[at].ljust(RECORD, b"\0"))
            changed_record[byte] = (
                chance.randrange(256) if chance.random() < 0.6 else chance.choice((0, 1, 3, 150, 200))
            )
            records[at] = bytes(changed_record)
        else:
            _shuffled_lines(records, tools)
    return bytes(head) + b"".join(record[:RECORD].ljust(RECORD, b"\0") for record in records)


_CHANGES: Mapping[str, Change] = {
    "csv": _csv, "gpx": mutate_xml, "kml": mutate_xml, "nmea": _nmea, "igc": _igc, "container": mutate_archive,
    "columns": _columns, "mending": _records,
}  # fmt: skip
