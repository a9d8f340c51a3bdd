"""Says on a terminal what is being done, in one line that the next one replaces."""

from __future__ import annotations

import os
import shutil
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TextIO

from reportgen.cli.reports import Step
from reportgen.errors import one_line


@contextmanager
def progress(stream: TextIO) -> Iterator[Step]:
    """Yield a function that shows what is being done; nothing is shown where nobody looks.

    No thread draws the line: while one runs, this process can't be copied for work side by side.
    """
    if not stream.isatty() or os.environ.get("TERM") == "dumb":
        yield lambda _: None
        return

    def show(text: str) -> None:
        width = shutil.get_terminal_size().columns - 1
        stream.write(f"\r{one_line(text)[:width]:<{width}}")
        stream.flush()

    try:
        yield show
    finally:
        show("")
        stream.write("\r")
        stream.flush()
