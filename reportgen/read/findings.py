"""What readers find wrong row by row, counted by kind instead of listed row by row."""

from __future__ import annotations

from dataclasses import dataclass

from reportgen.errors import CampaignError, Problem, ReportgenError, Severity, Where
from reportgen.model.accounts import SetAside, set_aside_from
from reportgen.read.reading import CampaignFile


@dataclass(frozen=True, slots=True, kw_only=True)
class Finding:
    """Something found in the input, without its place.

    `reason` is what the account of the rows says: the same for every row of a kind. `found` may
    quote the row.
    """

    code: str
    found: str
    expected: str
    do: str
    reason: str = ""

    def problem(self, where: Where, severity: Severity, count: int = 1) -> Problem:
        """Return the finding at its place."""
        return Problem(
            where=where,
            code=self.code,
            severity=severity,
            found=self.found,
            expected=self.expected,
            do=self.do,
            count=count,
        )

    def error(self, where: Where) -> CampaignError:
        """Return the finding as a reason to stop."""
        return CampaignError([self.problem(where, Severity.ERROR)])


class RowFaultError(ReportgenError):
    """A row can't be used; caught within the readers, which count it."""

    def __init__(self, finding: Finding) -> None:
        self.finding = finding
        super().__init__(finding.found)


class RowLeftOutError(ReportgenError):
    """A row is left out because the author asked for it; caught within the readers."""

    def __init__(self, code: str, reason: str) -> None:
        self.code = code
        self.reason = reason
        super().__init__(reason)


class Findings:
    """Collects what becomes of the rows of one file.

    Parameters
    ----------
    file : CampaignFile
        The file that is being read.
    """

    def __init__(self, file: CampaignFile) -> None:
        self.file = file
        self._rows: list[tuple[int, str, str, bool]] = []
        self._counted: dict[tuple[str, Severity], tuple[int, Finding, int]] = {}

    def fault(self, line: int, finding: Finding) -> None:
        """Set a row aside because something is wrong with it."""
        self._rows.append((line, finding.code, finding.reason or finding.found, True))
        self.mark(line, finding, Severity.WARNING)

    def leave_out(self, line: int, left_out: RowLeftOutError) -> None:
        """Set a row aside by request."""
        self._rows.append((line, left_out.code, left_out.reason, False))

    def mark(self, line: int, finding: Finding, severity: Severity) -> None:
        """Count a finding without setting its row aside; the first of a code is shown."""
        key = (finding.code, severity)
        first_line, first, count = self._counted.get(key, (line, finding, 0))
        self._counted[key] = (first_line, first, count + 1)

    def note(self, line: int, finding: Finding) -> None:
        """Count something worth knowing about a row that is used."""
        self.mark(line, finding, Severity.NOTE)

    def warn(self, line: int, finding: Finding) -> None:
        """Count something doubtful about a row, or a file, that is used."""
        self.mark(line, finding, Severity.WARNING)

    def set_aside(self) -> tuple[SetAside, ...]:
        """Return the rows set aside, grouped by reason."""
        return set_aside_from(self.file.name, self._rows)

    def problems(self) -> tuple[Problem, ...]:
        """Return one problem per code, with the number of rows it stands for."""
        return tuple(
            finding.problem(self.file.where(line), severity, count)
            for (_, severity), (line, finding, count) in self._counted.items()
        )
