"""The same in, the same out: where, when and by whom a site is built does not show in it."""

from __future__ import annotations

import hashlib
import os
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

import pytest

import reportgen
from tests.conftest import ROOT

pytestmark = pytest.mark.slow

OTHER_DAY_S = 777 * 86_400 + 12_345
SHIFTED_CLOCK = f"""\
import datetime, time
import numpy, pandas, pydantic  # compiled parts look at the classes as they are


shift_s = {OTHER_DAY_S}
now, local, universal, text = time.time, time.localtime, time.gmtime, time.strftime
time.time = lambda: now() + shift_s
time.time_ns = lambda: int(time.time() * 1e9)
time.localtime = lambda s=None: local(time.time() if s is None else s)
time.gmtime = lambda s=None: universal(time.time() if s is None else s)
time.strftime = lambda shape, when=None: text(shape, when or time.localtime())
real_time, real_date = datetime.datetime, datetime.date


class AsReal(type):
    def __instancecheck__(cls, found):
        return isinstance(found, cls.__bases__[0])


class LaterTime(real_time, metaclass=AsReal):
    __slots__ = ()

    @classmethod
    def now(cls, tz=None):
        return real_time.fromtimestamp(time.time(), tz)

    @classmethod
    def utcnow(cls):
        return cls.now(datetime.timezone.utc).replace(tzinfo=None)

    @classmethod
    def today(cls):
        return cls.now()


class LaterDate(real_date, metaclass=AsReal):
    __slots__ = ()

    @classmethod
    def today(cls):
        return LaterTime.now().date()


datetime.datetime, datetime.date = LaterTime, LaterDate
"""
SURROUNDINGS = {
    "TZ": "Pacific/Auckland",
    "LANG": "C",
    "LC_ALL": "C",
    "PYTHONHASHSEED": "77",
    "SOURCE_DATE_EPOCH": "1234567890",
    "HOME": "/nonexistent",
    "COLUMNS": "40",
    "REPORTGEN_KEPT": "",
}


def copied_backwards(source: Path, target: Path) -> Path:
    """Copy a campaign, last file first, every file as old as none of the originals."""
    for path in sorted(source.rglob("*"), reverse=True):
        if path.is_file():
            copy = target / path.relative_to(source)
            copy.parent.mkdir(parents=True, exist_ok=True)
            copy.write_bytes(path.read_bytes())
            os.utime(copy, (1_000_000_000, 1_000_000_000))
    return target


def built_elsewhere(campaign: Path, target: Path, clock: Path) -> Path:
    """Build on another day, in other surroundings, on one core, with nothing kept."""
    (clock / "sitecustomize.py").write_text(SHIFTED_CLOCK, encoding="utf-8")

    def alone() -> None:
        os.umask(0o077)
        if hasattr(os, "sched_setaffinity"):
            os.sched_setaffinity(0, {min(os.sched_getaffinity(0))})

    run = subprocess.run(
        [sys.executable, "-m", "reportgen", "build", campaign.name, "--out", str(target)],
        cwd=campaign.parent,
        env={**os.environ, **SURROUNDINGS, "PYTHONPATH": os.pathsep.join([str(clock), str(ROOT)])},
        preexec_fn=alone,
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=False,
        timeout=300,
    )
    assert run.returncode == 0, run.stderr
    return target


def files(site: Path) -> dict[str, bytes]:
    return {
        path.relative_to(site).as_posix(): path.read_bytes()
        for path in sorted(site.rglob("*"))
        if path.is_file()
    }


def differences(one: dict[str, bytes], other: dict[str, bytes]) -> Iterator[str]:
    """Say in which files two sites differ, and where each begins to."""
    for name in sorted({*one, *other}):
        if name not in one or name not in other:
            yield f"{name} is in one of them only"
        elif one[name] != other[name]:
            pairs = zip(one[name], other[name], strict=False)
            at = next(
                (place for place, (left, right) in enumerate(pairs) if left != right),
                min(len(one[name]), len(other[name])),
            )
            around = slice(max(0, at - 40), at + 40)
            yield f"{name} from byte {at} on: {one[name][around]!r} / {other[name][around]!r}"


def test_two_builds_of_one_campaign_are_the_same_to_the_byte(
    example_site: Path, tmp_path: Path
) -> None:
    """Another day, folder, name, zone, language, order of files, umask, and one core only."""
    clock = tmp_path / "clock"
    clock.mkdir()
    campaign = copied_backwards(ROOT / "example_campaign", tmp_path / "elsewhere" / "Süd 2")

    again = built_elsewhere(campaign, tmp_path / "deep" / "down" / "report", clock)

    one, other = files(example_site.parent), files(again)
    assert len(one) > 50
    assert list(differences(one, other)) == []


def test_the_shifted_clock_is_believed(tmp_path: Path) -> None:
    """Else the test above would compare two builds of one day."""
    (tmp_path / "sitecustomize.py").write_text(SHIFTED_CLOCK, encoding="utf-8")
    asked = (
        "import datetime as dt, time; "
        "print(time.time(), dt.datetime.now().timestamp(), "
        "dt.datetime.now(dt.UTC).timestamp(), time.mktime(time.localtime()), "
        "dt.date.today().year)"
    )
    told = subprocess.run(
        [sys.executable, "-c", asked],
        env={**os.environ, "PYTHONPATH": str(tmp_path)},
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    ).stdout.split()
    real = subprocess.run(
        [sys.executable, "-c", "import time; print(time.time())"],
        capture_output=True,
        text=True,
        check=True,
        timeout=60,
    ).stdout

    for text in told[:4]:
        assert abs(float(text) - float(real) - OTHER_DAY_S) < 60
    assert int(told[4]) >= 2027


def test_a_difference_is_found_and_shown() -> None:
    one, other = {"a": b"same", "b": b"left", "c": b"1"}, {"a": b"same", "b": b"leaf"}

    assert list(differences(one, other)) == [
        "b from byte 2 on: b'left' / b'leaf'",
        "c is in one of them only",
    ]


def test_the_data_page_carries_the_checksum_of_every_input_and_the_version(
    example_site: Path,
) -> None:
    """By which anybody can tell what a site was made of, and by what."""
    page = (example_site.parent / "data.html").read_text(encoding="utf-8")
    shown = [
        (path, hashlib.sha256(path.read_bytes()).hexdigest() in page)
        for path in sorted((ROOT / "example_campaign").rglob("*"))
        if path.suffix in {".csv", ".jsonl", ".gpx", ".jpg", ".heic", ".yaml", ".txt", ".data"}
    ]

    assert len(shown) > 20
    assert [path.name for path, is_shown in shown if not is_shown] == []
    assert f"reportgen {reportgen.__version__}" in page
