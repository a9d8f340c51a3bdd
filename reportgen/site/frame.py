"""The wording of the frame around every page."""

from __future__ import annotations

from reportgen.pages.page import SiteContent
from reportgen.pages.words import Words

# What the catalogue has no entry for; an entry of the same name in its group `site` wins.
_DEFAULTS = {
    "report": "Field report",
    "menu": "Contents",
    "navigation": "Pages of this report",
    "search": "Search this report",
    "to_dark": "Dark page",
    "to_light": "Light page",
    "notices": "Notices of the software in this report",
}


def frame_labels(words: Words, content: SiteContent) -> dict[str, str]:
    """Return the texts of the frame by name, plain and with their placeholders filled."""
    labels = {
        key: words.say(f"site.{key}") if words.has(f"site.{key}") else text
        for key, text in _DEFAULTS.items()
    }
    for key in ("skip", "made", "print_note"):
        labels[key] = words.say(f"site.{key}")
    labels["footer"] = words.say("site.footer", network=content.network)
    return labels
