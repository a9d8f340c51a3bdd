from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest

from reportgen.errors import SiteError
from reportgen.pages.page import Section
from reportgen.site import build
from reportgen.site.audit import read_built_page, site_faults
from reportgen.site.build import build_site
from reportgen.site.marker import MARKER
from tests.site.sample_content import page, tiny_content, with_home

STRANGE = 'A <script>alert(1)</script> & "quoted" <img src=x onerror=alert(2)> {{ title }}'
SHOWN = (
    "A &lt;script&gt;alert(1)&lt;/script&gt; &amp; &quot;quoted&quot; "
    "&lt;img src=x onerror=alert(2)&gt; {{ title }}"
)


def contents(site: Path) -> dict[str, bytes]:
    return {
        path.relative_to(site).as_posix(): path.read_bytes()
        for path in sorted(site.rglob("*"))
        if path.is_file()
    }


@pytest.fixture(scope="module")
def tiny_site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return build_site(tiny_content(), tmp_path_factory.mktemp("tiny") / "site").parent


def test_the_first_page_is_returned_and_only_the_site_is_left(tmp_path: Path) -> None:
    index = build_site(tiny_content(), tmp_path / "site")

    assert index == tmp_path / "site" / "index.html"
    assert index.is_file()
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_pages_downloads_and_notices_are_all_there(tiny_site: Path) -> None:
    names = set(contents(tiny_site))

    assert {"index.html", "walks/quay.html", "safety.html", "data/rows.csv"} <= names
    assert {"assets/notices.txt", "assets/report.css", "assets/site.js", MARKER} <= names
    assert not [name for name in names if name.endswith((".map", ".gz", ".xml", ".md"))]
    assert "404.html" not in names


def test_two_builds_in_different_folders_are_the_same_to_the_byte(
    tiny_site: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A report that changes without its data changing can't be compared or signed."""
    monkeypatch.setenv("TZ", "Pacific/Auckland")
    monkeypatch.chdir(tmp_path)

    again = build_site(tiny_content(), tmp_path / "elsewhere" / "report")

    assert contents(again.parent) == contents(tiny_site)


def test_no_page_loads_anything_from_outside(tiny_site: Path) -> None:
    """The theme would load a search script from a public host; this site must not."""
    pages = [
        read_built_page(path.read_text(encoding="utf-8")) for path in tiny_site.rglob("*.html")
    ]

    assert sum(len(page.loads) for page in pages) > 20
    loads = [url for page in pages for url in page.loads if not url.startswith("data:")]
    assert not [url for url in loads if ":" in url or url.startswith("//")]
    assert site_faults(tiny_site) == ()


def test_no_style_sheet_of_ours_names_an_address(tiny_site: Path) -> None:
    for path in sorted((tiny_site / "assets").glob("*.css")):
        assert "://" not in path.read_text(encoding="utf-8").replace("http://www.w3.org", "")


def test_every_page_forbids_the_browser_to_reach_out(tiny_site: Path) -> None:
    pages = sorted(tiny_site.rglob("*.html"))

    assert len(pages) == 4
    for path in pages:
        head = path.read_text(encoding="utf-8").split("</head>")[0]
        assert "default-src 'none';" in head
        assert "connect-src 'self';" in head
        # A policy binds only what follows it.
        assert head.index("Content-Security-Policy") < head.index("<link")
        assert head.index("Content-Security-Policy") < head.index("<script")


def test_the_frame_names_no_maker_and_says_what_the_report_does_not(tiny_site: Path) -> None:
    text = (tiny_site / "index.html").read_text(encoding="utf-8")

    assert 'name="generator"' not in text
    assert "A place nobody walked is not a place without coverage." in text
    assert 'href="assets/notices.txt"' in text
    assert 'class="sheet-skip" href="#report"' in text


def test_strange_titles_are_shown_as_text_wherever_they_stand(tmp_path: Path) -> None:
    """MkDocs puts titles into pages as they are: one of a campaign could run on every page."""
    content = tiny_content()
    content = replace(
        content,
        title=STRANGE,
        network=STRANGE,
        description=STRANGE,
        pages=(
            *content.pages,
            replace(page("strange.md", STRANGE, "<h1>Strange</h1>\n"), description=STRANGE),
        ),
        navigation=(
            *content.navigation,
            Section(title=STRANGE, pages=("strange.md",)),
            Section(title=STRANGE, pages=("strange.md", "safety.md")),
        ),
    )

    site = build_site(content, tmp_path / "site").parent

    for path in (site / "index.html", site / "strange.html"):
        text = path.read_text(encoding="utf-8")
        assert text.count(SHOWN) >= 6
        assert "<script>alert" not in text
        assert "<img src=x" not in text
        assert "&amp;lt;" not in text
    index = (site / "search" / "search_index.json").read_text(encoding="utf-8")
    assert "<script>alert" not in index
    assert "<img src=x" not in index


def test_a_failed_build_leaves_the_old_site_whole(tmp_path: Path) -> None:
    site = build_site(tiny_content(), tmp_path / "site").parent
    before = contents(site)

    with pytest.raises(SiteError, match="links to a file that is not there"):
        build_site(with_home('<h1>Home</h1><a href="gone.html">gone</a>\n'), site)

    assert contents(site) == before
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_an_interrupted_build_leaves_the_old_site_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    site = build_site(tiny_content(), tmp_path / "site").parent
    before = contents(site)

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(build, "tidy", interrupted)
    with pytest.raises(KeyboardInterrupt):
        build_site(tiny_content(), site)

    assert contents(site) == before
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_second_build_replaces_the_first(tmp_path: Path) -> None:
    build_site(tiny_content(), tmp_path / "site")

    index = build_site(with_home('<h1 id="rows">Another question</h1>\n'), tmp_path / "site")

    assert "Another question" in index.read_text(encoding="utf-8")
    assert [path.name for path in tmp_path.iterdir()] == ["site"]


def test_a_remote_picture_in_a_page_stops_the_build(tmp_path: Path) -> None:
    remote = '<h1>Home</h1><img src="https://example.org/x.png" alt="">\n'

    with pytest.raises(SiteError, match="loads something from outside the site"):
        build_site(with_home(remote), tmp_path / "site")

    assert list(tmp_path.iterdir()) == []


def test_a_folder_with_other_files_is_refused_before_anything_is_built(tmp_path: Path) -> None:
    (tmp_path / "site").mkdir()
    (tmp_path / "site" / "mine.txt").write_text("mine", encoding="utf-8")

    with pytest.raises(SiteError, match="not empty"):
        build_site(tiny_content(), tmp_path / "site")

    assert contents(tmp_path) == {"site/mine.txt": b"mine"}


def test_a_full_disk_is_reported_with_what_to_do(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object, **__: object) -> None:
        raise OSError(28, "No space left on device", "index.md")

    monkeypatch.setattr(build, "write_docs_tree", full)
    with pytest.raises(SiteError, match=r"No space left on device \(index\.md\); check"):
        build_site(tiny_content(), tmp_path / "site")

    assert list(tmp_path.iterdir()) == []
