"""The peak memory of this process alone."""

from __future__ import annotations

from pathlib import Path

KB_PER_MB = 1024


def peak_mb() -> float:
    """The most that was resident since the program began. [MB]

    What ``resource.getrusage`` tells of a child begins with what its parent had when it was split off.
    """
    for line in Path("/proc/self/status").read_text(encoding="ascii").splitlines():
        if line.startswith("VmHWM:"):
            return int(line.split()[1]) / KB_PER_MB
    raise RuntimeError("this system does not tell the peak memory of a process")
