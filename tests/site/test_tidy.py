from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.site.tidy import tidy

LUNR = "assets/javascripts/lunr"


@pytest.fixture
def site(tmp_path: Path) -> Path:
    for name in (
        "index.html",
        "404.html",
        "sitemap.xml",
        "sitemap.xml.gz",
        "assets/images/favicon.png",
        "assets/javascripts/bundle.js",
        "assets/javascripts/bundle.js.map",
        f"{LUNR}/tinyseg.js",
        f"{LUNR}/wordcut.js",
        *(
            f"{LUNR}/min/lunr.{part}.min.js"
            for part in ("de", "fr", "ja", "multi", "stemmer.support")
        ),
    ):
        path = tmp_path / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_text("", encoding="utf-8")
    return tmp_path


def left(site: Path) -> list[str]:
    return sorted(path.relative_to(site).as_posix() for path in site.rglob("*") if path.is_file())


def test_an_english_site_keeps_pages_and_scripts_alone(site: Path) -> None:
    tidy(site, languages=("en",))

    assert left(site) == ["assets/javascripts/bundle.js", "index.html"]
    assert not (site / "assets" / "images").exists()


def test_another_language_keeps_its_word_list_and_what_that_needs(site: Path) -> None:
    """Without them the search worker stops at its first message."""
    tidy(site, languages=("en", "ja"))

    assert [path for path in left(site) if path.startswith(LUNR)] == [
        f"{LUNR}/min/lunr.ja.min.js",
        f"{LUNR}/min/lunr.multi.min.js",
        f"{LUNR}/min/lunr.stemmer.support.min.js",
        f"{LUNR}/tinyseg.js",
    ]
