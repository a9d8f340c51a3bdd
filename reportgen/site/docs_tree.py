"""Writes what MkDocs reads: a fresh tree of our own files, every name and title made safe."""

from __future__ import annotations

import html
import json
import re
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from reportgen.errors import SiteError
from reportgen.pages.page import Page, SiteContent
from reportgen.site.heavy_blocks import set_apart
from reportgen.site.notices import NOTICES_PATH, chart_library, notices_text

ASSETS = "assets"
SEARCH_WORKER = f"{ASSETS}/iframe-worker/search-worker.js"
"""The theme leaves out its remote script only where a path of ours contains "iframe-worker"."""
EARLY_SCRIPT = f"{ASSETS}/early.js"
"""Loaded by the head of the theme's page, before anything is painted."""
CHART_LIBRARY = f"{ASSETS}/plotly.min.js"
HOME = "index.md"

# Folders that MkDocs or its theme write themselves, or leave out of the site.
_RESERVED = (ASSETS, "search", "templates")
_PART = re.compile(r"[A-Za-z0-9][A-Za-z0-9._-]*")
# Names that one operating system or another keeps for its devices.
_DEVICES = frozenset(
    {"con", "prn", "aux", "nul", *(f"{kind}{n}" for kind in ("com", "lpt") for n in range(1, 10))}
)
# Characters that YAML refuses or that break a line: none has business in a title.
_CONTROLS = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ufeff\ufffe\uffff\ud800-\udfff]+")
# Cells that touch would be one word to the search.
_TOUCHING_CELLS = re.compile("(</t[dh]>)(?=<t[dh])")


@dataclass(frozen=True, slots=True, kw_only=True)
class DocsTree:
    """What was written, and what the pages have to load. Paths are relative to the tree."""

    folder: Path
    style_sheets: tuple[str, ...]
    scripts: tuple[str, ...]
    blocks: Mapping[str, tuple[str, ...]]
    """What was kept from MkDocs of each page, by its path in the site."""


def write_docs_tree(content: SiteContent, folder: Path, *, template: Path) -> DocsTree:
    """Write pages, assets and what every page loads into an empty folder.

    Parameters
    ----------
    content : SiteContent
    folder : Path
        Does not exist yet.
    template : Path
        The template folder; the files of its ``assets`` go along.

    Raises
    ------
    SiteError
        If a path is unsafe, taken twice or reserved, or there is no ``index.md``.
    """
    check_paths(content)
    shipped = {path.name: path for path in _files(template / ASSETS)}
    blocks: dict[str, tuple[str, ...]] = {}
    for page in content.pages:
        light, blocks[page_address(page.path)] = set_apart(page.markdown)
        _write(folder, page.path, _page_text(page, light, content).encode("utf-8"))
    for asset in content.assets:
        _write(folder, asset.path, asset.content)
    for name, source in shipped.items():
        path = SEARCH_WORKER if name == Path(SEARCH_WORKER).name else f"{ASSETS}/{name}"
        _write(folder, path, source.read_bytes())
    has_charts = any(page.has_charts for page in content.pages)
    if has_charts:
        _write(folder, CHART_LIBRARY, chart_library())
    _write(folder, NOTICES_PATH, notices_text(with_charts=has_charts).encode("utf-8"))
    return DocsTree(
        folder=folder,
        style_sheets=tuple(_loaded(shipped, ".css")),
        scripts=tuple(_loaded(shipped, ".js")),
        blocks=blocks,
    )


def plain(text: str) -> str:
    """Return a text as HTML that shows it letter by letter, on one line.

    MkDocs and its theme put titles and descriptions into pages as they stand.
    """
    return html.escape(_CONTROLS.sub(" ", text).strip(), quote=True)


def page_address(path: str) -> str:
    """Return where a page's source path ends up in the site."""
    return path.removesuffix(".md") + ".html"


def check_paths(content: SiteContent) -> None:
    """Raise SiteError unless every path is safe, free and not used twice."""
    if HOME not in (page.path for page in content.pages):
        raise SiteError(f"the site has no {HOME}: nothing could be opened first")
    taken: dict[str, str] = {}
    for path, address in _addresses(content):
        _check_path(path)
        # Two names that differ by case alone are one file on many computers.
        if address.casefold() in taken:
            other = taken[address.casefold()]
            raise SiteError(f"two files of the site share one name: {other} and {path}")
        taken[address.casefold()] = path


def _addresses(content: SiteContent) -> Iterator[tuple[str, str]]:
    for page in content.pages:
        if not page.path.endswith(".md"):
            raise SiteError(f"the page {page.path!r} has a path that does not end in .md")
        yield page.path, page_address(page.path)
    for asset in content.assets:
        if asset.path.endswith(".md"):
            raise SiteError(f"the file {asset.path!r} would become a page: give it another ending")
        yield asset.path, asset.path


def _check_path(path: str) -> None:
    parts = path.split("/")
    if not all(_PART.fullmatch(part) and not part.endswith(".") for part in parts):
        raise SiteError(
            f"the path {path!r} is not safe in a site: its parts are letters, digits, '.', '-' and "
            "'_', start with a letter or digit, and are joined by '/'"
        )
    if parts[0].casefold() in _RESERVED:
        raise SiteError(f"the path {path!r} lies in the folder {parts[0]!r}, which is reserved")
    if any(part.split(".")[0].casefold() in _DEVICES for part in parts):
        raise SiteError(f"the path {path!r} holds a name that some computers keep for a device")


def _page_text(page: Page, markdown: str, content: SiteContent) -> str:
    meta = {"title": page.title, "description": page.description or content.description}
    # JSON strings are YAML strings; nothing that YAML would refuse is left in them.
    lines = (
        f"{key}: {json.dumps(plain(text), ensure_ascii=False)}"
        for key, text in meta.items()
        if plain(text)
    )
    return "\n".join(("---", *lines, "---", "", _TOUCHING_CELLS.sub(r"\1 ", markdown)))


def _write(folder: Path, path: str, content: bytes) -> None:
    target = folder / path
    target.parent.mkdir(parents=True, exist_ok=True)
    target.write_bytes(content)


def _files(folder: Path) -> list[Path]:
    return sorted(
        path for path in folder.iterdir() if path.is_file() and not path.name.startswith(".")
    )


def _loaded(names: Iterable[str], ending: str) -> Iterator[str]:
    """List the shipped files that every page loads, the report's own look first."""
    apart = {Path(SEARCH_WORKER).name, Path(EARLY_SCRIPT).name}
    chosen = [name for name in names if name.endswith(ending) and name not in apart]
    for name in sorted(chosen, key=lambda name: (name != "report.css", name)):
        yield f"{ASSETS}/{name}"
