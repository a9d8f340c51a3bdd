from __future__ import annotations

import datetime as dt
import logging
import os
from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.errors import SiteError
from reportgen.pages.page import Section
from reportgen.site import mkdocs_run
from reportgen.site.build import build_site
from tests.site.sample_content import page, tiny_content, with_home


def test_a_broken_markdown_link_stops_the_build_with_its_page_and_target(tmp_path: Path) -> None:
    with pytest.raises(SiteError, match=r"index\.md.*walks/lane\.md"):
        build_site(with_home("# Home\n\n[lane](walks/lane.md)\n"), tmp_path / "site")


def test_a_navigation_entry_without_its_page_stops_the_build(tmp_path: Path) -> None:
    content = tiny_content()
    section = Section(title="Ghost", pages=("ghost.md",))

    with pytest.raises(SiteError, match=r"ghost\.md"):
        build_site(replace(content, navigation=(*content.navigation, section)), tmp_path / "site")


def test_nothing_is_logged_or_printed_and_the_logger_is_left_as_it_was(
    tmp_path: Path, capfd: pytest.CaptureFixture[str], caplog: pytest.LogCaptureFixture
) -> None:
    """Standard output belongs to the command's results."""
    logger = logging.getLogger("mkdocs")
    before = (logger.propagate, logger.level, list(logger.handlers))

    with caplog.at_level(logging.INFO):
        build_site(tiny_content(), tmp_path / "site")

    assert capfd.readouterr() == ("", "")
    assert not [record for record in caplog.records if record.name.startswith("mkdocs")]
    assert (logger.propagate, logger.level, list(logger.handlers)) == before


@pytest.mark.parametrize(("given", "seen"), [(None, "1773155045"), ("1700000000", "1700000000")])
def test_the_build_is_dated_by_the_report_unless_somebody_dated_it(
    monkeypatch: pytest.MonkeyPatch, given: str | None, seen: str
) -> None:
    """1773155045 is 2026-03-10 15:04:05 UTC in seconds, as the `date` command prints it."""
    monkeypatch.delenv("SOURCE_DATE_EPOCH", raising=False)
    if given is not None:
        monkeypatch.setenv("SOURCE_DATE_EPOCH", given)

    with mkdocs_run._source_date(dt.datetime(2026, 3, 10, 15, 4, 5, tzinfo=dt.UTC)):
        inside = os.environ["SOURCE_DATE_EPOCH"]

    assert inside == seen
    assert os.environ.get("SOURCE_DATE_EPOCH") == given


def test_a_language_that_the_theme_does_not_speak_builds_in_english(tmp_path: Path) -> None:
    index = build_site(replace(tiny_content(), language="tlh"), tmp_path / "site")

    assert '<html lang="en"' in index.read_text(encoding="utf-8")


def test_another_language_has_its_word_list(tmp_path: Path) -> None:
    index = build_site(replace(tiny_content(), language="de"), tmp_path / "site")

    assert '<html lang="de"' in index.read_text(encoding="utf-8")
    lists = (index.parent / "assets" / "javascripts" / "lunr" / "min").iterdir()
    assert "lunr.de.min.js" in [path.name for path in lists]


def test_a_section_of_one_page_is_a_plain_entry(tmp_path: Path) -> None:
    """Its own heading stands in the navigation; a second row for one link would be noise."""
    content = tiny_content()
    content = replace(
        content,
        pages=(*content.pages, page("more/one.md", "A title of its own", "<h1>One</h1>\n")),
        navigation=(*content.navigation, Section(title="Single", pages=("more/one.md",))),
    )

    text = build_site(content, tmp_path / "site").read_text(encoding="utf-8")

    assert '<a href="more/one.html">Single</a>' in text
    assert '<span class="sheet-menu__heading">Walks</span>' in text
    assert '<span class="sheet-menu__heading">Single</span>' not in text
