from __future__ import annotations

from pathlib import Path

from reportgen.site.heavy_blocks import put_back, set_apart

DRAWING = f"<svg class='still'>{'<path d=x/>' * 100}</svg>"
DATA = f'<script type="application/json">{{"x": [{"1, " * 300}1]}}</script>'
TABLE = (
    f"<table class='levels' data-search-exclude=\"x\"><tr><td>{DRAWING}</td></tr>"
    f"{'<tr><td>1</td></tr>' * 50}</table>"
)
MARKED = ' data-search-exclude="x"'
BARE = TABLE.replace(MARKED, "")
PAGE = f"<h2 id='a'>A</h2>\n{DRAWING}\n<p>words</p>{DATA}<svg>small</svg>\n{TABLE}\n<p>end</p>\n"


def test_words_and_small_drawings_stay_and_heavy_blocks_go() -> None:
    light, blocks = set_apart(PAGE)

    assert blocks == (DRAWING, DATA, BARE)
    assert "words" in light
    assert "<svg>small</svg>" in light
    assert len(light) < 150


def test_what_was_set_apart_comes_back_letter_by_letter(tmp_path: Path) -> None:
    """A backslash or a group's name in a block must not be read as a pattern."""
    page = PAGE.replace("words", r"words \1 \g<0>").replace("d=x", r"d=\1")
    light, blocks = set_apart(page)
    (tmp_path / "a.html").write_text(light, encoding="utf-8")
    (tmp_path / "b.html").write_text("as it is <!--block-0-->", encoding="utf-8")

    put_back(tmp_path, {"a.html": blocks, "b.html": ()})

    assert (tmp_path / "a.html").read_text(encoding="utf-8") == page.replace(MARKED, "")
    assert (tmp_path / "b.html").read_text(encoding="utf-8") == "as it is <!--block-0-->"


def test_a_table_that_the_search_reads_stays() -> None:
    around = f'<div data-search-exclude="x">\n{BARE}</div>'

    assert set_apart(BARE)[1] == (DRAWING,)
    assert set_apart(around)[1] == (BARE,)


def test_what_only_the_search_reads_does_not_come_back() -> None:
    _, blocks = set_apart(DRAWING.replace("<svg ", '<svg data-search-exclude="x" '))

    assert blocks == (DRAWING,)
