"""Drawings, their data and tables, kept from MkDocs, which would parse them to change nothing.

A walk's page is two megabytes of finished markup and some thousand words. MkDocs reads the words;
the rest is put in its place afterwards, letter by letter as the templates wrote it.
"""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from pathlib import Path

_HEAVY = re.compile(
    r"<svg\b.*?</svg>"
    r'|<script type="application/json"[^>]*>.*?</script>'
    r'|<details class="chart-table" data-search-exclude="x">.*?</details>'
    r'|<table [^>]*data-search-exclude="x".*?</table>'
    r'|(?<=data-search-exclude="x">\n)<table\b.*?</table>',
    re.DOTALL,
)
_LEAST_LETTERS = 400
"""Smaller ones are quicker parsed than taken out."""
_NOT_SEARCHED = ' data-search-exclude="x"'
"""What the search takes out of a page once it has read it."""
_PLACE = re.compile(r"<!--block-(\d+)-->")


def set_apart(markdown: str) -> tuple[str, tuple[str, ...]]:
    """Return a page with a mark for each heavy block, and the blocks in their order.

    None of them holds a heading or a word that the search should find; texts from outside are
    escaped, so that none of them can be taken for a mark.
    """
    blocks: list[str] = []

    def mark(found: re.Match[str]) -> str:
        block = found[0]
        if len(block) < _LEAST_LETTERS:
            return block
        blocks.append(block.replace(_NOT_SEARCHED, ""))
        return f"<!--block-{len(blocks) - 1}-->"

    return _HEAVY.sub(mark, markdown), tuple(blocks)


def put_back(site: Path, blocks: Mapping[str, Sequence[str]]) -> None:
    """Put the blocks of each page, by its path in the site, where their marks stand."""
    for name, of_page in blocks.items():
        if of_page:
            page = site / name
            text = page.read_text(encoding="utf-8")
            page.write_text(
                _PLACE.sub(lambda found: of_page[int(found[1])], text),  # noqa: B023 - used at once
                encoding="utf-8",
                newline="\n",
            )
