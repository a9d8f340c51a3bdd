"""The catalogue of wording: every sentence of the site, by key."""

from __future__ import annotations

import string
import tomllib
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass
from pathlib import Path

from reportgen.errors import PageError

CATALOGUE = "words.toml"
ENGLISH = "en"


class WordGroup(dict[str, "str | WordGroup | tuple[str, ...]"]):
    """A part of the catalogue; templates reach into it by attribute-like lookup."""

    def __missing__(self, key: str) -> str:
        raise PageError(f"the catalogue of wording has no entry {key}")


@dataclass(frozen=True, slots=True)
class Words:
    """The catalogue, read once."""

    groups: WordGroup
    texts: Mapping[str, str]
    lists: Mapping[str, tuple[str, ...]]

    def say(self, key: str, **values: object) -> str:
        """Return the text of `key` with its placeholders filled.

        Raises
        ------
        PageError
            If there is no such text, or a placeholder has no value.
        """
        try:
            return self.texts[key].format_map(_Strict(values))
        except KeyError as error:
            raise PageError(f"wording {key}: nothing is known of {error}") from None

    def template(self, key: str) -> str:
        """Return the text of `key` with its placeholders as they are.

        Raises
        ------
        PageError
            If there is no such text.
        """
        if key not in self.texts:
            raise PageError(f"wording {key}: there is no such text")
        return self.texts[key]

    def count(self, key: str, number: int, **values: object) -> str:
        """Return `key`.one or `key`.other with the number as {n}."""
        form = "one" if number == 1 else "other"
        return self.say(f"{key}.{form}", n=f"{number:,}".replace(",", "\u202f"), **values)

    def listed(self, names: Iterable[str]) -> str:
        """Return names as a sentence lists them: commas between, a word before the last."""
        *before, last = list(names) or [""]
        return self.say("listed", before=", ".join(before), last=last) if before else last

    def list_of(self, key: str) -> tuple[str, ...]:
        """Return a list of texts."""
        if key not in self.lists:
            raise PageError(f"wording {key}: there is no such list")
        return self.lists[key]

    def has(self, key: str) -> bool:
        """Whether there is a text of that key."""
        return key in self.texts


class _Strict(dict[str, object]):
    def __missing__(self, key: str) -> str:
        raise KeyError(key)


def read_words(folder: Path, language: str = ENGLISH) -> Words:
    """Read the catalogue of a template folder in a language.

    What another catalogue lacks is said in English.

    Raises
    ------
    PageError
        If there is no catalogue in that language.
    """
    tree = _read(folder / CATALOGUE)
    if language != ENGLISH:
        if language not in languages(folder):
            raise PageError(f"there is no wording in {language}: {_catalogue(folder, language)}")
        tree = _laid_over(tree, _read(_catalogue(folder, language)))
    texts: dict[str, str] = {}
    lists: dict[str, tuple[str, ...]] = {}
    for key, value in _leaves(tree, ""):
        if isinstance(value, str):
            texts[key] = value.strip()
        else:
            lists[key] = value
    return Words(_grouped(tree), texts, lists)


def languages(folder: Path) -> tuple[str, ...]:
    """Return the languages that a template folder speaks, English first."""
    stem = CATALOGUE.removesuffix(".toml")
    others = (path.name.split(".")[1] for path in folder.glob(f"{stem}.*.toml"))
    return (ENGLISH, *sorted(others))


def _catalogue(folder: Path, language: str) -> Path:
    return folder / CATALOGUE.replace(".toml", f".{language}.toml")


def _read(path: Path) -> dict[str, object]:
    return tomllib.loads(path.read_text(encoding="utf-8"))


def _laid_over(below: Mapping[str, object], above: Mapping[str, object]) -> dict[str, object]:
    """Return a tree with the leaves of another in place of its own."""
    merged = dict(below)
    for key, value in above.items():
        under = below.get(key)
        both = isinstance(value, Mapping) and isinstance(under, Mapping)
        merged[key] = _laid_over(under, value) if both else value  # type: ignore[arg-type]
    return merged


def placeholders(text: str) -> set[str]:
    """Return the names of the placeholders in a text."""
    return {name for _, name, _, _ in string.Formatter().parse(text) if name}


def _leaves(tree: Mapping[str, object], path: str) -> Iterator[tuple[str, str | tuple[str, ...]]]:
    for key, value in tree.items():
        if isinstance(value, Mapping):
            yield from _leaves(value, f"{path}{key}.")
        elif isinstance(value, list):
            yield f"{path}{key}", tuple(str(item).strip() for item in value)
        else:
            yield f"{path}{key}", str(value)


def _grouped(tree: Mapping[str, object]) -> WordGroup:
    group = WordGroup()
    for key, value in tree.items():
        if isinstance(value, Mapping):
            group[key] = _grouped(value)
        elif isinstance(value, list):
            group[key] = tuple(str(item).strip() for item in value)
        else:
            group[key] = str(value).strip()
    return group
