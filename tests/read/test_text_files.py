"""Encodings, byte order marks and sizes."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.errors import CampaignError, Severity
from reportgen.read.text_files import read_bytes, read_text
from tests.read.log_files import only_problem, written


@pytest.mark.parametrize("encoding", ["utf-8", "utf-8-sig", "utf-16", "utf-32"])
def test_marked_text_is_read_without_its_mark(tmp_path: Path, encoding: str) -> None:
    """A mark that stays would become part of the first heading."""
    text = read_text(written(tmp_path, "Größe\n".encode(encoding)))

    assert text.text == "Größe\n"
    assert text.problems == ()


def test_text_that_is_not_utf8_is_read_as_windows_1252_with_a_note(tmp_path: Path) -> None:
    """Old spreadsheets write it; the author should know what was assumed, and from which line."""
    text = read_text(written(tmp_path, "time\nGröße\n".encode("cp1252")))

    assert text.text == "time\nGröße\n"
    assert [(problem.code, problem.severity) for problem in text.problems] == [
        ("file/encoding-guessed", Severity.NOTE)
    ]
    assert text.problems[0].where.line == 2


@pytest.mark.parametrize("encoding", ["utf-16-le", "utf-16-be"])
def test_utf16_without_its_mark_is_found_by_its_nul_bytes(tmp_path: Path, encoding: str) -> None:
    """It is valid UTF-8, with a NUL at every second place: no heading would be found."""
    text = read_text(written(tmp_path, "time,node\nnow,é\n".encode(encoding)))

    assert text.text == "time,node\nnow,é\n"
    assert [problem.found for problem in text.problems] == [
        "text without mark; it was read as UTF-16"
    ]


def test_a_block_of_nul_bytes_is_not_taken_for_utf16(tmp_path: Path) -> None:
    """A power cut leaves them amid rows; the rows around are whole."""
    content = b"time\n" + b"\0" * 600 + b"2026\n"

    assert read_text(written(tmp_path, content)).text == content.decode()


@pytest.mark.parametrize(
    ("content", "code"),
    [
        (b"PK\x03\x04rest", "file/not-text"),
        (b"\x1f\x8brest", "file/not-text"),
        (b"\xd0\xcf\x11\xe0rest", "file/not-text"),
        (b"\0" * 512, "file/not-text"),
        (b"\xef\xbb\xbf\r\n <!DOCTYPE html><html>", "file/web-page"),
        (b"<HTML lang=en>", "file/web-page"),
    ],
)
def test_what_is_no_text_is_named(tmp_path: Path, content: bytes, code: str) -> None:
    """A renamed spreadsheet, or a sign-in page saved as a log, would fault row by row."""
    with pytest.raises(CampaignError) as caught:
        read_bytes(written(tmp_path, content))

    assert only_problem(caught.value).code == code


def test_utf16_cut_off_inside_a_character_is_read_with_a_warning(tmp_path: Path) -> None:
    """A power cut can end a file at any byte."""
    text = read_text(written(tmp_path, "abc".encode("utf-16")[:-1]))

    assert text.text.startswith("ab")
    assert [problem.code for problem in text.problems] == ["file/encoding-damaged"]


def test_declared_encoding_is_taken_at_its_word(tmp_path: Path) -> None:
    """Cyrillic in an old encoding is valid Windows-1252, but nonsense."""
    assert read_text(written(tmp_path, "Дом".encode("koi8-r")), "koi8-r").text == "Дом"


def test_declared_utf8_tolerates_a_mark(tmp_path: Path) -> None:
    """Authors say utf-8 and mean with or without."""
    assert read_text(written(tmp_path, b"\xef\xbb\xbfab"), "utf-8").text == "ab"


@pytest.mark.parametrize(
    ("encoding", "code", "line"),
    [
        ("no-such", "file/encoding-unknown", 0),
        ("hex", "file/encoding-unknown", 0),
        ("utf-8", "file/encoding-wrong", 3),
    ],
)
def test_unusable_declared_encoding_is_an_error(
    tmp_path: Path, encoding: str, code: str, line: int
) -> None:
    """Reading on with another encoding than stated would be a guess against the author's word."""
    with pytest.raises(CampaignError) as caught:
        read_text(written(tmp_path, b"a\nb\n\xff\n"), encoding)

    problem = only_problem(caught.value)
    assert (problem.code, problem.where.line) == (code, line)
    assert encoding in problem.found


def test_half_characters_of_odd_encodings_are_replaced(tmp_path: Path) -> None:
    """They could be written to no file later on."""
    text = read_text(written(tmp_path, rb"a\ud800b"), "unicode_escape").text

    assert text == "a?b"


def test_file_that_is_too_large_is_refused_before_it_is_read(tmp_path: Path) -> None:
    """A disk image named by mistake must not fill the memory."""
    with pytest.raises(CampaignError) as caught:
        read_bytes(written(tmp_path, b"x" * 2_000_001), largest_bytes=1_000_000)

    problem = only_problem(caught.value)
    assert problem.code == "file/too-large"
    assert problem.found == "a file of 2 MB"
    assert problem.expected == "at most 1 MB"


def test_file_that_vanished_is_an_error_with_the_reason(tmp_path: Path) -> None:
    """A stick may be pulled between finding a file and opening it."""
    file = written(tmp_path, b"x")
    file.path.unlink()

    with pytest.raises(CampaignError, match="can't be opened: No such file"):
        read_bytes(file)


def test_only_line_feeds_and_carriage_returns_end_lines(tmp_path: Path) -> None:
    """Form feeds and Unicode separators stand inside of cells; they must not shift line numbers."""
    text = read_text(written(tmp_path, "a\x0cb\u2028c\r\nd\re\nf"))

    assert text.lines() == ["a\x0cb\u2028c\r\n", "d\r", "e\n", "f"]
