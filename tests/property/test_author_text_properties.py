"""Whatever an author writes, nothing but plain elements comes of it."""

from __future__ import annotations

from html.parser import HTMLParser

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.pages.test_author_text import rendered

TAGS = {
    "a", "b", "blockquote", "br", "code", "em", "h2", "h3", "h4", "h5", "h6", "hr", "li", "ol", "p",
    "pre", "span", "strong", "table", "tbody", "td", "th", "thead", "tr", "ul",
}  # fmt: skip
ATTRIBUTES = {("a", "href"), ("ol", "start"), ("td", "style"), ("th", "style")}
HOSTILE = (
    "<script>alert(1)</script>", "<img src=x onerror=alert(1)>", "<svg/onload=alert(1)>", "<!--",
    "-->", "<![CDATA[", "]]>", "<?php", '<div markdown="1" onclick="alert(1)">', "</div>",
    "<style>",
    "[a](javascript:alert(1))", "[a](data:text/html,x)", '[a](data.html "t\" onclick=alert(1)")',
    "![a](https://elsewhere.example.org/x.png)", "![a][r]", "[a][r]", "[r]: javascript:alert(1)",
    "[r]: https://elsewhere.example.org 'x\" onclick=\"alert(1)'", "<javascript:alert(1)>",
    "<a@b.example.org>", "<https://elsewhere.example.org>", "{: onclick=alert(1) }", "{#x .y z=1}",
    "[TOC]", "!!! note \"<b>x\"", "??? x", "[^1]", "[^1]: x", "*[HTML]: x",
    "--8<-- '/etc/hostname'",
    "`code`", "**b**", "# h", "> q", "- l", "1. l", "| a | b |", "|---|:-:|", "    code", "```",
    "&lt;script&gt;", "&#60;script&#62;", "\\<", "\x02", "\x03", "\ue000", "klzzwxh:0001", "\n",
    "\n\n",
)  # fmt: skip


class Elements(HTMLParser):
    """Every element and attribute of a text."""

    def __init__(self, text: str) -> None:
        super().__init__()
        self.found: set[str] = set()
        self.attributes: set[tuple[str, str]] = set()
        self.links: set[str | None] = set()
        self.feed(text)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        self.found.add(tag)
        self.attributes.update((tag, name) for name, _ in attrs)
        self.links.update(value for name, value in attrs if name == "href")


@given(parts=st.lists(st.sampled_from(HOSTILE), max_size=12), glue=st.sampled_from([" ", "", "\n"]))
@settings(max_examples=300, deadline=None)
def test_whatever_stands_together_makes_only_harmless_elements(parts: list[str], glue: str) -> None:
    """One trick alone is easily caught; two may open a door for one another."""
    text = rendered(glue.join(parts)).html
    assert text is not None
    elements = Elements(text)

    assert elements.found <= TAGS
    assert elements.attributes <= ATTRIBUTES
    assert elements.links <= {"data.html", "https://elsewhere.example.org"}
