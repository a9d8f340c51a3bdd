"""Drafts are bound to their figures, on the page and in the file that an author edits."""

from __future__ import annotations

import html
import re
from dataclasses import replace

import pytest
from markupsafe import Markup

from reportgen.errors import PageError
from reportgen.pages.author_text import author_text
from reportgen.pages.context import Context
from reportgen.pages.drafts import drafts, drafts_text
from reportgen.pages.sentences import Called, as_html, as_markdown, sentence
from tests.made_results import EXAMPLE
from tests.pages.made_context import context_of, plain

HOSTILE = 'A *loop* {{ figure("campaign.frames_heard") }} <script>alert(1)</script> [x](y) `z` 50 %'


@pytest.fixture(scope="module")
def context() -> Context:
    return context_of(EXAMPLE)


def rendered(context: Context, markdown: str) -> str:
    """Return an author's text as the site shows it; it must have no problems."""
    found = author_text(
        markdown,
        "conclusions.md",
        context.results.figures,
        lambda name: context.renderer.figure(context.figures.view(name), ""),
    )
    assert found.problems == ()
    assert found.html is not None
    return found.html


def test_a_draft_taken_over_by_the_author_reads_as_it_did(context: Context) -> None:
    """The file goes into conclusions.md as it is: every call must be known, every word kept."""
    text = "\n".join(line for line in drafts_text(context).splitlines() if line.startswith("- "))

    for draft, line in zip(drafts(context), text.splitlines(), strict=True):
        assert plain(rendered(context, line)) == plain(as_html(context, draft))


def test_every_number_of_the_drafts_is_a_figure_that_opens(context: Context) -> None:
    """A number typed into a sentence would drift from the data; titles hold SF7 and “1 more”."""
    for draft in drafts(context):
        words = re.sub(
            r"\{\{ figure\(\"[^\"]+\"\) \}\}|“[^”]*”( and \d+ more)?|95\u202f%",
            "",
            as_markdown(context, draft),
        )
        assert not re.search(r"\d", words), words
        assert as_html(context, draft).count("popovertarget") >= 1


def test_the_comparison_with_evidence_says_what_the_generator_made_true(context: Context) -> None:
    (said,) = (
        plain(as_html(context, draft))
        for draft in drafts(context)
        if draft.key == "compare.verdict_together"
    )

    assert "the signal of Ripple was 4.6 dB weaker than that of Drift" in said
    assert "−5.1 dB to −4.0 dB" in said  # noqa: RUF001 - a minus sign, as the site writes it


def test_a_title_is_text_and_neither_markdown_nor_a_call(context: Context) -> None:
    said = sentence("conclusions.draft_walk_silent", walk=HOSTILE, station="Pier")

    markdown = as_markdown(context, said)
    page = rendered(context, markdown)

    assert plain(page) == plain(as_html(context, said))
    assert HOSTILE in html.unescape(re.sub(r"</?(?:p|ul|li)>", "", page))
    assert "<script" not in page
    assert "<script" not in as_html(context, said)


def test_a_sentence_without_one_of_its_values_is_an_error(context: Context) -> None:
    with pytest.raises(PageError, match="station"):
        as_html(context, sentence("conclusions.draft_walk_silent", walk="x"))


def test_an_absent_figure_is_said_to_be_unknown_and_not_left_out(context: Context) -> None:
    name = next(f.name for f in context.results.figures if f.value is None)
    said = sentence("conclusions.draft_walked", station="Pier", distance=Called(name))

    assert "not known" in plain(as_html(context, said))


def test_markup_in_the_catalogue_is_text(context: Context) -> None:
    words = replace(context.words, texts={**context.words.texts, "x": "<b>{a}</b>"})

    shown = as_html(replace(context, words=words), sentence("x", a="&"))

    assert shown == Markup("&lt;b&gt;&amp;&lt;/b&gt;")


def test_a_draft_of_a_direction_names_the_station_that_heard_nothing(context: Context) -> None:
    """Another station may have heard all of it."""
    found = [draft for draft in drafts(context) if draft.key.endswith(("_blind", "_lost"))]

    assert {draft.key for draft in found} == {"conclusions.draft_blind", "conclusions.draft_lost"}
    for draft in found:
        assert "Harbour office he" in plain(as_html(context, draft))
