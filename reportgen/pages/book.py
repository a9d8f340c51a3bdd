"""Puts all pages of a site together."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path

from reportgen.match.stations import UNLISTED
from reportgen.model.photo import PublishedPhoto
from reportgen.model.station import Station
from reportgen.pages.author_part import AUTHOR_MARK, AuthorNeeds, has_author_text
from reportgen.pages.compare_page import compare_view
from reportgen.pages.conclusions_page import conclusions_view
from reportgen.pages.context import PICTURES, Context
from reportgen.pages.data_page import data_view
from reportgen.pages.downloads import Download, downloads, planned_downloads
from reportgen.pages.method_page import method_page_view
from reportgen.pages.others_page import others_view
from reportgen.pages.overview_page import overview_view
from reportgen.pages.page import Asset, Page, Section, SiteContent
from reportgen.pages.photo_page import has_photo_map, photos_view
from reportgen.pages.render import renderer
from reportgen.pages.safety_page import safety_view
from reportgen.pages.setup_page import setup_view
from reportgen.pages.summary_file import planned_summary
from reportgen.pages.walk_page import walk_view
from reportgen.pages.words import Words, read_words
from reportgen.results.assemble import Results
from reportgen.results.place_published import as_published
from reportgen.results.walks import WalkResult
from reportgen.side_by_side import each_text

INDEX, PHOTOS = "index.md", "photos.md"


def site_content(
    results: Results, published: Iterable[PublishedPhoto], template: Path
) -> SiteContent:
    """Return every page and file of the site, the author's text marked and not yet in its place.

    Parameters
    ----------
    results : Results
    published : iterable of PublishedPhoto
        Re-made pictures.
    template : Path
        Folder of templates and wording.

    Raises
    ------
    PageError
        If a template and its data disagree.
    """
    context = _context(results, published, template)
    planned = (
        planned_summary(replace(context, is_alone=True), template), *planned_downloads(context),
    )  # fmt: skip
    pages = _costly_pages(context)
    # The costliest first, so that none of them is the last to be done.
    made = iter(each_text([*(file.text for file in planned), *pages.values()]))
    files = tuple(file.of(next(made)) for file in planned)
    written = {path: next(made).decode("utf-8") for path in pages}
    pictures = [
        Asset(path=f"{PICTURES}/{picture.name}", content=picture.content)
        for photo in context.published.values()
        for picture in photo.pictures
    ]
    unique = {asset.path: asset for asset in pictures}
    return SiteContent(
        title=context.campaign.title,
        description=context.campaign.summary,
        network=context.campaign.network,
        language=str(context.words.groups["language"]),
        pages=_pages(context, written, data=data_view(context, files)),
        navigation=_navigation(context),
        assets=(
            *(Asset(path=item.path, content=item.content) for item in files),
            *unique.values(),
        ),
        as_of_utc=context.campaign.last_time_utc,
        picture_source=context.campaign.tiles.source if context.campaign.tiles else "",
    )


def data_files(results: Results, template: Path) -> tuple[Download, ...]:
    """Return the files of data that the site will offer, without building it."""
    return downloads(_context(results, (), template))


def _context(results: Results, published: Iterable[PublishedPhoto], template: Path) -> Context:
    results = as_published(results)
    words = read_words(template, results.joined.campaign.publishing.language)
    results = _named(results, words)
    fill = renderer(template, words)
    campaign = results.joined.campaign
    wanted = {photo.key for photo in campaign.photos}
    wanted |= {overlay.key for overlay in campaign.picture_overlays}
    return Context(
        results=results,
        words=words,
        renderer=fill,
        published={photo.photo: photo for photo in published if photo.photo in wanted},
        author_html=AUTHOR_MARK if has_author_text(campaign.conclusions) else None,
    )


def _named(results: Results, words: Words) -> Results:
    """Return results whose unlisted stations are called so in the site's language."""

    def named(stations: Iterable[Station]) -> tuple[Station, ...]:
        return tuple(
            station
            if station.is_listed
            else replace(
                station,
                name=words.say("unlisted_station", which=station.name.removeprefix(UNLISTED)),
            )
            for station in stations
        )

    return replace(
        results,
        joined=replace(results.joined, stations=named(results.joined.stations)),
        walks=tuple(replace(walk, stations=named(walk.stations)) for walk in results.walks),
    )


def author_needs(results: Results) -> AuthorNeeds:
    """Return what the author's text may call and link to, and how its figures are written."""
    results = as_published(results)
    campaign = results.joined.campaign
    pages = [f"{key}.html" for key in ("index", *NAVIGATION[1:]) if key != "walks"]
    return AuthorNeeds(
        language=campaign.publishing.language,
        time_zone=campaign.time_zone,
        units=campaign.publishing.units,
        pages=(*pages, *(f"walks/{walk.key}.html" for walk in campaign.walks)),
        photo_keys=tuple(results.joined.photo_keys),
        figures=results.figures,
    )


def _costly_pages(context: Context) -> dict[str, Callable[[], Iterable[str]]]:
    """Return what writes the pages that are worth a core of their own, by path."""
    fill = context.renderer.page
    pages: dict[str, Callable[[], Iterable[str]]] = {
        PHOTOS: lambda: (fill("photos.md.jinja", photos_view(context)),),
        INDEX: lambda: (fill("overview.md.jinja", overview_view(context)),),
    }
    for walk in context.results.walks:
        pages[_walk_path(walk)] = partial(_walk_text, context, walk)
    return pages


def _walk_path(walk: WalkResult) -> str:
    return f"walks/{walk.walk.key}.md"


def _walk_text(context: Context, walk: WalkResult) -> tuple[str]:
    return (context.renderer.page("walk.md.jinja", walk_view(context, walk)),)


def _pages(context: Context, written: Mapping[str, str], *, data: object) -> tuple[Page, ...]:
    nav = {key: context.words.say(f"nav.{key}") for key in NAVIGATION}
    fill = context.renderer.page
    walks = (
        Page(
            path=_walk_path(walk),
            title=walk.walk.title,
            markdown=written[_walk_path(walk)],
            has_charts=True,
        )
        for walk in context.results.walks
    )
    setup, others = setup_view(context), others_view(context)
    return (
        Page(
            path=INDEX,
            title=nav["overview"],
            markdown=written[INDEX],
            description=context.campaign.summary,
            has_charts=True,
        ),
        Page(
            path="setup.md",
            title=nav["setup"],
            markdown=fill("setup.md.jinja", setup),
            has_charts=any(budget.has_charts for budget in setup.budgets),
        ),
        *walks,
        Page(
            path=PHOTOS,
            title=nav["photos"],
            markdown=written[PHOTOS],
            has_charts=has_photo_map(context),
        ),
        Page(
            path="compare.md",
            title=nav["compare"],
            markdown=fill("compare.md.jinja", compare_view(context)),
        ),
        Page(
            path="others.md",
            title=nav["others"],
            markdown=fill("others.md.jinja", others),
            has_charts=others.has_map,
        ),
        Page(
            path="conclusions.md",
            title=nav["conclusions"],
            markdown=fill("conclusions.md.jinja", conclusions_view(context)),
        ),
        Page(
            path="safety.md",
            title=nav["safety"],
            markdown=fill("safety.md.jinja", safety_view(context)),
        ),
        Page(path="data.md", title=nav["data"], markdown=fill("data.md.jinja", data)),
        Page(
            path="method.md",
            title=nav["method"],
            markdown=fill("method.md.jinja", method_page_view(context)),
        ),
    )


NAVIGATION = (
    "overview", "setup", "walks", "photos", "compare", "others", "conclusions", "safety", "data",
    "method",
)  # fmt: skip
_PATHS = {"overview": INDEX}


def _navigation(context: Context) -> tuple[Section, ...]:
    sections = []
    for key in NAVIGATION:
        pages: tuple[str, ...] = (_PATHS.get(key, f"{key}.md"),)
        if key == "walks":
            pages = tuple(f"walks/{walk.key}.md" for walk in context.campaign.walks)
        if pages:
            sections.append(Section(title=context.words.say(f"nav.{key}"), pages=pages))
    return tuple(sections)
