"""The wording of the frame around every page."""

from __future__ import annotations

from reportgen.pages.page import SiteContent
from reportgen.pages.words import Words

KEYS = (
    "report", "menu", "navigation", "search", "search_close", "to_dark", "to_light", "notices",
    "skip", "made", "print_note",
)  # fmt: skip


def frame_labels(words: Words, content: SiteContent) -> dict[str, str]:
    """Return the texts of the frame by name, plain and with their placeholders filled."""
    labels = {key: words.say(f"site.{key}") for key in KEYS}
    return labels | {"footer": words.say("site.footer", network=content.network)}
