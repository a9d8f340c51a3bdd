"""The mapping of a log format, checked and made ready: where each field stands in a row."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from reportgen.errors import CampaignError, Problem, Severity, Where
from reportgen.read.cell_pattern import CellPattern, is_too_costly
from reportgen.read.description_schema import FieldName, FieldPart, LogFormatPart
from reportgen.read.findings import Finding

PROBLEM_CODES = (
    ("log/field-source", "A field of the format does not say where it stands, or says it twice."),
    ("log/field-pattern", "The pattern of a field is no regular expression."),
    ("log/field-unmapped", "The format names a field in a condition that it does not map."),
    ("json/pointer", "A JSON Pointer is not written as RFC 6901 asks."),
)

_IS_NUMBER = re.compile(r"[+-]?(?:[0-9]+(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?")


@dataclass(frozen=True, slots=True, kw_only=True)
class Condition:
    """A field has one of some texts; case and surrounding blanks do not count."""

    field: FieldName
    texts: frozenset[str]
    shown: str

    def holds(self, texts: Mapping[FieldName, str | None]) -> bool:
        """Tell whether a row with these texts fulfils the condition."""
        return folded(texts.get(self.field) or "") in self.texts


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldSource:
    """Where one field stands. One of `columns`, `pointer` and `constant` is set."""

    field: FieldName
    columns: tuple[str | int, ...] = ()
    pointer: tuple[str, ...] | None = None
    from_record: bool = False
    constant: str | None = None
    pattern: CellPattern | None = None
    not_measured_texts: frozenset[str] = frozenset()
    not_measured_numbers: frozenset[float] = frozenset()
    not_measured_when: tuple[Condition, ...] = ()

    @property
    def is_elaborate(self) -> bool:
        """Whether more is said of the field than where it stands."""
        return (
            self.constant is not None or self.pattern is not None or bool(self.not_measured_texts)
        )


def folded(text: str) -> str:
    """Return the text as it is compared: without surrounding blanks and case."""
    return text.strip().casefold()


def conditions(when: Mapping[FieldName, list[str]]) -> tuple[Condition, ...]:
    """Return conditions as a format states them."""
    return tuple(
        Condition(
            field=field,
            texts=frozenset(folded(text) for text in texts),
            shown=f"{field} is one of {', '.join(texts)}",
        )
        for field, texts in when.items()
    )


def field_sources(log_format: LogFormatPart, where: Where) -> tuple[FieldSource, ...]:
    """Check the mapping of a format and make it ready for reading.

    Parameters
    ----------
    log_format : LogFormatPart
    where : Where
        What the problems are pinned to.

    Raises
    ------
    CampaignError
        With all that is wrong with the mapping.
    """
    sources: list[FieldSource] = []
    problems: list[Problem] = []
    for field, part in log_format.fields.items():
        try:
            sources.append(_field_source(field, _spelt_out(part), log_format, where))
        except CampaignError as error:
            problems.extend(error.problems)
    problems += [
        finding.problem(where, Severity.ERROR) for finding in _unmapped_conditions(log_format)
    ]
    if problems:
        raise CampaignError(problems)
    return tuple(sources)


def pointer_tokens(pointer: str, where: Where) -> tuple[str, ...]:
    """Return the reference tokens of a JSON Pointer (RFC 6901, sections 3 and 4).

    Raises
    ------
    CampaignError
        If it does not begin with a slash (or is empty), or has a stray tilde.
    """
    if (pointer and not pointer.startswith("/")) or re.search(r"~(?![01])", pointer):
        raise Finding(
            code="json/pointer",
            found=f"pointer {pointer}",
            expected="a JSON Pointer such as /rx/0/rssi, with ~0 for ~ and ~1 for / in a name",
            do="correct the pointer",
        ).error(where)
    return tuple(token.replace("~1", "/").replace("~0", "~") for token in pointer.split("/")[1:])


def _spelt_out(part: FieldPart | str | int) -> FieldPart:
    if isinstance(part, FieldPart):
        return part
    if isinstance(part, str) and part.startswith("/"):
        return FieldPart(pointer=part)
    return FieldPart(column=part)


def _field_source(
    field: FieldName, part: FieldPart, log_format: LogFormatPart, where: Where
) -> FieldSource:
    _check_places(field, part, log_format, where)
    columns = part.columns or ([] if part.column is None else [part.column])
    return FieldSource(
        field=field,
        columns=tuple(columns),
        pointer=None if part.pointer is None else pointer_tokens(part.pointer, where),
        from_record=part.from_record,
        constant=_constant(part, log_format),
        pattern=_pattern(field, part, where),
        not_measured_texts=frozenset(str(value).strip() for value in part.not_measured),
        not_measured_numbers=frozenset(
            float(value) for value in part.not_measured if _IS_NUMBER.fullmatch(str(value).strip())
        ),
        not_measured_when=conditions(part.not_measured_when),
    )


def _check_places(
    field: FieldName, part: FieldPart, log_format: LogFormatPart, where: Where
) -> None:
    given = {
        "column": part.column is not None,
        "columns": bool(part.columns),
        "pointer": part.pointer is not None,
        "value": part.value is not None,
    }
    named = [name for name, is_given in given.items() if is_given]
    usable = ["pointer", "value"] if log_format.kind != "csv" else ["column", "columns", "value"]
    if len(named) == 1 and named[0] in usable:
        return
    raise Finding(
        code="log/field-source",
        found=f"field {field} with {' and '.join(named) or 'no place'}",
        expected=f"one of {', '.join(usable)} in a format of kind '{log_format.kind}'"
        + ("; a pointer begins with /" if log_format.kind != "csv" else ""),
        do=f"correct 'fields: {field}' of the log format",
    ).error(where)


def _constant(part: FieldPart, log_format: LogFormatPart) -> str | None:
    if part.value is None:
        return None
    if isinstance(part.value, str):
        return part.value
    # A number of the description has a point, whatever mark the log has.
    return str(part.value).replace(".", log_format.decimal)


def _pattern(field: FieldName, part: FieldPart, where: Where) -> CellPattern | None:
    if part.pattern is None:
        return None
    try:
        pattern = CellPattern(part.pattern, where)
    except (re.error, OverflowError, RecursionError) as error:
        raise Finding(
            code="log/field-pattern",
            found=f"field {field}: pattern {part.pattern} ({error})",
            expected="a regular expression such as '^([0-9]+)'",
            do=f"correct 'fields: {field}: pattern'",
        ).error(where) from error
    if is_too_costly(part.pattern):
        raise Finding(
            code="log/pattern-too-costly",
            found=f"field {field}: pattern {part.pattern}, in which repeats can share one text in "
            "very many ways",
            expected="at most three repeats such as + and *, and none within another",
            do=f"write 'fields: {field}: pattern' with fewer, or with ++ and *+ for those that "
            "give nothing back",
        ).error(where)
    return pattern


def _unmapped_conditions(log_format: LogFormatPart) -> Iterator[Finding]:
    asked = {("keep_when", field) for field in log_format.keep_when}
    for part in log_format.fields.values():
        if isinstance(part, FieldPart):
            asked |= {("not_measured_when", field) for field in part.not_measured_when}
    for key, field in sorted(asked):
        if field not in log_format.fields:
            yield Finding(
                code="log/field-unmapped",
                found=f"{key}: {field}, a field that the format does not map",
                expected=f"one of {', '.join(log_format.fields)}",
                do=f"add '{field}' under 'fields', or take it out of '{key}'",
            )
