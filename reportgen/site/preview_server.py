"""Serves a site on the loopback address while somebody works on it; pages reload themselves."""

from __future__ import annotations

import errno
import json
import re
import sys
from dataclasses import dataclass
from http import HTTPStatus
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from pathlib import Path, PurePosixPath
from urllib.parse import unquote, urlsplit

from reportgen.errors import SiteError
from reportgen.pages.shipped import shipped_folder

LOOPBACK = "127.0.0.1"
RESERVED = "/_preview/"
"""Addresses of the server's own; no path of a site begins with a stroke below."""
SCRIPT = f"{RESERVED}preview.js"
STATE = f"{RESERVED}state.json"
PORTS_TRIED = 20

_TAG = f'<script src="{SCRIPT}"></script>'.encode()
_SCRIPTS_ALLOWED = re.compile(rb"script-src [^;]*'self'")
# Not by the system's table, which differs from one computer to the next.
_TYPES = {
    ".avif": "image/avif",
    ".css": "text/css; charset=utf-8",
    ".csv": "text/csv; charset=utf-8",
    ".geojson": "application/geo+json",
    ".gif": "image/gif",
    ".html": "text/html; charset=utf-8",
    ".ico": "image/x-icon",
    ".jpeg": "image/jpeg",
    ".jpg": "image/jpeg",
    ".js": "text/javascript; charset=utf-8",
    ".json": "application/json",
    ".md": "text/markdown; charset=utf-8",
    ".png": "image/png",
    ".svg": "image/svg+xml",
    ".txt": "text/plain; charset=utf-8",
    ".webp": "image/webp",
    ".woff2": "font/woff2",
}
_WAITING = f"""<!doctype html>
<html lang="en">
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; script-src 'self';
 style-src 'unsafe-inline'; connect-src 'self'">
<title>No site yet</title>
<body style="font: 16px/1.5 sans-serif; margin: 2rem">
<p>No site could be built yet. This page turns into the first one once that is mended.</p>
{_TAG.decode()}
"""


@dataclass(slots=True)
class Preview:
    """What is served: the folder, how often it was built, and what stopped the last build."""

    site: Path
    builds: int = 0
    message: str = ""

    def state(self) -> bytes:
        """Return what the script of an open page asks for."""
        return json.dumps({"build": self.builds, "message": self.message}).encode("utf-8")


class PreviewServer(ThreadingHTTPServer):
    """Listens on the loopback address alone, on a port that nobody else has."""

    daemon_threads = True
    # On Windows the option would let two programs share a port.
    allow_reuse_address = sys.platform != "win32"

    def __init__(self, preview: Preview, port: int) -> None:
        self.preview = preview
        self.script = (shipped_folder("site_template") / "preview" / "preview.js").read_bytes()
        super().__init__((LOOPBACK, port), _Handler)

    def handle_error(self, *_: object) -> None:
        """Say nothing of a browser that went away in the midst of an answer."""

    @property
    def port(self) -> int:
        """The port it listens on."""
        return int(self.server_address[1])

    @property
    def address(self) -> str:
        """What to open in a browser."""
        return f"http://{LOOPBACK}:{self.port}/"

    @property
    def hosts(self) -> tuple[str, ...]:
        """By which names a browser may ask; any other was made to lead here by somebody else."""
        return (f"{LOOPBACK}:{self.port}", f"localhost:{self.port}")


def preview_server(preview: Preview, first_port: int) -> PreviewServer:
    """Return a server on the first free port from `first_port` on.

    Raises
    ------
    SiteError
        If twenty ports in a row are taken.
    """
    last = min(first_port + PORTS_TRIED, 65536)
    for port in range(first_port, last):
        try:
            return PreviewServer(preview, port)
        except OSError as error:
            if error.errno not in (errno.EADDRINUSE, errno.EACCES):
                raise
    raise SiteError(f"no port from {first_port} to {last - 1} is free; name another by --port")


def served_file(site: Path, path: str) -> Path | None:
    """Return the file that the path of a request leads to, None where it leads to none.

    Folders are not listed, hidden files not shown, and nothing outside the site is reached.
    """
    parts = PurePosixPath(path.lstrip("/") or "index.html").parts
    if any(part.startswith(".") or "\\" in part or "\0" in part for part in parts):
        return None
    root = site.resolve()
    found = root.joinpath(*parts).resolve()
    return found if found.is_relative_to(root) and found.is_file() else None


def with_script(page: bytes) -> bytes:
    """Return a page with the preview's script, where the page's policy lets one in."""
    if not _SCRIPTS_ALLOWED.search(page):
        return page
    head, end, tail = page.rpartition(b"</body>")
    return head + _TAG + end + tail if end else page + _TAG


class _Handler(BaseHTTPRequestHandler):
    server: PreviewServer
    server_version = "reportgen"
    sys_version = ""

    def do_GET(self) -> None:
        """Answer with a file, or with what the preview has of its own."""
        if self.headers.get("Host", "").lower() not in self.server.hosts:
            self._answer(HTTPStatus.MISDIRECTED_REQUEST, ".txt", b"not served under this name\n")
            return
        path = unquote(urlsplit(self.path).path)
        if path == SCRIPT:
            self._answer(HTTPStatus.OK, ".js", self.server.script)
        elif path == STATE:
            self._answer(HTTPStatus.OK, ".json", self.server.preview.state())
        else:
            self._file(path)

    do_HEAD = do_GET  # noqa: N815 - as above

    def _file(self, path: str) -> None:
        preview = self.server.preview
        if not preview.builds:
            self._answer(HTTPStatus.SERVICE_UNAVAILABLE, ".html", _WAITING.encode("utf-8"))
            return
        try:
            found = served_file(preview.site, path)
            content = None if found is None else found.read_bytes()
        except (OSError, ValueError):
            found = content = None
        if found is None or content is None:
            self._answer(HTTPStatus.NOT_FOUND, ".txt", b"there is no such file in the site\n")
            return
        is_page = found.suffix == ".html"
        self._answer(HTTPStatus.OK, found.suffix, with_script(content) if is_page else content)

    def _answer(self, status: HTTPStatus, ending: str, content: bytes) -> None:
        self.send_response(status)
        self.send_header("Content-Type", _TYPES.get(ending, "application/octet-stream"))
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("X-Content-Type-Options", "nosniff")
        self.send_header("Cross-Origin-Resource-Policy", "same-origin")
        self.send_header("X-Frame-Options", "DENY")
        self.end_headers()
        if self.command != "HEAD":
            self.wfile.write(content)

    def log_message(self, *_: object) -> None:
        """Say nothing: the terminal is for the campaign's problems."""
