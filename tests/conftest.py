"""What every room's tests share: property tests that give the same answer every time."""

from __future__ import annotations

from hypothesis import settings

settings.register_profile("repeatable", deadline=None, derandomize=True, print_blob=False)
settings.load_profile("repeatable")
