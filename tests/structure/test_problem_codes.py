"""Every code of a problem is listed where it is made, and every listed one is made."""

from __future__ import annotations

import importlib
import pkgutil
import re
from pathlib import Path

import reportgen

SOURCE = Path(reportgen.__file__).parent
CODE = re.compile(r"\"([a-z]+(?:-[a-z]+)*/[a-z0-9]+(?:-[a-z0-9]+)*)\"")
LAYERS = ("read", "match", "pages", "cli")
NOT_CODES = {"text/plain", "application/json", "text/html", "m/s"}


def listed_codes() -> dict[str, str]:
    modules = [
        importlib.import_module(found.name)
        for found in pkgutil.walk_packages([str(SOURCE)], "reportgen.")
        if found.name.split(".")[1] in LAYERS and not found.name.endswith("__main__")
    ]
    return {
        code: sentence
        for module in modules
        for code, sentence in getattr(module, "PROBLEM_CODES", ())
    }


def source_without_lists() -> str:
    texts = (
        path.read_text("utf-8")
        for layer in LAYERS
        for path in sorted((SOURCE / layer).rglob("*.py"))
    )
    return re.sub(r"PROBLEM_CODES[^=]*= \(\n.*?\n\)", "", "\n".join(texts), flags=re.DOTALL)


def made_codes() -> set[str]:
    return set(CODE.findall(source_without_lists())) - NOT_CODES


def test_every_code_that_is_made_is_listed_with_a_sentence() -> None:
    assert made_codes() - set(listed_codes()) == set()


def test_every_listed_code_is_made_somewhere() -> None:
    """A module may put its codes together from its prefix and the rest."""
    source = source_without_lists()

    def is_made(code: str) -> bool:
        tail = code.split("/")[1]
        stem = tail.rsplit("-", 1)[0]
        return any(text in source for text in (f'"{code}"', f'"{tail}"', f"{stem}-{{"))

    assert [code for code in listed_codes() if not is_made(code)] == []


def test_a_listed_code_has_a_whole_sentence() -> None:
    assert [code for code, sentence in listed_codes().items() if not sentence.endswith(".")] == []
