from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.site.audit import site_faults

POLICY = '<meta http-equiv="Content-Security-Policy" content="default-src \'none\'">'


@pytest.fixture
def site(tmp_path: Path) -> Path:
    (tmp_path / "walks").mkdir()
    (tmp_path / "walks" / "quay.html").write_text(
        f'{POLICY}<h2 id="map">Map</h2><a href="../index.html">back</a>', encoding="utf-8"
    )
    (tmp_path / "one.jpg").write_bytes(b"")
    (tmp_path.parent / "outside.jpg").write_bytes(b"")
    return tmp_path


def faults_of(site: Path, body: str) -> tuple[str, ...]:
    (site / "index.html").write_text(POLICY + body, encoding="utf-8")
    return site_faults(site)


@pytest.mark.parametrize(
    "body",
    [
        '<a href="walks/quay.html#map">map</a>',
        '<h2 id="here">Here</h2><a href="#here">here</a><a href="#">top</a>',
        '<img src="one.jpg" srcset="one.jpg 480w, one.jpg 1600w">',
        '<img src="data:image/gif;base64,R0lGOD">',
        '<a href="https://example.org/standard.pdf">a standard</a>',
        '<a href="mailto:somebody@example.org">write</a>',
        '<svg><use href="#mark"/></svg>',
    ],
)
def test_what_a_page_may_do(site: Path, body: str) -> None:
    assert faults_of(site, body) == ()


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ('<script src="https://example.org/x.js"></script>', "from outside the site"),
        ('<script src="//example.org/x.js"></script>', "from outside the site"),
        ('<link rel="stylesheet" href="http://example.org/x.css">', "from outside the site"),
        ('<link rel="preconnect" href="https://example.org">', "from outside the site"),
        ('<img src="https://example.org/x.png">', "from outside the site"),
        ('<img src="one.jpg" srcset="https://example.org/x.png 2x">', "from outside the site"),
        ('<iframe src="https://example.org"></iframe>', "from outside the site"),
        ('<svg><image href="https://example.org/x.png"/></svg>', "from outside the site"),
        ('<img src="/one.jpg">', "from outside the site"),
        ('<img src="file:///etc/x.png">', "from outside the site"),
        ('<img src="two.jpg">', "loads a file that is not there"),
        ('<img src="../outside.jpg">', "loads a file that is not there"),
        ('<a href="walks/lane.html">lane</a>', "links to a file that is not there"),
        ('<a href="walks/quay.html#chart">chart</a>', "links to a place that is not there"),
        ('<a href="#nowhere">nowhere</a>', "links to a place that is not there"),
        ('<a href="java&#115;cript:alert(1)">click</a>', "no web or mail address"),
    ],
)
def test_what_a_page_may_not_do(site: Path, body: str, fault: str) -> None:
    """The first group would tell somebody which report is being read; the rest is broken."""
    found = faults_of(site, body)

    assert len(found) == 1
    assert fault in found[0]
    assert found[0].startswith("index.html ")


def test_a_page_without_the_policy_is_a_fault(site: Path) -> None:
    (site / "index.html").write_text("<h1>Bare</h1>", encoding="utf-8")

    assert [fault for fault in site_faults(site) if "lacks the policy" in fault]


HOST = "https://tiles.example.org"


@pytest.mark.parametrize(
    ("policy", "declared", "fault"),
    [
        (f"default-src 'none'; img-src 'self' data: {HOST}", HOST, ""),
        (f"default-src 'none'; img-src 'self' data: {HOST}", "", f"lets in img-src {HOST}"),
        (f"img-src {HOST} https://other.example.org", HOST, "img-src https://other.example.org"),
        (f"script-src 'self' {HOST}", HOST, f"lets in script-src {HOST}"),
        ("img-src *", HOST, "lets in img-src *"),
        ("img-src https:", HOST, "lets in img-src https:"),
    ],
)
def test_a_policy_lets_in_pictures_from_the_declared_host_alone(
    site: Path, policy: str, declared: str, fault: str
) -> None:
    """Everything else a page could fetch stays shut, and that too where nothing is declared."""
    page = f'<meta http-equiv="Content-Security-Policy" content="{policy}">'
    (site / "index.html").write_text(page, encoding="utf-8")

    faults = site_faults(site, picture_source=declared)

    assert len(faults) == (1 if fault else 0)
    assert fault in "".join(faults)


def test_a_page_may_not_load_a_tile_by_itself_though_its_host_is_declared(site: Path) -> None:
    (site / "index.html").write_text(POLICY + f'<img src="{HOST}/1/0/0.png">', encoding="utf-8")

    assert "from outside the site" in site_faults(site, picture_source=HOST)[0]
