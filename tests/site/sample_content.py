"""A tiny site made by hand, for tests of the site layer and of the browser."""

from __future__ import annotations

import datetime as dt
from dataclasses import replace

from reportgen.pages.page import Asset, Page, Section, SiteContent

HOME = """<div class="report">
<h1>Does the mast on the granary reach the ferry steps?</h1>
<p>Heard along the whole quay. The word for the search is <em>heronsbill</em>.</p>
<section>
<h2 id="rows">Rows</h2>
<div class="scroll-x" tabindex="0" role="region" aria-label="Rows per walk">
<table class="grid">
<caption>Rows per walk</caption>
<thead><tr><th scope="col">Walk</th><th scope="col" class="num">Read</th>
<th scope="col" class="num">Used</th><th scope="col" class="num">Set aside</th>
<th scope="col" class="num">Farthest heard</th><th scope="col" class="num">Delivery ratio</th>
</tr></thead>
<tbody>
<tr><th scope="row"><a href="walks/quay.html">Quay at low water</a></th><td class="num">412</td>
<td class="num">398</td><td class="num">14</td><td class="num">1 214 m</td>
<td class="num">71 %</td></tr>
<tr><th scope="row"><a href="walks/orchard.html">Orchard lane</a></th><td class="num">95</td>
<td class="num">95</td><td class="num">0</td><td class="num">340 m</td>
<td class="num">12 %</td></tr>
</tbody>
</table>
</div>
<p>The rows are in <a href="data/rows.csv" download>a table of their own</a>.</p>
</section>
</div>
"""

WALK = """<div class="report">
<h1>{title}</h1>
<p>Back to <a href="../index.html#rows">the rows</a>.</p>
</div>
"""


def page(path: str, title: str, markdown: str, *, has_charts: bool = False) -> Page:
    """Return a page."""
    return Page(path=path, title=title, markdown=markdown, has_charts=has_charts)


def tiny_content() -> SiteContent:
    """Return a site of three pages and one download."""
    return SiteContent(
        title="Granary mast, four walks in March",
        description="Where the mast on the granary is heard.",
        network="Tern Ness sensor network",
        language="en",
        pages=(
            page("index.md", "Overview", HOME),
            page("walks/quay.md", "Quay at low water", WALK.format(title="Quay at low water")),
            page("walks/orchard.md", "Orchard lane", WALK.format(title="Orchard lane")),
            page("safety.md", "Safety", "<h1>Safety</h1>\n<p>Stay off wet roofs.</p>\n"),
        ),
        navigation=(
            Section(title="Overview", pages=("index.md",)),
            Section(title="Walks", pages=("walks/quay.md", "walks/orchard.md")),
            Section(title="Safety", pages=("safety.md",)),
        ),
        assets=(Asset(path="data/rows.csv", content=b"walk,read\nquay,412\norchard,95\n"),),
        as_of_utc=dt.datetime(2026, 3, 10, 15, 4, 5, tzinfo=dt.UTC),
    )


def with_home(markdown: str) -> SiteContent:
    """Return the tiny site with another text on its first page."""
    content = tiny_content()
    home = replace(content.pages[0], markdown=markdown)
    return replace(content, pages=(home, *content.pages[1:]))
