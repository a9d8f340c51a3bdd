from __future__ import annotations

import pytest

from reportgen.errors import SiteError
from reportgen.site.notices import chart_library, chart_library_header, notices_text


def test_the_chart_librarys_notice_stands_as_in_its_own_header() -> None:
    """The MIT licence asks that the notice go with every copy."""
    header = chart_library_header(chart_library())

    assert header.startswith("/**")
    assert "Copyright" in header
    assert "MIT" in header
    assert header in notices_text(with_charts=True)


def test_the_themes_licence_is_always_there() -> None:
    text = notices_text(with_charts=False)

    assert "Permission is hereby granted, free of charge" in text
    assert "plotly" not in text


def test_a_chart_library_without_a_notice_is_not_passed_on() -> None:
    with pytest.raises(SiteError, match="no licence notice"):
        chart_library_header(b"var Plotly = {};")
