"""Any bytes as a text table; the first byte chooses among the formats."""

from __future__ import annotations

from pathlib import Path

from reportgen.model.columns import RECORDS
from reportgen.read.log_records import read_walk_log
from tests.read.log_files import context, written
from tests.read.promises import TABLE_FORMATS, reads_or_explains


def check(content: bytes, folder: Path) -> None:
    """Read all but the first byte as a log."""
    log_format = TABLE_FORMATS[(content[0] - ord("0") if content else 0) % len(TABLE_FORMATS)]
    file = written(folder, content[1:], "any.csv")
    reads_or_explains(lambda: read_walk_log(file, log_format, context()), RECORDS)
