"""The preview's server: for this computer alone, the site alone, and nothing that climbs out."""

from __future__ import annotations

import http.client
import json
import socket
import threading
from collections.abc import Iterator
from pathlib import Path

import pytest

from reportgen.errors import SiteError
from reportgen.site import preview_server as module
from reportgen.site.marker import MARKER
from reportgen.site.preview_server import (
    SCRIPT,
    STATE,
    Preview,
    PreviewServer,
    preview_server,
    with_script,
)

PAGE = (
    b'<html><head><meta http-equiv="Content-Security-Policy" content="default-src \'none\'; '
    b"script-src 'sha256-x' 'self' file:; connect-src 'self'\"></head>"
    b"<body><p>Hello</p></body></html>"
)


@pytest.fixture
def server(tmp_path: Path) -> Iterator[PreviewServer]:
    site = tmp_path / "site"
    (site / "data").mkdir(parents=True)
    (site / "index.html").write_bytes(PAGE)
    (site / "data" / "cells.csv").write_bytes(b"a,b\r\n")
    (site / MARKER).write_bytes(b"{}")
    (tmp_path / "secret.txt").write_bytes(b"secret")
    (site / "out.txt").symlink_to(tmp_path / "secret.txt")
    with preview_server(Preview(site=site, builds=1), 8700) as started:
        threading.Thread(target=started.serve_forever, args=(0.02,), daemon=True).start()
        yield started
        started.shutdown()


def asked(
    server: PreviewServer, path: str, *, host: str | None = None, method: str = "GET"
) -> tuple[int, dict[str, str], bytes]:
    connection = http.client.HTTPConnection("127.0.0.1", server.port, timeout=10)
    headers = {"Host": f"127.0.0.1:{server.port}" if host is None else host}
    connection.request(method, path, headers=headers)
    answer = connection.getresponse()
    content = answer.read()
    connection.close()
    return answer.status, dict(answer.getheaders()), content


def test_it_listens_on_the_loopback_address_alone(server: PreviewServer) -> None:
    """A draft of a report is nobody's business but its author's."""
    assert server.socket.getsockname()[0] == "127.0.0.1"
    # All of 127.0.0.0/8 leads to this computer; who listens on everything answers on each.
    with pytest.raises(ConnectionRefusedError):
        socket.create_connection(("127.0.0.2", server.port), timeout=5)


def test_files_come_with_their_types_and_are_never_kept(server: PreviewServer) -> None:
    status, headers, content = asked(server, "/data/cells.csv?x=1")

    assert (status, content) == (200, b"a,b\r\n")
    assert headers["Content-Type"] == "text/csv; charset=utf-8"
    assert headers["Cache-Control"] == "no-store"
    assert headers["X-Content-Type-Options"] == "nosniff"
    # No page from elsewhere may hold it, or any part of it.
    assert headers["Cross-Origin-Resource-Policy"] == "same-origin"
    assert headers["X-Frame-Options"] == "DENY"


def test_the_first_page_is_served_with_the_script_that_the_site_does_not_have(
    server: PreviewServer,
) -> None:
    status, headers, content = asked(server, "/")

    assert status == 200
    assert headers["Content-Type"] == "text/html; charset=utf-8"
    assert content == PAGE.replace(
        b"</body>", b'<script src="/_preview/preview.js"></script></body>'
    )
    assert (server.preview.site / "index.html").read_bytes() == PAGE
    assert b"location.reload" in asked(server, SCRIPT)[2]


def test_a_page_whose_policy_allows_no_script_is_served_as_it_is() -> None:
    """The summary is one file without any script, and its policy says so."""
    page = b"<meta content=\"default-src 'none'; style-src 'unsafe-inline'\"><body></body>"

    assert with_script(page) == page


def test_a_page_that_leaves_its_end_to_the_browser_gets_the_script_too() -> None:
    page = PAGE.replace(b"</body></html>", b"")

    assert with_script(page) == page + b'<script src="/_preview/preview.js"></script>'


@pytest.mark.parametrize("host", ["evil.example", "evil.example:{port}", "127.0.0.1", "", "[::1]"])
def test_who_asks_by_another_name_gets_nothing(server: PreviewServer, host: str) -> None:
    """A page elsewhere may let its own name lead here, to read what this computer serves."""
    status, _, content = asked(server, "/", host=host.format(port=server.port))

    assert status == 421
    assert b"Hello" not in content


def test_localhost_is_a_name_of_this_computer(server: PreviewServer) -> None:
    assert asked(server, "/", host=f"localhost:{server.port}")[0] == 200


@pytest.mark.parametrize(
    "path",
    [
        "/no-such.html", "/data/", "/data", "/..", "/../secret.txt", "/data/../../secret.txt",
        "/%2e%2e/secret.txt", "/..%2fsecret.txt", "/data/..%5c..%5csecret.txt", "//etc/passwd",
        "/%00", "/out.txt", "/" + MARKER, "/_preview/", "/_preview/../index.html", "/C:/x",
    ],
)  # fmt: skip
def test_what_is_no_file_of_the_site_is_not_found(server: PreviewServer, path: str) -> None:
    """No listing of folders, no hidden files, no way out by dots, codes or links."""
    status, _, content = asked(server, path)

    assert status == 404
    assert content == b"there is no such file in the site\n"


def test_only_reading_is_answered(server: PreviewServer) -> None:
    assert asked(server, "/", method="POST")[0] == 501
    with socket.create_connection(("127.0.0.1", server.port), timeout=10) as bare:
        host = f"127.0.0.1:{server.port}".encode()
        bare.sendall(b"HEAD /data/cells.csv HTTP/1.0\r\nHost: " + host + b"\r\n\r\n")
        answer = b"".join(iter(lambda: bare.recv(4096), b""))
    assert answer.startswith(b"HTTP/1.0 200 ")
    assert b"\r\nContent-Length: 5\r\n" in answer
    assert answer.endswith(b"\r\n\r\n")


def test_an_open_page_can_ask_how_often_the_site_was_built(server: PreviewServer) -> None:
    server.preview.builds, server.preview.message = 3, "campaign.yaml:3  error"

    status, headers, content = asked(server, STATE)

    assert status == 200
    assert headers["Content-Type"] == "application/json"
    assert json.loads(content) == {"build": 3, "message": "campaign.yaml:3  error"}


def test_before_the_first_site_a_page_waits_for_it(server: PreviewServer) -> None:
    server.preview.builds = 0

    status, _, content = asked(server, "/walks/quay.html")

    assert status == 503
    assert b"No site could be built yet" in content
    assert SCRIPT.encode() in content


def test_a_port_that_is_taken_is_passed_over(
    server: PreviewServer, monkeypatch: pytest.MonkeyPatch
) -> None:
    with preview_server(server.preview, server.port) as second:
        assert second.port > server.port

    monkeypatch.setattr(module, "PORTS_TRIED", 1)
    with pytest.raises(SiteError, match=r"no port from .* is free; name another by --port"):
        preview_server(server.preview, server.port)
