"""Takes out of a built site what nobody reads, and what would be wrong from a folder."""

from __future__ import annotations

import shutil
from collections.abc import Iterable, Iterator
from pathlib import Path

# A page for a server's errors and two lists of absolute addresses: none works from a folder.
_NEEDLESS = ("404.html", "sitemap.xml", "sitemap.xml.gz", "assets/images/favicon.png")
_WORD_LISTS = Path("assets", "javascripts", "lunr")
# Word splitting for languages that write without blanks: file, and the languages that need it.
_SPLITTERS = {"tinyseg.js": {"ja"}, "wordcut.js": {"hi", "th"}}


def tidy(site: Path, *, languages: Iterable[str]) -> None:
    """Delete source maps, word lists of languages not used, and pages meant for a server.

    Parameters
    ----------
    site : Path
        A built site.
    languages : iterable of str
        Languages that the search is set to.
    """
    for path in sorted(site.rglob("*.map")):
        path.unlink()
    for name in _NEEDLESS:
        (site / name).unlink(missing_ok=True)
    _keep_word_lists(site / _WORD_LISTS, set(languages) - {"en"})
    images = site / "assets" / "images"
    if images.is_dir() and not any(images.iterdir()):
        images.rmdir()


def _keep_word_lists(folder: Path, languages: set[str]) -> None:
    if not languages:
        shutil.rmtree(folder, ignore_errors=True)
        return
    kept = set(_kept_names(languages))
    for path in sorted(folder.rglob("*.js")):
        if path.name not in kept:
            path.unlink()


def _kept_names(languages: set[str]) -> Iterator[str]:
    yield from ("lunr.stemmer.support.min.js", "lunr.multi.min.js")
    yield from (f"lunr.{language}.min.js" for language in languages)
    yield from (name for name, needed_by in _SPLITTERS.items() if needed_by & languages)
