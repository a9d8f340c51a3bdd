"""Any bytes as JSON Lines; the first byte chooses between one reception to a record and many."""

from __future__ import annotations

from pathlib import Path

from reportgen.model.columns import RECORDS
from reportgen.read.log_records import read_walk_log
from tests.read.log_files import context, written
from tests.read.promises import JSON_FORMATS, reads_or_explains


def check(content: bytes, folder: Path) -> None:
    """Read all but the first byte as a log."""
    log_format = JSON_FORMATS[(content[0] - ord("0") if content else 0) % len(JSON_FORMATS)]
    file = written(folder, content[1:], "any.jsonl")
    reads_or_explains(lambda: read_walk_log(file, log_format, context()), RECORDS)
