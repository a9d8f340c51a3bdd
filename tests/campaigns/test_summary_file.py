"""The summary in one file: whole without the site, small enough for a mail, and saying the same."""

from __future__ import annotations

import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from PIL import Image

from reportgen.match.join import join
from reportgen.model.photo import Picture, PublishedPhoto
from reportgen.pages import summary_file
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.summary_file import SUMMARY
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results
from reportgen.site.audit import read_built_page
from tests.made_results import assembled, example_results
from tests.pages.made_context import whole_site

pytestmark = pytest.mark.slow

MEGABYTE = 1_000_000
FILE_NAME = re.compile(
    r"\b[\w-]+\.(?:html|css|js|jpe?g|png|svg|json|csv|geojson|txt|md|yaml)(?![\w-])"
)
FIGURE = re.compile(r'data-figure="([^"]+)">(?:<span class="at-least">([^<]*)</span> )?([^<]*)<')
TEMPLATE = shipped_folder("site_template")


@pytest.fixture(scope="module")
def results() -> Results:
    return example_results()


@pytest.fixture(scope="module")
def text(example_site: Path) -> str:
    return example_site.with_name(SUMMARY).read_text("utf-8")


def summary_of(results: Results, published: tuple[PublishedPhoto, ...] = ()) -> str:
    assets = whole_site(results, published).assets
    return next(asset.content for asset in assets if asset.path == SUMMARY).decode("utf-8")


def without_pictures(text: str) -> str:
    return re.sub(r"data:image/[a-z]+;base64,[A-Za-z0-9+/=]+", "", text)


def test_it_loads_nothing_and_runs_nothing(text: str) -> None:
    page = read_built_page(text)

    assert page.policies
    assert len(page.loads) == 12
    assert all(address.startswith("data:image/jpeg;base64,") for address in page.loads)
    assert "<script" not in text
    assert not re.search(r"@import|url\((?!#)", text)


def test_it_names_no_file_and_no_host(text: str) -> None:
    """Whoever gets it by mail has nothing else of the report."""
    rest = without_pictures(text)

    assert FILE_NAME.findall(rest) == []
    assert re.findall(r"[a-z]+://\S+|//[a-z]\S+", rest) == []


def test_its_links_lead_to_places_in_itself(text: str) -> None:
    page = read_built_page(text)

    assert len(page.links) > 10
    assert [link for link in page.links if link.removeprefix("#") not in page.anchors] == []


def test_it_is_small_enough_for_a_mail(text: str) -> None:
    assert len(text.encode("utf-8")) < 3 * MEGABYTE


def test_it_says_what_the_first_page_says(example_site: Path, text: str) -> None:
    """The same five figures, walks and directions, from the same views."""
    first, short = (
        {name: (prefix, value) for name, prefix, value in FIGURE.findall(page)}
        for page in (example_site.read_text("utf-8"), text)
    )
    kinds = ("campaign.", "walk.")
    shared = {name: value for name, value in short.items() if name.startswith(kinds)}

    assert len(shared) > 40
    assert {name: value for name, value in shared.items() if first.get(name, value) != value} == {}
    assert {
        "campaign.farthest_heard_m", "campaign.farthest_walked_m", "campaign.delivery_ratio",
        "campaign.frames_heard_of_sent", "campaign.half_distance_m",
        "walk.hill-sf7.farthest_walked_m",
        "campaign.sector.090.farthest_heard_m", "photo.4.distance_m",
        "safety.station.harbour.caution_distance_m",
    } <= set(short)  # fmt: skip


def test_no_number_offers_a_working_that_is_not_there(text: str) -> None:
    body = text[text.index("<body") :]

    assert "popover" not in body
    assert "<button" not in body


@pytest.mark.parametrize("page", ["index.html", "data.html"])
def test_the_pages_offer_it_as_a_download(example_site: Path, page: str) -> None:
    assert f'href="{SUMMARY}" download' in example_site.with_name(page).read_text("utf-8")


def test_drafts_are_marked_as_such(results: Results) -> None:
    campaign = replace(results.joined.campaign, conclusions=None)
    drafted = summary_of(replace(results, joined=replace(results.joined, campaign=campaign)))

    assert "Drafts, not conclusions" in drafted
    assert "Drafts, not conclusions" not in summary_of(results)


def test_links_of_the_author_lead_nowhere_that_is_not_in_the_file(results: Results) -> None:
    conclusions = (
        "See [the walk](walks/hill-sf7.html), [below](#next) or [elsewhere](https://example.org/)."
    )
    campaign = replace(results.joined.campaign, conclusions=conclusions)
    made = summary_of(replace(results, joined=replace(results.joined, campaign=campaign)))
    links = [link for link in read_built_page(made).links if "photo-" not in link]

    assert links == ["https://example.org/"]
    assert "<a>the walk</a>" in made


def test_pictures_stop_where_the_room_ends_and_say_so(
    results: Results, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A hundred photos must not make a file that no mail takes."""
    monkeypatch.setattr(summary_file, "PICTURE_BYTES", 2_500)
    published = tuple(
        PublishedPhoto(
            photo=match.photo.key,
            pictures=(
                Picture(
                    name=f"p-{match.photo.key}.jpg", width_px=4, height_px=3, content=b"x" * 1_000
                ),
            ),
        )
        for match in results.joined.photos
    )
    made = summary_of(results, published)

    assert len(read_built_page(made).loads) == 2
    assert made.count("The picture is in the full report.") == len(published) - 2


def test_a_picture_under_the_map_and_tiles_stay_with_the_site(tmp_path: Path) -> None:
    """One file has no pictures beside it, and asks nobody for any."""
    folder = tmp_path / "c"
    shutil.copytree(shipped_folder("example_campaign"), folder)
    Image.new("RGB", (40, 30), "beige").save(folder / "plan.png")
    path = folder / "campaign.yaml"
    text = path.read_text("utf-8").replace(
        "overlays:\n",
        "tiles: {address: 'https://tiles.example/{z}/{x}/{y}.png', attribution: Somebody}\n"
        "overlays:\n"
        "  - file: plan.png\n"
        "    corners: {north_west: {latitude_deg: 49.21, longitude_deg: -23.62},\n"
        "              south_east: {latitude_deg: 49.19, longitude_deg: -23.58}}\n",
    )
    path.write_text(text, "utf-8")

    plan = Picture(name="p-plan.jpg", width_px=40, height_px=30, content=b"x")
    published = (PublishedPhoto(photo="overlay:plan.png", pictures=(plan,)),)

    summary = summary_of(assembled(join(read_campaign(folder))), published)

    assert "tiles.example" not in summary
    assert "<image" not in summary
