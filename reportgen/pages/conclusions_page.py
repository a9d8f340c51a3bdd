"""The page of conclusions: the author's own, or drafts marked as such."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from reportgen.pages.context import Context
from reportgen.pages.drafts import FILE, drafts
from reportgen.pages.next_steps import next_steps
from reportgen.pages.sentences import as_html


@dataclass(frozen=True, slots=True, kw_only=True)
class ConclusionsView:
    """The whole page."""

    is_written: bool
    html: Markup
    drafts: tuple[Markup, ...]
    drafts_href: str
    has_next: bool
    next_walks: tuple[Markup, ...]


def conclusions_view(context: Context) -> ConclusionsView:
    """Return the page of conclusions."""
    html = context.author_html
    steps = tuple(as_html(context, step) for step in next_steps(context))
    return ConclusionsView(
        is_written=html is not None,
        html=Markup(html or ""),  # noqa: S704 - rendered and made harmless by author_text
        drafts=tuple(as_html(context, draft) for draft in drafts(context)),
        drafts_href=f"data/{FILE}",
        has_next=bool(steps),
        next_walks=steps,
    )
