"""A mark for how free the view to the station is: told by its line, not by its colour."""

from __future__ import annotations

from typing import Literal

from markupsafe import Markup

from reportgen.pages.charts import ink

Sight = Literal["clear", "partly blocked", "blocked", ""]

WIDTH, HEIGHT = 46, 16
_LEFT, _RIGHT, _MIDDLE = 6.0, WIDTH - 6.0, HEIGHT / 2
_WALL = WIDTH / 2


def sight_mark(sight: Sight) -> Markup:
    """Return two ends and what lies between them; a text beside it says the same.

    Clear: a whole line. Partly blocked: a broken line over a low wall. Blocked: a line that ends
    at a wall. Not stated: a question mark.
    """
    ends = ink.circle(_LEFT, _MIDDLE, 3.5) + ink.circle(_RIGHT, _MIDDLE, 3.5)
    return Markup(  # noqa: S704 - numbers only
        f'<svg class="sight-mark" width="{WIDTH}" height="{HEIGHT}" '
        f'viewBox="0 0 {WIDTH} {HEIGHT}" aria-hidden="true" xmlns="http://www.w3.org/2000/svg">'
        f"{ink.path(ends, 'sight-end')}{_BETWEEN[sight]}</svg>"
    )


def _line(right: float, css: str) -> str:
    return ink.path(ink.line(_LEFT + 5, _MIDDLE, right, _MIDDLE), css)


def _wall(top: float) -> str:
    return ink.path(ink.line(_WALL, top, _WALL, HEIGHT - 1), "sight-wall")


_BETWEEN = {
    "clear": _line(_RIGHT - 5, "sight-line"),
    "partly blocked": _line(_RIGHT - 5, "sight-line sight-broken") + _wall(_MIDDLE + 1),
    "blocked": _line(_WALL - 2, "sight-line") + _wall(1),
    "": ink.text(_WALL, _MIDDLE + 4.5, "?", "sight-unknown", anchor="middle"),
}
