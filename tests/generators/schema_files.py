"""Writes the schema and the list of keys beside the example's description, from the model."""

from __future__ import annotations

from pathlib import Path

from reportgen.read.schema_files import description_keys_text, description_schema_text

EXAMPLE = Path(__file__).resolve().parents[2] / "example_campaign"
FILES = {
    "campaign.schema.json": description_schema_text,
    "campaign-keys.md": description_keys_text,
}


def main() -> None:
    """Write both files."""
    for name, text in FILES.items():
        (EXAMPLE / name).write_text(text(), encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
