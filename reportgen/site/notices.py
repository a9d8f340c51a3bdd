"""The licence notices of what a site carries from other projects."""

from __future__ import annotations

import re
from importlib.metadata import PackageNotFoundError, distribution
from importlib.resources import files

from reportgen.errors import SiteError

NOTICES_PATH = "assets/notices.txt"

_THEME = "mkdocs-material"
_HEADER = re.compile(rb"\s*(/\*.*?\*/)", re.DOTALL)


def chart_library() -> bytes:
    """Return the chart library that the installed plotly package carries.

    Raises
    ------
    SiteError
        If the package lacks the file.
    """
    try:
        return files("plotly").joinpath("package_data", "plotly.min.js").read_bytes()
    except (ModuleNotFoundError, OSError) as error:
        raise SiteError("the installed plotly package lacks plotly.min.js: reinstall it") from error


def chart_library_header(library: bytes) -> str:
    """Return the notice at the top of the chart library, as it stands there.

    Raises
    ------
    SiteError
        If there is none: the library may not be passed on without it.
    """
    header = _HEADER.match(library)
    if header is None:
        raise SiteError("the installed plotly.min.js carries no licence notice: reinstall plotly")
    return header.group(1).decode("utf-8")


def notices_text(*, with_charts: bool) -> str:
    """Return the notices as one plain text."""
    parts = [f"{_THEME} (style sheets, page scripts, search)\n\n{_theme_licence()}"]
    if with_charts:
        parts.append(f"plotly.min.js\n\n{chart_library_header(chart_library())}")
    return f"\n\n{'-' * 72}\n\n".join(part.strip() for part in parts) + "\n"


def _theme_licence() -> str:
    try:
        listed = distribution(_THEME).files or ()
    except PackageNotFoundError as error:
        raise SiteError(f"the package {_THEME} is not installed") from error
    for item in listed:
        if item.name == "LICENSE" and ".dist-info" in item.as_posix():
            return item.read_text(encoding="utf-8")
    raise SiteError(f"the installed package {_THEME} carries no licence text: reinstall it")
