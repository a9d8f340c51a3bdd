"""Builds a whole site beside its target and puts it there in one step."""

from __future__ import annotations

from pathlib import Path

from reportgen.errors import SiteError
from reportgen.pages.page import SiteContent
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import ENGLISH, Words, languages, read_words
from reportgen.site.audit import site_faults
from reportgen.site.building_folder import DOCS, SITE, Kept, building_folder
from reportgen.site.docs_tree import write_docs_tree
from reportgen.site.frame import frame_labels
from reportgen.site.heavy_blocks import put_back
from reportgen.site.mkdocs_run import run_mkdocs
from reportgen.site.placing import checked_target, put_in_place
from reportgen.site.tidy import tidy


def build_site(
    content: SiteContent,
    target: Path,
    *,
    forbidden_inside: Path | None = None,
    kept: Kept = lambda _: None,
) -> Path:
    """Build a site and put it at `target`.

    Whatever goes wrong, an older site at the target stays as it was and nothing is left behind.

    Parameters
    ----------
    content : SiteContent
        Pages and files, all texts plain.
    target : Path
        Folder of the site: absent, empty, or a site that this program made.
    forbidden_inside : Path, optional
        The campaign folder; the target lies neither in it nor around it.
    kept : callable, optional
        Called with the folder in which files were kept that somebody put into the older site
        while it was being replaced.

    Returns
    -------
    Path
        The page to open first.

    Raises
    ------
    SiteError
        If the site can't be built, breaks a promise, or may not be put there.
    """
    place = checked_target(target, forbidden_inside=forbidden_inside)
    try:
        with building_folder(place, kept=kept) as folder:
            site = _built(content, folder)
            put_in_place(site, place)
    except OSError as error:
        raise SiteError(
            f"the site could not be written: {error.strerror or error} ({error.filename}); check "
            "that there is room, that you may write there, and that no program has it open"
        ) from error
    return place / "index.html"


def _built(content: SiteContent, folder: Path) -> Path:
    template = shipped_folder("site_template")
    site = folder / SITE
    tree = write_docs_tree(content, folder / DOCS, template=template)
    languages = run_mkdocs(
        content,
        tree,
        site,
        theme=template / "theme",
        labels=frame_labels(_words(template, content.language), content),
    )
    put_back(site, tree.blocks)
    tidy(site, languages=languages)
    faults = site_faults(site, picture_source=content.picture_source)
    if faults:
        raise SiteError("\n".join(("the site has faults:", *(f"  - {fault}" for fault in faults))))
    return site


def _words(template: Path, language: str) -> Words:
    """Return the wording of the frame around the pages; English where there is no other."""
    return read_words(template, language if language in languages(template) else ENGLISH)
