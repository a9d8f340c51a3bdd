"""Files as bytes, text and lines: size, encoding, line ends."""

from __future__ import annotations

import codecs
import io
from dataclasses import dataclass, replace

from reportgen.errors import CampaignError, Problem, Severity
from reportgen.read.findings import Finding
from reportgen.read.reading import CampaignFile

LARGEST_BYTES = 200_000_000
"""A walk makes kilobytes to megabytes; more is a file that was named by mistake."""

MOST_LINES = 3_000_000
LONGEST_LINE_BYTES = 20_000_000
"""Either fits into a file of the largest size, and not into the memory once it is taken apart."""

PROBLEM_CODES = (
    ("file/too-many-lines", "A log has more lines than any walk makes."),
    ("file/line-too-long", "A line of a log is so long that it is no row."),
    ("file/too-large", "A file is too large to be a log or track of a walk."),
    ("file/unreadable", "The operating system refuses to open a file."),
    ("file/empty", "A file holds nothing."),
    ("file/encoding-unknown", "The format names a text encoding that does not exist."),
    ("file/encoding-wrong", "The text is not in the encoding that the format names."),
    ("file/not-text", "A file that should be text is an archive, a picture or NUL bytes only."),
    ("file/web-page", "A file is a web page, such as a sign-in page saved under its name."),
    ("file/encoding-guessed", "The text is not UTF-8; it was read as Windows-1252 or UTF-16."),
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
    """Return the content of a text file, whatever its encoding.

    Raises
    ------
    CampaignError
        If the file is larger than `largest_bytes`, can't be opened, or is no text: an archive, a
        spreadsheet, a picture, a web page, or what a power cut left.
    """
    refuse_too_large(file, largest_bytes)
    content = read_at_most(file, largest_bytes)
    refuse_no_text(file, content)
    return content


def refuse_too_large(file: CampaignFile, largest_bytes: int) -> None:
    """Stop at a file above a size, before it is read.

    Raises
    ------
    CampaignError
        If it is larger than `largest_bytes`, or is not there any more.
    """
    try:
        size = file.path.stat().st_size
    except OSError as error:
        raise _unreadable(file, error) from error
    if size > largest_bytes:
        raise Finding(
            code="file/too-large",
            found=f"a file of {size / 1e6:,.0f} MB",
            expected=f"at most {largest_bytes / 1e6:,.0f} MB",
            do="cut the file to the walk, or correct the path",
        ).error(file.where())


def read_at_most(file: CampaignFile, count: int) -> bytes:
    """Return the first bytes of a file.

    Raises
    ------
    CampaignError
        If it can't be opened.
    """
    try:
        with file.path.open("rb") as stream:
            return stream.read(count)
    except OSError as error:
        raise _unreadable(file, error) from error


def refuse_no_text(file: CampaignFile, content: bytes) -> None:
    """Stop at bytes that are no text in any encoding, or a text that nobody meant.

    Raises
    ------
    CampaignError
        If they are an archive, a picture, NUL bytes only, or a web page.
    """
    kind = next((kind for start, kind in _NO_TEXT if content.startswith(start)), "")
    if content and not content.strip(b"\0"):
        kind = "NUL bytes only, as a power cut or a full card leaves them"
    if kind:
        raise Finding(
            code="file/not-text",
            found=kind,
            expected="text",
            do="unpack it or export it as text, and name that file; copy it again if it was whole",
        ).error(file.where())
    start = content[:_START_BYTES].removeprefix(codecs.BOM_UTF8).lstrip().lower()
    if start.startswith((b"<!doctype html", b"<html")):
        raise Finding(
            code="file/web-page",
            found="a web page",
            expected="the file itself",
            do="open it in a browser to see what it says, such as a sign-in; then download the "
            "file again",
        ).error(file.where(line=1))


_START_BYTES = 1000
_NO_TEXT = (
    (b"PK\x03\x04", "a ZIP archive or a spreadsheet (xlsx, ods)"),
    (b"PK\x05\x06", "an empty ZIP archive"),
    (b"\x1f\x8b", "a gzip archive"),
    (b"\xfd7zXZ\0", "an xz archive"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"\xd0\xcf\x11\xe0", "a spreadsheet or document of an old office program (xls, doc)"),
    (b"%PDF-", "a PDF"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"\x89PNG\r\n", "a PNG picture"),
    (b"SQLite format 3\0", "a database (SQLite)"),
)
"""How files of other kinds begin: the signatures of their formats (from memory)."""


def _unreadable(file: CampaignFile, error: OSError) -> CampaignError:
    return Finding(
        code="file/unreadable",
        found=f"the file can't be opened: {error.strerror or type(error).__name__}",
        expected="a file that you may read",
        do="check its permissions, or whether it is open in another program",
    ).error(file.where())


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
        If the file is too large or can't be opened, its lines are too many or too long, or the
        declared encoding does not exist or does not fit.
    """
    content = read_bytes(file)
    _refuse_absurd_lines(file, content)
    return _declared(file, content, encoding) if encoding else _detected(file, content)


def _refuse_absurd_lines(file: CampaignFile, content: bytes) -> None:
    if content.count(b"\n") + content.count(b"\r") > 2 * MOST_LINES:  # a line may end in both
        raise Finding(
            code="file/too-many-lines",
            found=f"more than {MOST_LINES:,} lines",
            expected="the log of a walk",
            do="cut the file to the walk, or correct the path",
        ).error(file.where())
    if len(content) <= LONGEST_LINE_BYTES:
        return
    ended = content.replace(b"\r\n", b"\n").replace(b"\r", b"\n")
    for number, line in enumerate(io.BytesIO(ended), start=1):
        if len(line) > LONGEST_LINE_BYTES:
            raise Finding(
                code="file/line-too-long",
                found=f"a line of {len(line) / 1e6:,.0f} MB",
                expected="one row, or one record, on each line",
                do="write each record of one long text on a line of its own, or correct the path",
            ).error(file.where(line=number))


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
    unmarked = None if marked else _unmarked_utf_16(content)
    if unmarked is not None:
        # As text in UTF-8 it would be valid, every second character a NUL.
        problem = replace(_GUESSED, found="text without mark; it was read as UTF-16").problem(
            file.where(line=1), Severity.NOTE
        )
        return Text(text=content.decode(unmarked, errors="replace"), problems=(problem,))
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


def _unmarked_utf_16(content: bytes) -> str | None:
    """Return the UTF-16 of a text mostly in ASCII: every second byte of it is NUL."""
    start = content[:_START_BYTES]
    half = len(start) // 2
    low, high = start[0::2].count(0), start[1::2].count(0)
    if half >= 2 and high > half / 2 and low == 0:
        return "utf-16-le"
    return "utf-16-be" if half >= 2 and low > half / 2 and high == 0 else None


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
