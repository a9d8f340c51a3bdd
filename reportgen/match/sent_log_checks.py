"""What matching shows of the nodes' own logs: rows that fit nothing, clocks apart, rows lost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

import pandas as pd

from reportgen.errors import Problem, Severity, Where, number_of
from reportgen.match.sent_log import SentLogUse
from reportgen.match.set_aside import accounts_less
from reportgen.match.walk_time import AROUND_HEARD_S
from reportgen.model.accounts import FileAccount

CODE = "match/sent-log-unmatched"
REASON = "frames sent that can't be told to be the frames heard"

OUTSIDE_CODE = "match/sent-outside-walk"
OUTSIDE_REASON = "sent outside the time of the walk"

CLOCKS_APART_S = 5.0
"""Beyond the jitter of network time stamps and the time on air."""

PROBLEM_CODES = (
    (CODE, "A node's own log can't be tied to the frames heard."),
    ("match/sent-log-lacks", "Frames were heard that the node's own log does not have."),
    (OUTSIDE_CODE, "A node's own log has frames sent at another time than the walk's."),
    ("match/sent-log-clock", "The clocks of a node's own log and of the stations differ."),
)


def sent_log_problems(logs: Iterable[SentLogUse]) -> Iterator[Problem]:
    """Yield what is doubtful about the nodes' own logs."""
    for log in logs:
        first = log.rows.sort_values(["file", "line"]).iloc[0]
        where = Where(path=str(first["file"]), line=int(first["line"]))
        if not log.is_used:
            yield _unmatched(log, where)
            continue
        if len(log.outside):
            yield _outside(log)
        if log.lacking:
            yield _lacking(log, where)
        if abs(log.offset_s) > CLOCKS_APART_S:
            yield _clocks(log, where)


def _unmatched(log: SentLogUse, where: Where) -> Problem:
    return Problem(
        where=where,
        code=CODE,
        severity=Severity.WARNING,
        found=f"{number_of(len(log.rows), 'frame')} sent by {log.node} that can't be told to be "
        "those heard: neither counters nor times agree",
        expected="counters in both logs, or clocks that agree to a third of the spacing",
        do="check node, counter and clock of the log (clock_ahead_s); its rows are set aside",
        count=len(log.rows),
    )


def _outside(log: SentLogUse) -> Problem:
    first = log.outside.sort_values(["file", "line"]).iloc[0]
    return Problem(
        where=Where(path=str(first["file"]), line=int(first["line"])),
        code=OUTSIDE_CODE,
        severity=Severity.WARNING,
        found=f"{number_of(len(log.outside), 'frame')} of {log.node} sent outside the time of the "
        "walk, at no known place",
        expected="frames sent while somebody walked: in the time of the track, or else up to "
        f"{AROUND_HEARD_S / 60:g} min before and after the frames heard",
        do="nothing if the node was on before or after, they are set aside; else set start and end "
        "of the walk, or check the clock of the log and the track",
        count=len(log.outside),
    )


def _lacking(log: SentLogUse, where: Where) -> Problem:
    return Problem(
        where=where,
        code="match/sent-log-lacks",
        severity=Severity.NOTE,
        found=f"{number_of(log.lacking, 'frame')} of {log.node} heard and not in its log",
        expected="every frame that the node sent",
        do="nothing if counters tell of them; else give the walk the log's start and end",
        count=log.lacking,
    )


def _clocks(log: SentLogUse, where: Where) -> Problem:
    way = "behind" if log.offset_s > 0 else "ahead of"
    return Problem(
        where=where,
        code="match/sent-log-clock",
        severity=Severity.NOTE,
        found=f"the clock of {log.node} is {abs(log.offset_s):.0f} s {way} the stations'",
        expected="clocks that agree",
        do="nothing if the stations' clocks are right: the frames are taken at their times; else "
        "state clock_ahead_s for the stations' log",
    )


def accounts_less_unused(
    accounts: Iterable[FileAccount], logs: Iterable[SentLogUse]
) -> tuple[FileAccount, ...]:
    """Return the accounts with the rows of logs that could not be used set aside."""
    seen = tuple(logs)
    less = tuple(accounts)
    unused = [log.rows for log in seen if not log.is_used]
    if unused:
        less = accounts_less(less, pd.concat(unused), code=CODE, reason=REASON, is_fault=True)
    outside = [log.outside for log in seen if len(log.outside)]
    if outside:
        less = accounts_less(less, pd.concat(outside), code=OUTSIDE_CODE, reason=OUTSIDE_REASON)
    return less
