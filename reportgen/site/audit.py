"""Reads a built site as a browser would, and says what it would not keep of our promises."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, field
from html.parser import HTMLParser
from pathlib import Path
from urllib.parse import unquote, urlsplit

from reportgen.site.policy import DATA_BLOCKS, element_faults, policy_faults

# Attributes by which a page loads something without being asked to.
_LOADS = {
    "audio": ("src",),
    "image": ("href", "xlink:href"),
    "img": ("src", "srcset"),
    "input": ("src",),
    "link": ("href",),
    "script": ("src",),
    "source": ("src", "srcset"),
    "track": ("src",),
    "use": ("href", "xlink:href"),
    "video": ("src", "poster"),
}
_OUTSIDE_LINKS = ("http", "https", "mailto")
_POLICY = "content-security-policy"
_NEEDS_POLICY = frozenset({"body", "img", "link", "script", "style"})


@dataclass(slots=True)
class BuiltPage:
    """What one built page loads, links to, and offers as anchors."""

    loads: list[str] = field(default_factory=list)
    links: list[str] = field(default_factory=list)
    anchors: set[str] = field(default_factory=set)
    policies: list[str] = field(default_factory=list)
    scripts: list[str] = field(default_factory=list)
    """Texts of scripts that stand in the page."""
    faults: list[str] = field(default_factory=list)
    """What could run, or send something, as what the page has."""


class _Reader(HTMLParser):
    def __init__(self) -> None:
        super().__init__(convert_charrefs=True)
        self.page = BuiltPage()
        self._is_head_over = False
        self._is_in_script = False

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note what an element loads, links to or is called, and what of it could run."""
        values = {name: value or "" for name, value in attrs}
        self.page.faults += element_faults(tag, attrs)
        self.page.anchors.update(values[name] for name in ("id", "name") if values.get(name))
        for name in _LOADS.get(tag, ()):
            if name in values:
                self.page.loads.extend(_addresses(values[name], is_set=name == "srcset"))
        if tag in ("a", "area") and "href" in values:
            self.page.links.append(values["href"])
        if tag == "meta" and values.get("http-equiv", "").casefold() == _POLICY:
            self._note_policy(values.get("content", ""))
        self._is_head_over |= tag in _NEEDS_POLICY
        if tag == "script" and "src" not in values:
            self._is_in_script = values.get("type") not in DATA_BLOCKS
            self.page.scripts += [""] * self._is_in_script

    def handle_endtag(self, tag: str) -> None:
        """Note where a script ends."""
        self._is_in_script &= tag != "script"

    def handle_data(self, data: str) -> None:
        """Note what a script says, in as many pieces as it comes."""
        if self._is_in_script:
            self.page.scripts[-1] += data

    def _note_policy(self, policy: str) -> None:
        """Note a policy, which holds for what follows it, and in the head alone."""
        if self._is_head_over:
            self.page.faults.append("states its policy after something that it should hold for")
        self.page.policies.append(policy)


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
    is there, down to the anchor; nothing in it runs but scripts from files of the site, and nothing
    is sent; every page carries the policy that makes a browser enforce this.

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
    yield from (f"{name} {fault}" for fault in page.faults)
    for policy in page.policies:
        for fault in policy_faults(policy, page.scripts, picture_source=picture_source):
            yield f"{name} has a policy that {fault}"
    if not page.policies:
        yield f"{name} lacks the policy that keeps a browser from loading anything from outside"
    for address in page.loads:
        parts = urlsplit(address)
        if parts.scheme != "data" and (parts.scheme or address.startswith("/")):
            yield f"{name} loads something from outside the site: {address}"
        elif parts.scheme != "data" and parts.path and _inside(name, address, site) is None:
            yield f"{name} loads a file that is not there: {address}"
    for address in page.links:
        yield from _link_faults(name, address, pages, site)


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
