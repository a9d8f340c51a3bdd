"""Reads a built site as a browser would, and says what it would not keep of our promises."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

# Attributes by which a page loads something without being asked to.
_LOADS = {
    "audio": ("src",),
    "embed": ("src",),
    "iframe": ("src",),
    "image": ("href", "xlink:href"),
    "img": ("src", "srcset"),
    "input": ("src",),
    "link": ("href",),
    "object": ("data",),
    "script": ("src",),
    "source": ("src", "srcset"),
    "track": ("src",),
    "use": ("href", "xlink:href"),
    "video": ("src", "poster"),
}
_OUTSIDE_LINKS = ("http", "https", "mailto")
_OWN_SOURCES = ("file:", "data:", "blob:")
_POLICY = "content-security-policy"


@dataclass(slots=True)
class BuiltPage:
    """What one built page loads, links to, and offers as anchors."""

    loads: list[str] = field(default_factory=list)
    links: list[str] = field(default_factory=list)
    anchors: set[str] = field(default_factory=set)
    policies: list[str] = field(default_factory=list)


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = BuiltPage()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what an element loads, links to or is called."""
        values = {name: value or "" for name, value in attrs}
        self.page.anchors.update(values[name] for name in ("id", "name") if values.get(name))
        for name in _LOADS.get(tag, ()):
            if name in values:
                self.page.loads.extend(_addresses(values[name], is_set=name == "srcset"))
        if tag in ("a", "area") and "href" in values:
            self.page.links.append(values["href"])
        if tag == "meta" and values.get("http-equiv", "").casefold() == _POLICY:
            self.page.policies.append(values.get("content", ""))


def _addresses(value: str, *, is_set: bool) -> list[str]:
    if not is_set:
        return [value]
    return [item.split()[0] for item in value.split(",") if item.split()]


def read_built_page(text: str) -> BuiltPage:
    """Return what a page loads, links to and offers as anchors."""
    reader = _Reader()
    reader.feed(text)
    reader.close()
    return reader.page


def site_faults(site: Path, *, picture_source: str = "") -> tuple[str, ...]:
    """Return everything in a built site that breaks a promise, one sentence each.

    The promises: a page loads nothing from outside the folder; what it loads and links to inside
    is there, down to the anchor; no link runs a script; every page carries the policy that makes
    a browser enforce the first.

    Parameters
    ----------
    site : Path
        A built site.
    picture_source : str
        Scheme and host that the author lets a reader fetch pictures from; the policy may let in
        nothing else from outside, and that as pictures only.
    """
    pages = {
        path.relative_to(site).as_posix(): read_built_page(path.read_text(encoding="utf-8"))
        for path in sorted(site.rglob("*.html"))
    }
    faults = [fault for name in pages for fault in _page_faults(name, pages, site, picture_source)]
    return tuple(dict.fromkeys(faults))


def _page_faults(
    name: str, pages: dict[str, BuiltPage], site: Path, picture_source: str
) -> Iterator[str]:
    page = pages[name]
    for policy in page.policies:
        for source in _outside_sources(policy, picture_source):
            yield f"{name} has a policy that lets in {source}"
    if not page.policies:
        yield f"{name} lacks the policy that keeps a browser from loading anything from outside"
    for address in page.loads:
        parts = urlsplit(address)
        if parts.scheme != "data" and (parts.scheme or parts.netloc or address.startswith("/")):
            yield f"{name} loads something from outside the site: {address}"
        elif parts.scheme != "data" and parts.path and _inside(name, address, site) is None:
            yield f"{name} loads a file that is not there: {address}"
    for address in page.links:
        yield from _link_faults(name, address, pages, site)


def _outside_sources(policy: str, picture_source: str) -> Iterator[str]:
    """Yield what a policy lets in from outside, with its directive."""
    for directive in policy.split(";"):
        kind, *sources = directive.split() or [""]
        for source in sources:
            is_ours = source in _OWN_SOURCES or (source[0] == source[-1] == "'")
            is_declared = bool(picture_source) and (kind, source) == ("img-src", picture_source)
            if not (is_ours or is_declared):
                yield f"{kind} {source}"


def _link_faults(name: str, address: str, pages: dict[str, BuiltPage], site: Path) -> Iterator[str]:
    parts = urlsplit(address)
    if parts.scheme or parts.netloc:
        if parts.scheme not in _OUTSIDE_LINKS:
            yield f"{name} has a link that is no web or mail address: {address}"
        return
    goal = name if not parts.path else _inside(name, address, site)
    anchor = unquote(parts.fragment)
    if goal is None:
        yield f"{name} links to a file that is not there: {address}"
    elif anchor and goal in pages and anchor not in pages[goal].anchors:
        yield f"{name} links to a place that is not there: {address}"


def _inside(name: str, address: str, site: Path) -> str | None:
    """Return the path in the site that an address leads to, or None if nothing lies there."""
    path = (site / name).parent / unquote(urlsplit(address).path)
    resolved, root = path.resolve(), site.resolve()
    if not resolved.is_relative_to(root) or not resolved.is_file():
        return None
    return resolved.relative_to(root).as_posix()
