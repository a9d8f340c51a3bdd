"""Files as bytes, text and lines: size, encoding, line ends."""

from __future__ import annotations

import codecs
import io
from dataclasses import dataclass

from reportgen.errors import CampaignError, Problem, Severity
from reportgen.read.findings import Finding
from reportgen.read.reading import CampaignFile

LARGEST_BYTES = 200_000_000
"""A walk makes kilobytes to megabytes; more is a file that was named by mistake."""

PROBLEM_CODES = (
    ("file/too-large", "A file is too large to be a log or track of a walk."),
    ("file/unreadable", "The operating system refuses to open a file."),
    ("file/empty", "A file holds nothing."),
    ("file/encoding-unknown", "The format names a text encoding that does not exist."),
    ("file/encoding-wrong", "The text is not in the encoding that the format names."),
    ("file/encoding-guessed", "The text is not UTF-8; it was read as Windows-1252."),
    ("file/encoding-damaged", "Some characters could not be read and were replaced."),
)

# The longer marks first: UTF-32's begins like UTF-16's.
_MARKS = (
    (codecs.BOM_UTF32_LE, "utf-32"),
    (codecs.BOM_UTF32_BE, "utf-32"),
    (codecs.BOM_UTF8, "utf-8"),
    (codecs.BOM_UTF16_LE, "utf-16"),
    (codecs.BOM_UTF16_BE, "utf-16"),
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Text:
    """Decoded text without byte order mark, and what decoding it showed."""

    text: str
    problems: tuple[Problem, ...] = ()

    def lines(self) -> list[str]:
        """Return the lines with their ends; only CR, LF and CRLF end a line."""
        return list(io.StringIO(self.text, newline=""))


def read_bytes(file: CampaignFile, *, largest_bytes: int = LARGEST_BYTES) -> bytes:
    """Return the content of a file.

    Raises
    ------
    CampaignError
        If the file is larger than `largest_bytes`, or can't be opened.
    """
    try:
        size = file.path.stat().st_size
        if size > largest_bytes:
            raise _too_large(file, size, largest_bytes)
        return file.path.read_bytes()
    except OSError as error:
        raise Finding(
            code="file/unreadable",
            found=f"the file can't be opened: {error.strerror or type(error).__name__}",
            expected="a file that you may read",
            do="check its permissions, or whether it is open in another program",
        ).error(file.where()) from error


def empty_file(file: CampaignFile) -> Problem:
    """Return the problem of a file without content."""
    return Finding(
        code="file/empty",
        found="the file is empty",
        expected="at least one row",
        do="nothing if nothing was recorded; otherwise copy the file again",
    ).problem(file.where(), Severity.WARNING)


def read_text(file: CampaignFile, encoding: str | None = None) -> Text:
    """Return the text of a file.

    Parameters
    ----------
    file : CampaignFile
    encoding : str, optional
        As declared by the author. Without it: what the byte order mark says, else UTF-8, else
        Windows-1252 with a note.

    Raises
    ------
    CampaignError
        If the file is too large or can't be opened, or the declared encoding does not exist or
        does not fit.
    """
    content = read_bytes(file)
    return _declared(file, content, encoding) if encoding else _detected(file, content)


def _too_large(file: CampaignFile, size: int, largest: int) -> CampaignError:
    return Finding(
        code="file/too-large",
        found=f"a file of {size / 1e6:.0f} MB",
        expected=f"at most {largest / 1e6:.0f} MB",
        do="cut the file to the walk, or correct the path",
    ).error(file.where())


def _declared(file: CampaignFile, content: bytes, encoding: str) -> Text:
    try:
        text = content.decode(encoding)
    except UnicodeDecodeError as error:
        raise Finding(
            code="file/encoding-wrong",
            found=f"a byte sequence that is not {encoding}",
            expected=f"text in {encoding}, as the format says",
            do="correct 'encoding', or leave it out to have it found",
        ).error(file.where(line=1 + content.count(b"\n", 0, max(error.start, 0)))) from error
    except (LookupError, ValueError) as error:
        raise Finding(
            code="file/encoding-unknown",
            found=f"encoding: {encoding}",
            expected="the name of a text encoding, such as utf-8, utf-16 or cp1252",
            do="correct 'encoding' in the log format, or leave it out",
        ).error(file.where()) from error
    # Some encodings let half characters through, which no output file could hold.
    return Text(text=text.encode("utf-8", "replace").decode("utf-8").removeprefix("\ufeff"))


def _detected(file: CampaignFile, content: bytes) -> Text:
    marked = next((name for mark, name in _MARKS if content.startswith(mark)), None)
    try:
        return Text(text=content.decode(marked or "utf-8").removeprefix("\ufeff"))
    except UnicodeDecodeError as error:
        line = 0 if marked in {"utf-16", "utf-32"} else 1 + content.count(b"\n", 0, error.start)
    finding = _DAMAGED if marked else _GUESSED
    severity = Severity.WARNING if marked else Severity.NOTE
    return Text(
        text=content.decode(marked or "cp1252", errors="replace").removeprefix("\ufeff"),
        problems=(finding.problem(file.where(line=line), severity),),
    )


_GUESSED = Finding(
    code="file/encoding-guessed",
    found="text that is not UTF-8; it was read as Windows-1252",
    expected="UTF-8",
    do="state 'encoding' in the log format if names look wrong",
)
_DAMAGED = Finding(
    code="file/encoding-damaged",
    found="characters that are not in the encoding of the file's mark; they were replaced",
    expected="a whole file in one encoding",
    do="copy the file again; check the rows that were set aside",
)
