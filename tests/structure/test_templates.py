"""Templates put finished things in place: no arithmetic, no comparison, no look-up by text."""

from __future__ import annotations

from pathlib import Path

import pytest
from jinja2 import Environment, nodes

from reportgen.pages.shipped import shipped_folder

FOLDER = shipped_folder("site_template")
TEMPLATES = sorted(
    path for part in ("pages", "components") for path in (FOLDER / part).glob("*.jinja")
)
LOGIC = (
    nodes.Add, nodes.Sub, nodes.Mul, nodes.Div, nodes.FloorDiv, nodes.Mod, nodes.Pow, nodes.Compare,
    nodes.Concat, nodes.And, nodes.Or, nodes.CondExpr, nodes.Filter, nodes.Getitem, nodes.Slice,
)  # fmt: skip


def parsed(path: Path) -> nodes.Template:
    return Environment(autoescape=True).parse(path.read_text("utf-8"))


def test_there_are_templates_to_look_at() -> None:
    assert len(TEMPLATES) >= 12


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_holds_no_logic(path: Path) -> None:
    assert [type(node).__name__ for node in parsed(path).find_all(LOGIC)] == []


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_asks_only_booleans_of_its_view(path: Path) -> None:
    """What decides is computed in Python under a name that reads as a claim, or is a text."""
    tests = [node.test for node in parsed(path).find_all(nodes.If)]

    assert all(isinstance(test, nodes.Getattr | nodes.Name) for test in tests)


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: path.name)
def test_a_template_writes_no_sentences_of_its_own(path: Path) -> None:
    """Wording lives in the catalogue; a word or two in an attribute name is markup."""
    texts = [
        data.data for output in parsed(path).find_all(nodes.Output)
        for data in output.nodes if isinstance(data, nodes.TemplateData)
    ]  # fmt: skip
    words = " ".join(texts)
    outside_tags = []
    depth = 0
    for character in words:
        depth += {"<": 1, ">": -1}.get(character, 0)
        if depth == 0 and character.isalpha():
            outside_tags.append(character)

    assert "".join(outside_tags) == ""
