"""The catalogue of wording and the program must fit: no key asked for in vain, none forgotten."""

from __future__ import annotations

import ast
import re
from pathlib import Path

import pytest

from reportgen.errors import PageError
from reportgen.model.regional_limits import LIMITS
from reportgen.pages.shipped import shipped_folder
from reportgen.pages.words import Words, placeholders, read_words
from reportgen.results.figure import Absent

PACKAGE = Path(__file__).resolve().parents[2] / "reportgen"


@pytest.fixture(scope="module")
def words() -> Words:
    return read_words(shipped_folder("site_template"))


def method_keys() -> set[str]:
    """Return every method that the results layer names, read from its source."""
    source = "\n".join(path.read_text("utf-8") for path in (PACKAGE / "results").glob("*.py"))
    return {
        node.value
        for node in ast.walk(ast.parse(source.replace("from __future__ import annotations", "")))
        if isinstance(node, ast.Constant) and isinstance(node.value, str)
    }


def test_every_reason_for_absence_has_a_sentence(words: Words) -> None:
    for reason in Absent:
        assert words.has(f"absent.{reason}"), reason


def test_every_method_is_complete_and_used(words: Words) -> None:
    named = method_keys()
    methods = {key.split(".")[1] for key in words.texts if key.startswith("methods.")}
    for method in methods:
        for part in ("title", "formula", "text", "source"):
            assert words.has(f"methods.{method}.{part}"), f"{method}.{part}"
    built = {
        f"limit-{rule}-{group}"
        for rule in ("icnirp", "fcc")
        for group in ("public", "occupational")
    } | {f"duty-{kind}" for kind in ("station", "node")}
    assert methods - named - built == set()


def test_a_placeholder_without_value_is_an_error_and_not_a_gap(words: Words) -> None:
    with pytest.raises(PageError, match="station"):
        words.say("overview.silent_lead")


def test_names_are_listed_as_a_sentence_lists_them(words: Words) -> None:
    assert words.listed([]) == ""
    assert words.listed(["A"]) == "A"
    assert words.listed(["A", "B"]) == "A and B"
    assert words.listed(["A", "B", "C"]) == "A, B and C"


def test_every_condition_of_a_limit_has_a_sentence(words: Words) -> None:
    for limit in LIMITS:
        assert not limit.condition or words.has(f"safety.condition.{limit.condition}"), limit


def test_a_number_and_its_unit_stay_on_one_line(words: Words) -> None:
    """A line that ends with 95 and goes on with a per cent sign reads as two things."""
    parted = re.compile(r"\d (%|d[Bm]|[km]?m(/s)?|[kM]?Hz|\d{3})(?!\w)")
    assert not [key for key, text in words.texts.items() if parted.search(text)]


def test_an_unknown_key_is_an_error(words: Words) -> None:
    with pytest.raises(PageError, match="no-such-key"):
        words.say("no-such-key")


def test_numbers_choose_their_form(words: Words) -> None:
    assert words.count("overview.walks", 1) == "1 walk"
    assert words.count("overview.walks", 6) == "6 walks"


def test_keys_named_in_the_code_exist(words: Words) -> None:
    """Every literal key passed to say, count or list_of stands in the catalogue."""
    pattern = re.compile(r"\b(?:say|count|list_of)\(\s*f?\"([a-z0-9_.-]+)\"")
    missing = []
    for path in sorted((PACKAGE / "pages").rglob("*.py")):
        for key in pattern.findall(path.read_text("utf-8")):
            known = words.has(key) or words.has(f"{key}.one") or key in words.lists
            if not known:
                missing.append(f"{path.name}: {key}")
    assert missing == []


def test_placeholders_are_read_from_a_text() -> None:
    assert placeholders("{a} of {b:>3}") == {"a", "b"}
