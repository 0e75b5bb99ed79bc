"""The repository as it lies on disk."""

from __future__ import annotations

import pathlib

import pytest

ROOT = pathlib.Path(__file__).resolve().parents[2]


@pytest.fixture(name="root", scope="session")
def root_fixture() -> pathlib.Path:
    return ROOT


@pytest.fixture(name="source", scope="session")
def source_fixture() -> pathlib.Path:
    return ROOT / "src" / "legwise"
