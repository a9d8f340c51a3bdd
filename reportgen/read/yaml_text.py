"""YAML 1.2 text into plain values that still know their line and column."""

from __future__ import annotations

import math
import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field

from ruamel.yaml import YAML
from ruamel.yaml.error import MarkedYAMLError, YAMLError
from ruamel.yaml.events import AliasEvent, DocumentStartEvent, NodeEvent
from ruamel.yaml.nodes import MappingNode, Node, ScalarNode, SequenceNode
from ruamel.yaml.reader import ReaderError

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.read.reading import CampaignFile
from reportgen.read.text_files import read_at_most, refuse_no_text

LARGEST_BYTES = 300_000
"""Captions of two thousand photos; a parser in Python takes four seconds for so much."""
DEEPEST = 40
"""Levels of nesting; the description itself needs seven."""

PROBLEM_CODES = (
    ("yaml/too-large", "The description is larger than any description needs to be."),
    ("yaml/encoding", "The text is not UTF-8, or holds characters that no text holds."),
    ("yaml/syntax", "The text breaks the rules of YAML."),
    (
        "yaml/feature",
        "An anchor, tag, directive or second document, which are not used here.",
    ),
    ("yaml/too-deep", "Lists and keys are nested deeper than any description needs."),
    ("yaml/duplicate-key", "A key stands twice in one place, so that one would be lost."),
    ("yaml/number", "A number is infinite, not a number, or absurdly long."),
)

Step = str | int
KeyPath = tuple[Step, ...]

_TAG = "tag:yaml.org,2002:"
_PLAIN_TAGS = {_TAG + name for name in ("str", "int", "float", "bool", "null", "timestamp")}
_TABLE_TAGS = {_TAG + "map", _TAG + "seq"}


@dataclass(frozen=True, slots=True)
class YamlDocument:
    """A read YAML text.

    `value` is made of dict, list, str, int, float, bool and None; keys of dicts are always text,
    and dates stay text as they were written.
    """

    name: str
    value: object
    _keys: Mapping[KeyPath, tuple[int, int]] = field(repr=False)
    _values: Mapping[KeyPath, tuple[int, int]] = field(repr=False)
    _texts: Mapping[KeyPath, str] = field(repr=False)

    def where(self, *path: Step) -> Where:
        """Return the place of a key (or of a list item); of its nearest parent if it is absent."""
        return self._nearest(path, self._keys)

    def where_value(self, *path: Step) -> Where:
        """Return the place of the value of a key; of its nearest parent if it is absent."""
        return self._nearest(path, self._values)

    def holds(self, *path: Step) -> bool:
        """Return whether that key or item stands in the text."""
        return path in self._values

    def part_of(self, location: Iterable[Step]) -> KeyPath:
        """Return the steps that stand in the file; others are names of alternatives."""
        path: KeyPath = ()
        for step in location:
            if self.holds(*path, step):
                path = (*path, step)
        return path

    def text(self, *path: Step) -> str | None:
        """Return a plain value as it was written, None for anything else."""
        return self._texts.get(path)

    def _nearest(self, path: KeyPath, marks: Mapping[KeyPath, tuple[int, int]]) -> Where:
        for length in range(len(path), -1, -1):
            if path[:length] in marks:
                line, column = marks[path[:length]]
                return Where(path=self.name, line=line, column=column)
        return Where(path=self.name)


def read_yaml(file: CampaignFile) -> YamlDocument:
    """Read a YAML file.

    Raises
    ------
    CampaignError
        If the file can't be opened, is too large, not UTF-8 or not sound YAML; each problem with
        its line.
    """
    content = read_at_most(file, LARGEST_BYTES + 1)
    if len(content) > LARGEST_BYTES:
        problem = _problem(
            file.where(),
            "yaml/too-large",
            f"a file of more than {LARGEST_BYTES:,} bytes",
            "a description, a few hundred lines at most",
            "keep data in files of its own and name them here",
        )
        raise CampaignError([problem])
    refuse_no_text(file, content)
    return parse_yaml(_decoded(content, file.name), file.name)


def parse_yaml(text: str, name: str) -> YamlDocument:
    """Parse YAML text; `name` is what problems call it.

    Raises
    ------
    CampaignError
        As `read_yaml`.
    """
    try:
        _refuse_features(text, name)
        root = YAML(typ="safe", pure=True).compose(text)
    except ReaderError as error:
        raise CampaignError([_unprintable(error, text, name)]) from error
    except MarkedYAMLError as error:
        raise CampaignError([_syntax(error, name)]) from error
    except (YAMLError, ValueError, RecursionError, AttributeError) as error:
        problem = _problem(
            Where(path=name), "yaml/syntax", str(error) or "unreadable text", "YAML 1.2", _FIX
        )
        raise CampaignError([problem]) from error
    builder = _Builder(name)
    value = None if root is None else builder.build(root, ())
    if builder.problems:
        raise CampaignError(builder.problems)
    return YamlDocument(name, value, builder.keys, builder.values, builder.texts)


def dotted(path: KeyPath) -> str:
    """Return a key path as a person writes it: ``walks.north-loop.logs[1]``, lists from 1."""
    text = ""
    for step in path:
        text += f"[{step + 1}]" if isinstance(step, int) else f".{step}" if text else step
    return text or "the description"


_FIX = "mend the line, or compare it with the table of keys"
_TAB = "found character '\\t' that cannot start any token"


_LONGEST_NUMBER = 100
"""Digits; Python writes none of more than 4300, which some hundred more in base 16 already are."""


def _problem(where: Where, code: str, found: str, expected: str, do: str) -> Problem:
    return Problem(
        where=where, code=code, severity=Severity.ERROR, found=found, expected=expected, do=do
    )


def _decoded(content: bytes, name: str) -> str:
    try:
        return content.decode("utf-8-sig")
    except UnicodeDecodeError as error:
        before = content[: error.start]
        line = before.count(b"\n") + 1
        column = error.start - before.rfind(b"\n")
        problem = _problem(
            Where(path=name, line=line, column=column),
            "yaml/encoding",
            f"the byte {content[error.start]:#04x}, which is not UTF-8",
            "UTF-8 text",
            "save the file as UTF-8",
        )
        raise CampaignError([problem]) from error


def _unprintable(error: ReaderError, text: str, name: str) -> Problem:
    before = text[: error.position]
    return _problem(
        Where(path=name, line=before.count("\n") + 1, column=error.position - before.rfind("\n")),
        "yaml/encoding",
        f"the control character {ord(text[error.position]):#04x}",
        "printable text",
        "delete the character",
    )


def _syntax(error: MarkedYAMLError, name: str) -> Problem:
    mark = error.problem_mark or error.context_mark
    where = Where(path=name)
    if mark is not None:
        where = Where(path=name, line=mark.line + 1, column=mark.column + 1)
    if error.problem == _TAB:
        return _problem(
            where, "yaml/syntax", "a tab", "blanks for indentation", "replace the tab by blanks"
        )
    found = ", ".join(part for part in (error.problem, _context(error)) if part)
    found = found.removeprefix("found ")
    return _problem(where, "yaml/syntax", found or "unreadable text", "YAML 1.2", _FIX)


def _context(error: MarkedYAMLError) -> str:
    if error.context is None or error.context_mark is None:
        return ""
    return f"{error.context} that begins in line {error.context_mark.line + 1}"


def _refuse_features(text: str, name: str) -> None:
    """Stop at what could make a small file explode, before anything is built from it."""
    depth = 0
    documents = 0
    for event in YAML(typ="safe", pure=True).parse(text):
        mark = event.start_mark
        where = Where(path=name, line=mark.line + 1, column=mark.column + 1)
        depth += _step(type(event).__name__)
        if depth > DEEPEST:
            raise CampaignError(
                [
                    _problem(
                        where,
                        "yaml/too-deep",
                        f"more than {DEEPEST} levels",
                        "a flat description",
                        "remove the nesting",
                    )
                ]
            )
        if isinstance(event, DocumentStartEvent):
            documents += 1
        feature = _feature(event, documents)
        if feature:
            found, do = feature
            raise CampaignError([_problem(where, "yaml/feature", found, "plain YAML 1.2", do)])


def _step(event_name: str) -> int:
    if event_name in ("MappingStartEvent", "SequenceStartEvent"):
        return 1
    return -1 if event_name in ("MappingEndEvent", "SequenceEndEvent") else 0


def _feature(event: object, documents: int) -> tuple[str, str] | None:
    if isinstance(event, AliasEvent):
        return f"the alias *{event.anchor}", "write the value out"
    if isinstance(event, DocumentStartEvent) and (event.version or event.tags):
        return "a % directive", "delete the line that begins with %"
    if documents > 1:
        return "a second document after ---", "keep one document in the file"
    if isinstance(event, NodeEvent):
        if event.anchor is not None:
            return f"the anchor &{event.anchor}", "write the value out where it is needed"
        tag = getattr(event, "tag", None)
        if tag is not None and str(tag) not in _PLAIN_TAGS | _TABLE_TAGS | {"!"}:
            return f"the tag {tag}", "delete the tag"
    return None


class _Builder:
    """Turns nodes into plain values, noting places and problems on the way."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.keys: dict[KeyPath, tuple[int, int]] = {}
        self.values: dict[KeyPath, tuple[int, int]] = {}
        self.texts: dict[KeyPath, str] = {}
        self.problems: list[Problem] = []

    def build(self, node: Node, path: KeyPath) -> object:
        """Return the value of a node and note where it and its parts stand."""
        self.keys.setdefault(path, _place(node))
        # Nothing at all after a key stands, for YAML, where the next word begins.
        self.values[path] = _place(node) if node.value != "" else self.keys[path]
        if isinstance(node, MappingNode):
            return self._mapping(node, path)
        if isinstance(node, SequenceNode):
            return [self.build(item, (*path, index)) for index, item in enumerate(node.value)]
        self.texts[path] = str(node.value)
        if "\0" in node.value:
            self._note(node, "yaml/encoding", "the character \\0", "printable text", "delete it")
        return self._scalar(node, path)

    def _mapping(self, node: MappingNode, path: KeyPath) -> dict[str, object]:
        result: dict[str, object] = {}
        for key_node, value_node in node.value:
            if not isinstance(key_node, ScalarNode):
                self._note(key_node, "yaml/syntax", "a list as a key", "a word", _FIX)
                continue
            key = str(key_node.value)
            if key in result:
                line = self.keys[*path, key][0]
                self._note(
                    key_node,
                    "yaml/duplicate-key",
                    f"the key {key} again, first in line {line}",
                    "each key once in one place",
                    "rename or remove one of the two",
                )
                continue
            self.keys[*path, key] = _place(key_node)
            result[key] = self.build(value_node, (*path, key))
        return result

    def _scalar(self, node: Node, path: KeyPath) -> object:
        convert = _CONVERSIONS.get(str(node.tag))
        text = self.texts[path]
        if convert is None:
            return text
        try:
            value = convert(text)
        except ValueError:
            value = math.nan
        if isinstance(value, float) and not math.isfinite(value):
            self._note(
                node,
                "yaml/number",
                text if len(text) < 40 else f"a number of {len(text)} characters",
                "a finite number, or the key left out where the value is not known",
                "correct the number, or delete the key; put it in quotes if it is a word",
            )
            return None
        return value

    def _note(self, node: Node, code: str, found: str, expected: str, do: str) -> None:
        line, column = _place(node)
        where = Where(path=self.name, line=line, column=column)
        self.problems.append(_problem(where, code, found, expected, do))


def _place(node: Node) -> tuple[int, int]:
    return node.start_mark.line + 1, node.start_mark.column + 1


def _whole_number(text: str) -> int:
    plain = text.replace("_", "")
    if len(plain) > _LONGEST_NUMBER:
        raise ValueError("no number that anybody means")
    if re.match(r"[-+]?0[xob]", plain):
        return int(plain, 0)
    return int(plain)


def _number(text: str) -> float:
    return float(text.replace("_", "").replace(".inf", "inf").replace(".nan", "nan"))


_CONVERSIONS: Mapping[str, Callable[[str], object]] = {
    _TAG + "int": _whole_number,
    _TAG + "float": _number,
    _TAG + "bool": lambda text: text.lower() == "true",
    _TAG + "null": lambda _: None,
}
