"""The site in another language: every sentence there, every placeholder kept."""

from __future__ import annotations

import tomllib
from pathlib import Path

import pytest

from reportgen.cli.checking import check_campaign
from reportgen.errors import CampaignError, PageError
from reportgen.match.join import join
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import languages, placeholders, read_words
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import assemble
from tests.campaigns.made import LINE, only_others_heard, publish, row, track, write
from tests.pages.made_context import whole_site

TEMPLATE = shipped_folder("site_template")
OTHERS = [language for language in languages(TEMPLATE) if language != "en"]


def folder_with(folder: Path, text: str) -> Path:
    """Return a template folder with a small catalogue and its translation."""
    folder.mkdir()
    (folder / "words.toml").write_text('language = "en"\n[a]\nx = "one"\ny = "two"\n', "utf-8")
    (folder / "words.de.toml").write_text(text, "utf-8")
    return folder


def test_english_is_spoken_and_one_language_more() -> None:
    assert languages(TEMPLATE)[0] == "en"
    assert OTHERS


@pytest.mark.parametrize("language", OTHERS)
def test_a_translation_is_complete_and_keeps_its_placeholders(language: str) -> None:
    """What it lacked would be said in English; what it added would never be said."""
    english = read_words(TEMPLATE)
    own = tomllib.loads((TEMPLATE / f"words.{language}.toml").read_text("utf-8"))
    found = dict(_leaves(own))

    assert set(found) == {*english.texts, *english.lists}
    for key, text in english.texts.items():
        assert placeholders(str(found[key])) == placeholders(text), key
    for key, items in english.lists.items():
        assert len(list(found[key])) == len(items), key


def _leaves(tree: dict[str, object], path: str = "") -> list[tuple[str, str | list[str]]]:
    return [
        leaf
        for key, value in tree.items()
        for leaf in (
            _leaves(value, f"{path}{key}.")
            if isinstance(value, dict)
            else [(f"{path}{key}", value if isinstance(value, list) else str(value))]
        )
    ]


def test_what_a_translation_lacks_is_said_in_english(tmp_path: Path) -> None:
    words = read_words(folder_with(tmp_path / "t", 'language = "de"\n[a]\nx = "eins"\n'), "de")

    assert (words.say("a.x"), words.say("a.y"), words.say("language")) == ("eins", "two", "de")


def test_a_language_without_wording_is_an_error(tmp_path: Path) -> None:
    with pytest.raises(PageError, match=r"words\.fr\.toml"):
        read_words(folder_with(tmp_path / "t", ""), "fr")


def test_an_unknown_language_is_told_at_its_line(tmp_path: Path) -> None:
    folder = write(tmp_path / "c", "Words", rows=(row(0, 1, 100),), gpx=track(*LINE))
    publish(folder, "place: exact, language: qq")

    with pytest.raises(CampaignError) as caught:
        check_campaign(folder, lambda _: None)

    (problem,) = caught.value.problems
    assert (problem.code, problem.where.line) == ("description/language", 4)
    assert "en" in problem.expected


def test_a_station_that_nobody_described_is_named_in_the_sites_language(tmp_path: Path) -> None:
    """Its alias is made in English, before anybody asks in which language the site speaks."""
    folder = only_others_heard(tmp_path / "c")
    publish(folder, "place: exact, language: de")
    content = whole_site(assemble(join(read_campaign(folder))))

    assert any("Nicht aufgeführte Station 1" in page.markdown for page in content.pages)
    assert not any("Unlisted station" in page.markdown for page in content.pages)
