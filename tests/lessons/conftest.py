"""A lesson with every key that the lesson format has and this version reads."""

from __future__ import annotations

from pathlib import Path

import pytest


@pytest.fixture
def whole_lesson() -> str:
    return (Path(__file__).parent / "whole_lesson.toml").read_text(encoding="utf-8")
