"""The process of a campaign that libFuzzer drives. It ends with libFuzzer, and leaves a tally behind as it goes."""

from __future__ import annotations

import functools
import gc
import hashlib
import importlib
import json
import mmap
import os
import random
import resource
import sys
import warnings
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

HANG_S = 25
MEMORY_BYTES = 1_500_000_000
MOST_FINDS = 100
_TALLY_EVERY = 500
_COLLECT_EVERY = 50
"""Few objects hold large arrays in cycles: what Python counts would let them lie for too long."""

_OWN: Mapping[str, tuple[str, ...]] = {
    "csv": ("table.", "values.", "times.", "headings.beside", "headings.units"),
    "gpx": ("xml.gpx", "xml.guard", "xml.elements", "times."),
    "kml": ("xml.kml", "xml.guard", "xml.elements", "times."),
    "igc": ("igc.",),
    "nmea": ("nmea.",),
    "container": ("containers.", "reader"),
    "columns": ("table.column", "table.said_columns", "table.time_cells"),
    "mending": ("",),
}
"""The beginnings of the names, below ``tracks``, of the modules that are instrumented for each reader."""

_READABLE_PART = 0.3
_MOST_READABLE = 500


@dataclass
class Tally:
    """What was done so far: inputs, those that became a track, the finds by place with how often each came."""

    runs: int = 0
    read: int = 0
    finds: dict[str, int] = field(default_factory=dict)
    peak_mb: float = 0.0


def drive(reader: str, runs: int, seed: int, longest: int, folder: Path) -> None:
    """Fuzz until ``runs`` are done. Tally, current input and finds lie under ``folder`` for whoever waits."""
    import atheris
    from atheris.import_hook import HookManager

    # Everything is imported before, so that no run pays for it; of what is ours the readers alone are instrumented.
    for name in ("numpy", "pandas", "pyproj", "legwise.geodesy", "legwise.model.track"):
        importlib.import_module(name)
    # Branches are counted and comparisons are not traced: of each that is of arrays atheris 3.0.0 keeps the result for
    # ever, and what the readers compare with stands among the tokens.
    with HookManager({"legwise"}, _not_of(reader), enable_loader_override=True, trace_dataflow=False):
        # Mutated logs have the same headings again and again; to take them apart is most of the work on a short one.
        for module, function in (("headings.vocabulary", "words_of"), ("headings.meanings", "meaning_of")):
            members = vars(importlib.import_module(f"legwise.tracks.{module}"))
            members[function] = functools.lru_cache(50_000)(members[function])
        importlib.import_module("legwise.tracks")

    from campaigns import mutators, seeds, target, tools

    run, tokens, tally = target.TARGETS[reader], seeds.tokens(reader), Tally()
    readable: list[bytes] = []
    finds, status = folder.parent / "finds", folder / "tally.json"
    current = _shared_memory(folder / "current", longest + 4)
    warnings.simplefilter("error")
    resource.setrlimit(resource.RLIMIT_DATA, (MEMORY_BYTES, MEMORY_BYTES))

    def one(data: bytes) -> None:
        tally.runs += 1
        current[: len(data) + 4] = len(data).to_bytes(4, "little") + data
        is_read, found = target.tried(run, data)
        tally.read += is_read
        if is_read:
            # The newest stands in the place of any other.
            readable[tally.read % _MOST_READABLE : tally.read % _MOST_READABLE + 1] = [data]
        if found is not None:
            if found.key not in tally.finds and len(tally.finds) < MOST_FINDS:
                name = f"{reader}-{hashlib.sha256(data).hexdigest()[:8]}"
                (finds / name).write_bytes(data)
                (finds / f"{name}.txt").write_text(f"{found.key}\n{found.text}", encoding="utf-8", errors="replace")
            tally.finds[found.key] = tally.finds.get(found.key, 0) + 1
        if tally.runs % _COLLECT_EVERY == 0:
            gc.collect()
        if tally.runs % _TALLY_EVERY == 0 or found is not None:
            tally.peak_mb = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024
            status.write_text(json.dumps(asdict(tally)), encoding="utf-8")

    def mutator(data: bytes, most: int, chance_seed: int) -> bytes:
        chance = random.Random(chance_seed)
        # libFuzzer prefers what is rare, and most of that is no track: now and then begin with one that is.
        if readable and chance.random() < _READABLE_PART:
            data = chance.choice(readable)[:most]
        return mutators.changed(reader, data, tools.Tools(most, chance, tokens, atheris.Mutate))

    arguments = [
        sys.argv[0], f"-runs={runs}", f"-seed={seed}", f"-max_len={longest}", f"-timeout={HANG_S}", "-len_control=0",
        f"-rss_limit_mb={MEMORY_BYTES // 1_000_000}", f"-artifact_prefix={finds}/{reader}-", "-print_final_stats=1",
        str(folder.parent / "corpus"), str(folder.parent / "seeds"),
    ]  # fmt: skip
    atheris.Setup(arguments, one, custom_mutator=mutator)
    gc.collect()
    gc.freeze()
    gc.disable()
    atheris.Fuzz()


def _not_of(reader: str) -> set[str]:
    """The modules of the readers that are not those of this one: what is common to all is covered soon enough."""
    folder = Path(__file__).parents[2] / "src" / "legwise" / "tracks"
    names = (".".join(path.relative_to(folder).with_suffix("").parts) for path in folder.rglob("*.py"))
    others = (name for name in names if not name.endswith("__init__") and not name.startswith(_OWN[reader]))
    return {f"legwise.tracks.{name}" for name in others}


def _shared_memory(path: Path, size: int) -> mmap.mmap:
    """What is being read when the process is killed can still be had from there."""
    path.write_bytes(bytes(size))
    with path.open("r+b") as file:
        return mmap.mmap(file.fileno(), size)


def read_last(folder: Path) -> bytes:
    """The input at which a process was killed."""
    held = (folder / "current").read_bytes() if (folder / "current").exists() else bytes(4)
    return held[4 : 4 + int.from_bytes(held[:4], "little")]


def environment() -> dict[str, str]:
    """One thread: arrays of ten numbers need no more."""
    return {**os.environ, "OPENBLAS_NUM_THREADS": "1", "OMP_NUM_THREADS": "1"}


if __name__ == "__main__":
    drive(sys.argv[1], int(sys.argv[2]), int(sys.argv[3]), int(sys.argv[4]), Path(sys.argv[5]))
