from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.site.audit import site_faults
from reportgen.site.policy import script_hash

RULES = "default-src 'none'; base-uri 'none'; form-action 'none'"


def policy(rules: str = RULES) -> str:
    return f'<meta http-equiv="Content-Security-Policy" content="{rules}">'


POLICY = policy()


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


SCRIPT = "document.title = 'harmless'"
LISTED = script_hash(SCRIPT)


def test_a_hash_is_the_one_that_another_program_works_out() -> None:
    """`openssl dgst -sha256 -binary` of the text, in base64."""
    text = "alert('Hello, world.');"

    assert script_hash(text) == "'sha256-qznLcsROx4GACP2dm0UCKCzCG+HiZ1guq6ZZDob/Tng='"


@pytest.mark.parametrize(
    ("rules", "fault"),
    [
        (f"{RULES}; script-src 'self' file: {LISTED}", ""),
        (f"{RULES}; script-src 'self' file:", "does not list the hash"),
        (RULES, "does not list the hash"),
        (
            f"{RULES}; script-src {LISTED} {script_hash('x')}",
            f"lets in script-src {script_hash('x')}",
        ),
        (f"{RULES}; script-src {LISTED} 'unsafe-inline'", "lets in script-src 'unsafe-inline'"),
        (f"{RULES}; script-src {LISTED} 'unsafe-eval'", "lets in script-src 'unsafe-eval'"),
        (f"{RULES}; script-src {LISTED} 'strict-dynamic'", "lets in script-src 'strict-dynamic'"),
        (f"{RULES}; script-src {LISTED} 'nonce-abc'", "lets in script-src 'nonce-abc'"),
        (f"{RULES}; script-src {LISTED} data:", "lets in script-src data:"),
        (f"{RULES}; script-src {LISTED} *", "lets in script-src *"),
        (f"{RULES}; script-src {LISTED}; script-src-attr 'unsafe-inline'", "script-src-attr"),
    ],
)
def test_a_script_in_a_page_is_listed_by_its_hash_and_nothing_else_is(
    site: Path, rules: str, fault: str
) -> None:
    """A hash that nothing needs is a door that somebody forgot."""
    page = f"{policy(rules)}<script>{SCRIPT}</script><p>after it</p>"
    (site / "index.html").write_text(page, encoding="utf-8")

    faults = site_faults(site)

    assert len(faults) == (1 if fault else 0), faults
    assert fault in "".join(faults)


def test_a_block_of_data_needs_no_hash(site: Path) -> None:
    assert faults_of(site, '<script type="application/json">{"a": 1}</script>') == ()


@pytest.mark.parametrize(
    ("rules", "fault"),
    [
        ("base-uri 'none'; form-action 'none'", "does not say default-src 'none'"),
        ("default-src 'none'; form-action 'none'", "does not say base-uri 'none'"),
        ("default-src 'none'; base-uri 'none'", "does not say form-action 'none'"),
        (f"{RULES}; object-src 'self'", "does not say object-src 'none'"),
        (f"{RULES}; frame-src 'self'", "does not say frame-src 'none'"),
        (f"{RULES}; worker-src blob:", "lets in worker-src blob:"),
        (f"{RULES}; connect-src https:", "lets in connect-src https:"),
        (f"{RULES}; style-src https://example.org", "lets in style-src https://example.org"),
        (f"{RULES}; img-src 'unsafe-inline'", "lets in img-src 'unsafe-inline'"),
        (f"form-action 'self'; {RULES}", "does not say form-action 'none'"),
    ],
)
def test_a_policy_shuts_what_the_tool_promises(site: Path, rules: str, fault: str) -> None:
    """No plug-in, no form, no other address to start from; of two statements the first counts."""
    (site / "index.html").write_text(policy(rules), encoding="utf-8")

    assert fault in "".join(site_faults(site))


def test_a_policy_may_be_written_in_capitals(site: Path) -> None:
    """A browser takes names of directives as they come."""
    (site / "index.html").write_text(policy(RULES.replace("default-src", "Default-Src")), "utf-8")

    assert site_faults(site) == ()


@pytest.mark.parametrize(
    "before",
    [
        '<script src="x.js"></script>', '<link rel="stylesheet" href="x.css">', "<style></style>",
        "<body>", '<img src="one.jpg">',
    ],
)  # fmt: skip
def test_a_policy_stands_before_what_it_holds_for(site: Path, before: str) -> None:
    """A browser applies it to what follows, and outside the head not at all."""
    (site / "x.js").write_bytes(b"")
    (site / "x.css").write_bytes(b"")
    (site / "index.html").write_text(before + POLICY, encoding="utf-8")

    assert site_faults(site) == (
        "index.html states its policy after something that it should hold for",
    )


@pytest.mark.parametrize(
    ("body", "fault"),
    [
        ('<p onclick="x()">', "attribute that runs a script: onclick of p"),
        ("<svg/onload=x()>", "attribute that runs a script: onload of svg"),
        ('<svg><a xlink:href="javascript:x()"></a></svg>', "runs a script: xlink:href of a"),
        ('<svg><set to=" java\tscript:x()"/></svg>', "runs a script: to of set"),
        ('<form action="x.html"></form>', "sends or holds a page: action of form"),
        ('<button formaction="x.html">', "sends or holds a page: formaction of button"),
        ('<svg><animate from="javascript:x()"/></svg>', "runs a script: from of animate"),
        ('<svg><animate values="#a;#b" to="JavaScript:x()"/></svg>', "runs a script: to of"),
        ('<svg><animate values="javascript:x()"/></svg>', "runs a script: values of animate"),
        ('<link href="vbscript:x()">', "runs a script: href of link"),
        ('<img src="data:text/html,x">', "runs a script: src of img"),
        ('<video poster="javascript:x()">', "runs a script: poster of video"),
        ('<table background="javascript:x()">', "runs a script: background of table"),
        ('<object data="javascript:x()">', "runs a script: data of object"),
        ('<iframe srcdoc="x"></iframe>', "sends or holds a page: srcdoc of iframe"),
        ('<iframe src="https://example.org"></iframe>', "forbidden element: iframe"),
        ('<object data="one.jpg"></object>', "forbidden element: object"),
        ('<embed src="one.jpg">', "forbidden element: embed"),
        ("<applet></applet>", "forbidden element: applet"),
        ("<frameset></frameset>", "forbidden element: frameset"),
        ('<frame src="index.html">', "forbidden element: frame"),
        ('<portal src="index.html"></portal>', "forbidden element: portal"),
        ('<base href="walks/">', "forbidden element: base"),
        ('<meta http-equiv="Refresh" content="0; url=x">', "a meta element that leads away"),
    ],
)
def test_what_could_run_or_send_is_refused(site: Path, body: str, fault: str) -> None:
    """The policy would stop most of it; that it is there at all is a fault of ours."""
    assert fault in "".join(faults_of(site, body))


def test_a_form_that_sends_nothing_may_stand(site: Path) -> None:
    """The search box is one."""
    assert faults_of(site, '<form name="search"><input name="query"></form>') == ()


HOST = "https://tiles.example.org"


@pytest.mark.parametrize(
    ("extra", "declared", "fault"),
    [
        (f"img-src 'self' data: {HOST}", HOST, ""),
        (f"img-src 'self' data: {HOST}", "", f"lets in img-src {HOST}"),
        (f"img-src {HOST} https://other.example.org", HOST, "img-src https://other.example.org"),
        (f"script-src 'self' {HOST}", HOST, f"lets in script-src {HOST}"),
        (f"connect-src {HOST}", HOST, f"lets in connect-src {HOST}"),
        ("img-src *", HOST, "lets in img-src *"),
        ("img-src https:", HOST, "lets in img-src https:"),
    ],
)
def test_a_policy_lets_in_pictures_from_the_declared_host_alone(
    site: Path, extra: str, declared: str, fault: str
) -> None:
    """Everything else a page could fetch stays shut, and that too where nothing is declared."""
    (site / "index.html").write_text(policy(f"{RULES}; {extra}"), encoding="utf-8")

    faults = site_faults(site, picture_source=declared)

    assert len(faults) == (1 if fault else 0)
    assert fault in "".join(faults)


def test_a_page_may_not_load_a_tile_by_itself_though_its_host_is_declared(site: Path) -> None:
    (site / "index.html").write_text(POLICY + f'<img src="{HOST}/1/0/0.png">', encoding="utf-8")

    assert "from outside the site" in site_faults(site, picture_source=HOST)[0]
