"""The author's conclusions: Markdown in UTF-8, comments left out."""

from __future__ import annotations

from reportgen.errors import CampaignError
from reportgen.read.findings import Finding
from reportgen.read.reading import CampaignFile
from reportgen.read.text_files import read_bytes

LARGEST_BYTES = 1_000_000

PROBLEM_CODES = (("conclusions/unreadable", "The conclusions are not UTF-8, or too large."),)


def read_conclusions(file: CampaignFile) -> str:
    """Return the text with its comments blanked; lines keep their numbers.

    Raises
    ------
    CampaignError
        If it is no Markdown in UTF-8, or larger than any conclusions.
    """
    content = read_bytes(file)
    if len(content) > LARGEST_BYTES:
        raise _unreadable(file, f"more than {LARGEST_BYTES:,} bytes", 0)
    if b"\0" in content:
        raise _unreadable(file, "NUL bytes, which no UTF-8 text holds", _line(content, b"\0"))
    try:
        text = content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        found = f"the byte {content[error.start]:#04x}, which is not UTF-8"
        line = content[: error.start].count(b"\n") + 1
        raise _unreadable(file, found, line) from error
    return _without_comments(text.replace("\r\n", "\n"))


def _line(content: bytes, what: bytes) -> int:
    return content[: content.index(what)].count(b"\n") + 1


def _unreadable(file: CampaignFile, found: str, line: int) -> CampaignError:
    return Finding(
        code="conclusions/unreadable",
        found=found,
        expected="Markdown in UTF-8, a few pages at most",
        do="save the file as UTF-8, without pictures in it",
    ).error(file.where(line))


def _without_comments(text: str) -> str:
    """Blank HTML comments: notes to oneself are not published. Lines keep their numbers."""
    # Not by a regular expression: after every comment left open it would look to the end again.
    kept: list[str] = []
    at = 0
    while (start := text.find("<!--", at)) >= 0 and (end := text.find("-->", start + 4)) >= 0:
        kept += (text[at:start], "\n" * text.count("\n", start, end))
        at = end + len("-->")
    return "".join((*kept, text[at:]))
