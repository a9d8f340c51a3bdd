"""What a page's content-security policy has to say, and what may not stand in a page at all."""

from __future__ import annotations

import base64
import hashlib
from collections.abc import Iterable, Iterator

FORBIDDEN_ELEMENTS = frozenset(
    {"applet", "base", "embed", "frame", "frameset", "iframe", "object", "portal"}
)
"""Elements that hold another document or a plug-in, or turn every address of the page."""
DATA_BLOCKS = frozenset({"application/json"})
"""Types by which a script element holds data, which no browser runs."""

_ADDRESSES = frozenset(
    {"background", "data", "href", "poster", "src", "xlink:href"}
    | {"from", "to", "values"}  # what an SVG animation may put into one of the others
)
_RUNNING_SCHEMES = ("javascript:", "vbscript:", "data:text/html")
_SUBMITTING = frozenset({"action", "formaction", "srcdoc"})
# What a browser skips in front of and within a scheme.
_SKIPPED = dict.fromkeys(range(0x21))

_SCRIPTS = ("script-src", "script-src-elem", "script-src-attr")
_STYLES = ("style-src", "style-src-elem", "style-src-attr")
_OWN = frozenset({"'none'", "'self'", "file:"})
_INERT = frozenset({"data:", "blob:"})
# Nothing may widen these; the first three fall back on default-src, the others on nothing.
_SHUT = ("object-src", "frame-src", "default-src", "base-uri", "form-action")
_FALLING_BACK = ("object-src", "frame-src")


def script_hash(text: str) -> str:
    """Return the source by which a policy lets one inline script run.

    References
    ----------
    .. [1] W3C Content Security Policy Level 3, section 2.3.1: hash-source.
    """
    digest = hashlib.sha256(text.encode("utf-8")).digest()
    return f"'sha256-{base64.b64encode(digest).decode('ascii')}'"


def policy_faults(policy: str, scripts: Iterable[str], *, picture_source: str) -> Iterator[str]:
    """Yield what is wrong with a policy, each as what it does.

    Parameters
    ----------
    policy : str
        Value of the page's meta element.
    scripts : iterable of str
        Texts of the page's inline scripts.
    picture_source : str
        Scheme and host that pictures may come from; blank: none.
    """
    directives = _directives(policy)
    hashes = {script_hash(text) for text in scripts}
    for kind in _SHUT:
        fallback = directives.get("default-src") if kind in _FALLING_BACK else None
        if directives.get(kind, fallback) != ("'none'",):
            yield f"does not say {kind} 'none'"
    for kind, sources in directives.items():
        let_in = _allowed(kind, hashes, picture_source)
        yield from (f"lets in {kind} {source}" for source in sources if source not in let_in)
    listed = {source for kind in _SCRIPTS for source in directives.get(kind, ())}
    if hashes - listed:
        yield "does not list the hash of a script that stands in it: put the script into a file"


def _directives(policy: str) -> dict[str, tuple[str, ...]]:
    """Return sources by directive; of one that stands twice a browser takes the first."""
    found: dict[str, tuple[str, ...]] = {}
    for directive in policy.split(";"):
        kind, *sources = directive.split() or [""]
        if kind:
            found.setdefault(kind.lower(), tuple(sources))
    return found


def _allowed(kind: str, hashes: set[str], picture_source: str) -> frozenset[str]:
    if kind in _SCRIPTS:
        return _OWN | hashes
    if kind in _STYLES:
        return _OWN | {"'unsafe-inline'"}
    if kind == "worker-src":
        return _OWN
    if kind == "img-src" and picture_source:
        return _OWN | _INERT | {picture_source}
    return _OWN | _INERT


def element_faults(tag: str, attributes: Iterable[tuple[str, str | None]]) -> Iterator[str]:
    """Yield what of one element could run, or send something, as what the page has.

    Plain links are looked at with all other links.
    """
    if tag in FORBIDDEN_ELEMENTS:
        yield f"holds a forbidden element: {tag}"
    for name, value in attributes:
        if name.startswith("on"):
            yield f"has an attribute that runs a script: {name} of {tag}"
        elif name in _SUBMITTING:
            yield f"has an attribute that sends or holds a page: {name} of {tag}"
        elif name in _ADDRESSES and value and _runs(value) and (tag, name) != ("a", "href"):
            yield f"has an address that runs a script: {name} of {tag}"
        elif name == "http-equiv" and (value or "").strip().lower() == "refresh":
            yield "has a meta element that leads away"


def _runs(address: str) -> bool:
    return address.translate(_SKIPPED).lower().startswith(_RUNNING_SCHEMES)
