from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.errors import SiteError
from reportgen.pages.page import Asset
from reportgen.pages.shipped import shipped_folder
from reportgen.site.docs_tree import (
    CHART_LIBRARY,
    SEARCH_WORKER,
    check_paths,
    plain,
    write_docs_tree,
)
from reportgen.site.notices import chart_library
from tests.site.sample_content import page, tiny_content

UNSAFE = [
    "../secret.csv",
    "data/../../secret.csv",
    "/etc/motd.csv",
    "data//rows.csv",
    "data/.hidden.csv",
    "data\\rows.csv",
    "C:rows.csv",
    "data/rows 1.csv",
    "data/rows.",
    "data/nul.csv",
    "data/COM1",
    "",
]


def template() -> Path:
    return shipped_folder("site_template")


@pytest.mark.parametrize("path", UNSAFE)
def test_an_asset_with_an_unsafe_path_is_refused(path: str) -> None:
    """A name from a campaign must not be able to write outside the tree, on any system."""
    content = replace(tiny_content(), assets=(Asset(path=path, content=b""),))

    with pytest.raises(SiteError, match=r"is not safe in a site|keep for a device"):
        check_paths(content)


@pytest.mark.parametrize("path", ["../index.md", "/index.md", "walks/../../up.md", ".md"])
def test_a_page_with_an_unsafe_path_is_refused(path: str) -> None:
    content = tiny_content()
    content = replace(content, pages=(*content.pages, page(path, "Up", "up")))

    with pytest.raises(SiteError, match="is not safe in a site"):
        check_paths(content)


@pytest.mark.parametrize("path", ["assets/report.css", "search/x.json", "Templates/x.html"])
def test_folders_that_the_builder_writes_itself_are_reserved(path: str) -> None:
    """MkDocs silently leaves out `templates`, and would overwrite the other two."""
    content = replace(tiny_content(), assets=(Asset(path=path, content=b""),))

    with pytest.raises(SiteError, match="reserved"):
        check_paths(content)


def test_a_download_must_not_take_the_place_of_a_page() -> None:
    content = replace(tiny_content(), assets=(Asset(path="Safety.html", content=b""),))

    with pytest.raises(SiteError, match=r"share one name: safety\.md and Safety\.html"):
        check_paths(content)


def test_the_same_path_twice_is_refused() -> None:
    asset = Asset(path="data/rows.csv", content=b"")

    with pytest.raises(SiteError, match="share one name"):
        check_paths(replace(tiny_content(), assets=(asset, replace(asset, content=b"x"))))


def test_a_markdown_file_offered_as_a_download_is_refused() -> None:
    """It would become a page of its own, unescaped."""
    content = replace(tiny_content(), assets=(Asset(path="notes.md", content=b""),))

    with pytest.raises(SiteError, match="would become a page"):
        check_paths(content)


def test_a_site_without_a_first_page_is_refused() -> None:
    content = tiny_content()

    with pytest.raises(SiteError, match=r"no index\.md"):
        check_paths(replace(content, pages=content.pages[1:]))


def test_a_plain_text_shows_letter_by_letter_and_stays_on_one_line() -> None:
    assert plain(' a<b> & "c"\n---\x00\u2028d ') == "a&lt;b&gt; &amp; &quot;c&quot; --- d"


def test_front_matter_cannot_be_left_by_a_title(tmp_path: Path) -> None:
    """A line of dashes or a quote in a title must not start the page early."""
    title = 'Quay"\n---\n# Not a heading \\ end'
    content = tiny_content()
    first = replace(content.pages[0], title=title, description="")
    content = replace(content, pages=(first, *content.pages[1:]))

    write_docs_tree(content, tmp_path / "docs", template=template())
    lines = (tmp_path / "docs" / "index.md").read_text(encoding="utf-8").splitlines()

    assert lines[:4] == [
        "---",
        r'title: "Quay&quot; --- # Not a heading \\ end"',
        'description: "Where the mast on the granary is heard."',
        "---",
    ]


def test_cells_that_touch_are_parted_for_the_search(tmp_path: Path) -> None:
    content = tiny_content()
    table = "<table><tr><th>Quay</th><td>412</td><td>398</td></tr></table>\n"
    content = replace(content, pages=(page("index.md", "Overview", table),), navigation=())

    write_docs_tree(content, tmp_path / "docs", template=template())

    text = (tmp_path / "docs" / "index.md").read_text(encoding="utf-8")
    assert "<th>Quay</th> <td>412</td> <td>398</td></tr>" in text


def test_every_page_loads_our_look_first_and_never_the_search_worker(tmp_path: Path) -> None:
    """The worker replaces the theme's remote script; as a page script it would run too late."""
    tree = write_docs_tree(tiny_content(), tmp_path / "docs", template=template())

    assert tree.style_sheets[0] == "assets/report.css"
    assert "assets/site.js" in tree.scripts
    assert not [path for path in tree.scripts if "worker" in path or "plotly" in path]
    assert "iframe-worker" in SEARCH_WORKER
    assert (tree.folder / SEARCH_WORKER).is_file()


def test_the_chart_library_goes_along_only_where_a_page_has_charts(tmp_path: Path) -> None:
    """It is nearly five megabytes: a report without charts is spared them."""
    content = tiny_content()
    charted = replace(content.pages[1], has_charts=True)
    with_charts = replace(content, pages=(content.pages[0], charted, *content.pages[2:]))

    write_docs_tree(content, tmp_path / "without", template=template())
    write_docs_tree(with_charts, tmp_path / "with", template=template())

    assert not (tmp_path / "without" / CHART_LIBRARY).exists()
    assert (tmp_path / "with" / CHART_LIBRARY).read_bytes() == chart_library()
