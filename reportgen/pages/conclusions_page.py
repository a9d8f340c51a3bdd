"""The page of conclusions: the author's own, or drafts marked as such."""

from __future__ import annotations

from dataclasses import dataclass

from markupsafe import Markup

from reportgen.pages.context import Context
from reportgen.pages.drafts import FILE, directions_of, drafts
from reportgen.pages.sentences import as_html
from reportgen.results.next_walks import NextWalk, next_walks


@dataclass(frozen=True, slots=True, kw_only=True)
class ConclusionsView:
    """The whole page."""

    is_written: bool
    html: Markup
    drafts: tuple[Markup, ...]
    drafts_href: str
    has_next: bool
    next_walks: tuple[str, ...]


def conclusions_view(context: Context) -> ConclusionsView:
    """Return the page of conclusions."""
    html = context.author_html
    found = [_next(context, step) for step in next_walks(context.results.compared.items)]
    steps = (*found, *_untested(context))
    return ConclusionsView(
        is_written=html is not None,
        html=Markup(html or ""),  # noqa: S704 - rendered and made harmless by author_text
        drafts=tuple(as_html(context, draft) for draft in drafts(context)),
        drafts_href=f"data/{FILE}",
        has_next=bool(steps),
        next_walks=steps,
    )


def _untested(context: Context) -> list[str]:
    missing = [compass for compass, _ in directions_of(context, "not walked", "too few frames")]
    if not missing:
        return []
    return [context.words.say("conclusions.next_directions", directions=", ".join(missing))]


def _next(context: Context, step: NextWalk) -> str:
    key = "next_repeat" if step.kind == "repeat" else "next_one_factor"
    return context.words.say(
        f"conclusions.{key}",
        factor=step.factor,
        value=step.value,
        walk=step.walk.title,
        route=step.walk.route,
    )
