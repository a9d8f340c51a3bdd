"""Writes example_campaign/ and tests/data/island-truth.json of this checkout."""

from __future__ import annotations

from pathlib import Path

from tests.generators.island.files import write_all

ROOT = Path(__file__).resolve().parents[3]

if __name__ == "__main__":
    write_all(ROOT / "example_campaign", ROOT / "tests" / "data" / "island-truth.json")
