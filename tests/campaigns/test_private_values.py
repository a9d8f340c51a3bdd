"""A site lets out nothing that its author did not write for readers: every byte is looked at."""

from __future__ import annotations

import base64
import gzip
import io
import os
import shutil
import zipfile
import zlib
from collections.abc import Callable
from pathlib import Path
from urllib.parse import quote

import pytest
from PIL import Image

from reportgen.cli.building import build_report
from tests.campaigns.private_values import private_values
from tests.campaigns.site_search import leftovers, search

pytestmark = pytest.mark.slow

EXAMPLE = Path(__file__).parents[2] / "example_campaign"
SECRET = "Tamsin Brakewell"


def built(folder: Path, target: Path) -> Path:
    report = build_report(folder, target, lambda _: None, strict=False)
    assert report.index is not None
    return target


def letting_out(tmp_path: Path, publish: str) -> Path:
    """Return the site of the example with a few keys under `publish`."""
    folder = tmp_path / "campaign"
    shutil.copytree(EXAMPLE, folder)
    text = (folder / "campaign.yaml").read_text("utf-8")
    assert text.count("\n  place: exact\n") == 1
    text = text.replace("\n  place: exact\n", f"\n  place: exact\n{publish}")
    (folder / "campaign.yaml").write_text(text, encoding="utf-8")
    return built(folder, tmp_path / "site")


@pytest.fixture(scope="module")
def values() -> dict[str, set[str]]:
    return private_values(EXAMPLE)


@pytest.fixture(scope="module")
def site(tmp_path_factory: pytest.TempPathFactory) -> Path:
    return built(EXAMPLE, tmp_path_factory.mktemp("private") / "site")


def test_the_example_has_something_to_hide_of_every_kind(values: dict[str, set[str]]) -> None:
    """A search for nothing finds nothing, and would say that all is well."""
    assert len(values["identifier"]) == 6
    assert {"quay-first.csv", "04-mole-end.jpg", "coast.geojson"} <= values["file name"]
    assert len(values["file stem"]) == 13
    assert SECRET in values["Artist"] & values["CameraOwnerName"] & values["iptc"] & values["xmp"]
    assert values["BodySerialNumber"] == values["maker note"]
    assert set(values) > {"area", "comment", "DateTime", "DateTimeOriginal", "Software", "Model"}


def test_no_private_value_of_the_example_is_in_its_site(
    site: Path, values: dict[str, set[str]]
) -> None:
    """A survey shows where somebody lives: names, devices and dates beyond it stay at home."""
    found = search(site, set().union(*values.values()))

    assert found == []


def test_published_pictures_carry_pixels_alone(site: Path) -> None:
    assert len(list((site / "pictures").iterdir())) == 36
    assert leftovers(site) == []


def a_picture(kind: str, **options: object) -> bytes:
    buffer = io.BytesIO()
    Image.new("RGB", (8, 8)).save(buffer, kind, **options)
    return buffer.getvalue()


def an_archive(name: str, content: str) -> bytes:
    buffer = io.BytesIO()
    with zipfile.ZipFile(buffer, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, content)
    return buffer.getvalue()


def png_with_text(secret: str) -> bytes:
    from PIL.PngImagePlugin import PngInfo  # noqa: PLC0415 - used here alone

    info = PngInfo()
    info.add_text("Author", secret, zip=True)
    return a_picture("PNG", pnginfo=info)


FORMS: dict[str, Callable[[str], bytes]] = {
    "raw": lambda secret: f"<p>{secret}</p>".encode(),
    "another case": lambda secret: secret.upper().encode(),
    "utf-16": lambda secret: secret.encode("utf-16"),
    "gzip": lambda secret: gzip.compress(secret.encode()),
    "zlib within": lambda secret: b"head" + zlib.compress(secret.encode()) + b"tail",
    "zip": lambda secret: an_archive("a.txt", secret),
    "name in a zip": lambda secret: an_archive(f"{secret}.txt", ""),
    "data address": lambda secret: (
        b'<img src="data:x;base64,' + base64.b64encode(f"..{secret}".encode()) + b'">'
    ),
    "base64 alone": lambda secret: b"v=" + base64.b64encode(f"a {secret} b".encode()),
    "percent": lambda secret: quote(secret).replace("r", "%72").encode(),
    "html": lambda secret: "".join(f"&#{ord(letter)};" for letter in secret).encode(),
    "json": lambda secret: (
        '{"a": "' + "".join(f"\\u{ord(letter):04x}" for letter in secret) + '"}'
    ).encode(),
    "gzip of a data address": lambda secret: gzip.compress(
        b"base64," + base64.b64encode(gzip.compress(secret.encode()))
    ),
    "jpeg comment": lambda secret: a_picture("JPEG", comment=secret.encode()),
    "jpeg in a page": lambda secret: (
        b"url(data:image/jpeg;base64,"
        + base64.b64encode(a_picture("JPEG", comment=secret.encode()))
        + b")"
    ),
    "png text": png_with_text,
}


@pytest.mark.parametrize("form", FORMS)
def test_the_search_finds_what_was_put_into_a_copy(site: Path, tmp_path: Path, form: str) -> None:
    """A search that can't find is worse than none."""
    copy = tmp_path / "copy"
    shutil.copytree(site, copy, copy_function=os.link)
    (copy / "assets" / "planted.bin").write_bytes(FORMS[form](SECRET))

    found = search(copy, [SECRET])

    assert {place.file for place in found} == {"assets/planted.bin"}


@pytest.mark.parametrize("before", [0, 1, 2])
@pytest.mark.parametrize("text", ["SK1-77204913", "01-quay.jpg", "aaaa0000000057a9x"])
def test_base64_is_found_wherever_it_begins(tmp_path: Path, before: int, text: str) -> None:
    """Three bytes make four letters, so one text is written in three ways, and three ends."""
    for after in range(3):
        letters = base64.b64encode(b"#" * before + text.encode() + b"#" * after)
        (tmp_path / f"{after}.txt").write_bytes(b"x " + letters + b" y")

    assert {place.file for place in search(tmp_path, [text])} == {"0.txt", "1.txt", "2.txt"}


def test_a_name_of_a_file_and_a_picture_with_metadata_are_found(tmp_path: Path) -> None:
    (tmp_path / f"{SECRET}.txt").write_text("")
    (tmp_path / "p.jpg").write_bytes(a_picture("JPEG", comment=b"x"))

    assert [place.wrapping for place in search(tmp_path, [SECRET])] == ["name"]
    assert [place.text for place in leftovers(tmp_path)] == ["comment"]


@pytest.mark.parametrize(
    ("publish", "shown"),
    [
        ("  identifiers: true\n", {"identifier"}),
        ("  file_names: true\n", {"file name", "file stem"}),
        (
            "  identifiers: true\n  file_names: true\n",
            {"identifier", "file name", "file stem", "broken cell"},
        ),
    ],
)
def test_what_the_author_lets_out_is_found_and_nothing_else(
    tmp_path: Path, values: dict[str, set[str]], publish: str, shown: set[str]
) -> None:
    """Without its protection the site holds what the search looks for: it can fail."""
    texts = {text: kind for kind, found in values.items() for text in found}

    found = search(letting_out(tmp_path, publish), texts)

    assert {texts[place.text] for place in found} == shown
