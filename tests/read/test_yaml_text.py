"""YAML text: what is read, and what is refused with its line."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.errors import CampaignError, Problem, Where
from reportgen.read.reading import CampaignFile
from reportgen.read.yaml_text import LARGEST_BYTES, dotted, parse_yaml, read_yaml


def problems_of(text: str) -> tuple[Problem, ...]:
    with pytest.raises(CampaignError) as caught:
        parse_yaml(text, "c.yaml")
    return caught.value.problems


def test_words_and_dates_stay_text_and_numbers_become_numbers() -> None:
    """YAML 1.1 reads off and no as false, 12:30 as 750, 010 as 8: all wrong here."""
    document = parse_yaml(
        "a: off\nb: no\nc: 2026-03-03 10:00:00\nd: 12:30\ne: 1e3\nf: 010\ng: true\nh:\ni: 0x1F\n",
        "c.yaml",
    )

    assert document.value == {
        "a": "off",
        "b": "no",
        "c": "2026-03-03 10:00:00",
        "d": "12:30",
        "e": 1000.0,
        "f": 10,
        "g": True,
        "h": None,
        "i": 31,
    }


def test_keys_are_text_even_where_they_look_like_numbers() -> None:
    assert parse_yaml("2026: a\ntrue: b\n", "c.yaml").value == {"2026": "a", "true": "b"}


def test_places_of_keys_values_and_items_are_known() -> None:
    document = parse_yaml("a:\n  b: 3\n  c:\n    - 1\n    - {x: 2}\n", "c.yaml")

    assert document.where("a", "b") == Where(path="c.yaml", line=2, column=3)
    assert document.where_value("a", "b") == Where(path="c.yaml", line=2, column=6)
    assert document.where("a", "c", 1, "x") == Where(path="c.yaml", line=5, column=8)


def test_an_absent_key_is_placed_at_its_nearest_parent() -> None:
    document = parse_yaml("a:\n  b: {c: 3}\n", "c.yaml")

    assert document.where("a", "b", "d", "e") == document.where("a", "b")


def test_a_value_left_empty_is_placed_at_its_key() -> None:
    """The parser puts it where the next word begins, lines below."""
    document = parse_yaml("a: 1\nempty:\n\n\nb: 2\n", "c.yaml")

    assert document.where_value("empty").line == 2


def test_a_plain_value_keeps_its_spelling() -> None:
    """An identifier such as 0012 must be shown as written, not as 12."""
    assert parse_yaml("ids: [0012]\n", "c.yaml").text("ids", 0) == "0012"


def test_every_duplicate_key_is_reported_with_the_first() -> None:
    """One of the two would be lost in silence."""
    found = problems_of("a: 1\nb: 2\na: 3\nb: 4\n")

    assert [(p.code, p.where.line, p.found) for p in found] == [
        ("yaml/duplicate-key", 3, "the key a again, first in line 1"),
        ("yaml/duplicate-key", 4, "the key b again, first in line 2"),
    ]


@pytest.mark.parametrize(
    ("text", "code", "place", "found"),
    [
        ("a:\n\tb: 1\n", "yaml/syntax", "c.yaml:2:1", "a tab"),
        ("a: 'x\n", "yaml/syntax", "c.yaml:2:1", "that begins in line 1"),
        ("a: b: c\n", "yaml/syntax", "c.yaml:1:5", "mapping values are not allowed"),
        ("a: [1\n", "yaml/syntax", "c.yaml:2:1", "flow sequence"),
        ("{[1]: 2}\n", "yaml/syntax", "c.yaml:1:2", "a list as a key"),
        ("a: &x 1\nb: *x\n", "yaml/feature", "c.yaml:1:4", "the anchor &x"),
        ("a: 1\nb: *x\n", "yaml/feature", "c.yaml:2:4", "the alias *x"),
        ("%YAML 1.1\n---\na: off\n", "yaml/feature", "c.yaml:2:1", "directive"),
        ("a: !!python/object:os.system x\n", "yaml/feature", "c.yaml:1:4", "the tag"),
        ("a: !own {b: 1}\n", "yaml/feature", "c.yaml:1:4", "the tag !own"),
        ("a: 1\n---\nb: 1\n", "yaml/feature", "c.yaml:2:1", "second document"),
        ("a: 1\nb: \x00\n", "yaml/encoding", "c.yaml:2:4", "0x00"),
        ('a: "x\\0y"\n', "yaml/encoding", "c.yaml:1:4", "character"),
        ("a: .inf\n", "yaml/number", "c.yaml:1:4", ".inf"),
        ("a: .nan\n", "yaml/number", "c.yaml:1:4", ".nan"),
        ("a: " + "9" * 5000, "yaml/number", "c.yaml:1:4", "5000 characters"),
        ("a: " + "[" * 300_000, "yaml/too-deep", "c.yaml:1:43", "levels"),
    ],
)
def test_what_is_refused_is_named_with_line_and_column(
    text: str, code: str, place: str, found: str
) -> None:
    """Aliases and nesting make small files explode; the rest would be read wrongly."""
    (problem,) = problems_of(text)

    assert (problem.code, str(problem.where)) == (code, place)
    assert found in problem.found


def test_a_byte_that_is_not_utf8_is_placed(tmp_path: Path) -> None:
    path = tmp_path / "c.yaml"
    path.write_bytes(b"a: 1\nb: \xff\n")

    with pytest.raises(CampaignError, match="0xff") as caught:
        read_yaml(CampaignFile(path, "c.yaml"))

    assert str(caught.value.problems[0].where) == "c.yaml:2:4"


def test_a_byte_order_mark_is_no_part_of_the_first_key(tmp_path: Path) -> None:
    path = tmp_path / "c.yaml"
    path.write_bytes(b"\xef\xbb\xbfa: 1\r\nb: 2\r\n")

    assert read_yaml(CampaignFile(path, "c.yaml")).value == {"a": 1, "b": 2}


def test_a_huge_file_is_not_parsed(tmp_path: Path) -> None:
    path = tmp_path / "c.yaml"
    path.write_bytes(b"#" * (LARGEST_BYTES + 1))

    with pytest.raises(CampaignError, match="yaml/too-large"):
        read_yaml(CampaignFile(path, "c.yaml"))


def test_paths_are_written_as_people_count() -> None:
    assert dotted(("walks", "north", "logs", 0, "file")) == "walks.north.logs[1].file"
    assert dotted(()) == "the description"
