"""Fuzzes one reader: ``python -m tests.fuzz.run KIND --seconds N [--work FOLDER]``.

Prints libFuzzer's own account. Inputs that break a promise, or take more than five seconds of
the processor, are written to ``WORK/KIND/found``; ends with 1 where there are any. A process
above 1.5 GB, or an input that never ends, is stopped by libFuzzer, which keeps that input in the
same folder.
"""

from __future__ import annotations

import argparse
import hashlib
import multiprocessing
import sys
import tempfile
import time
import traceback
import warnings
from pathlib import Path

from tests.fuzz.kinds import KINDS, Check, Kind

SLOW_S = 5.0
LONGEST_BYTES = 4096


class Watch:
    """Runs a check on one input after the other and keeps those that break it, one per place."""

    def __init__(self, check: Check, scratch: Path, found: Path) -> None:
        self._check = check
        self._scratch = scratch
        self._found = found
        self._kept: set[str] = set()

    def one(self, content: bytes) -> None:
        """Check one input."""
        start = time.process_time()
        try:
            self._check(content, self._scratch)
        except Exception as error:  # whatever comes out is the finding
            self._keep(_place_of(error), content)
        took_s = time.process_time() - start
        if took_s > SLOW_S:
            self._keep(f"{took_s:.0f} s", content)

    def _keep(self, what: str, content: bytes) -> None:
        if what in self._kept:
            return
        self._kept.add(what)
        path = self._found / hashlib.sha256(content).hexdigest()[:12]
        path.write_bytes(content)
        path.with_suffix(".txt").write_text(traceback.format_exc(), encoding="utf-8")
        print(f"FOUND {what}: {path}", flush=True)


def _place_of(error: Exception) -> str:
    frame = traceback.extract_tb(error.__traceback__)[-1]
    return f"{type(error).__name__} at {Path(frame.filename).name}:{frame.lineno}"


def main() -> None:
    """Parse the arguments and fuzz."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("kind", choices=KINDS)
    parser.add_argument("--seconds", type=int, default=60)
    parser.add_argument("--work", type=Path, help="keeps the corpus from run to run")
    asked = parser.parse_args()
    work = (asked.work or Path(tempfile.mkdtemp(prefix="fuzz-"))) / asked.kind
    # libFuzzer ends the process that it runs in; this one is left to say what was found.
    fuzzing = multiprocessing.Process(target=_fuzz, args=(KINDS[asked.kind], asked.seconds, work))
    fuzzing.start()
    fuzzing.join()
    found = [path for path in (work / "found").glob("*") if path.suffix != ".txt"]
    print(f"{asked.kind}: {len(found)} findings in {work / 'found'}")
    sys.exit(1 if found or fuzzing.exitcode else 0)


def _fuzz(kind: Kind, seconds: int, work: Path) -> None:
    import atheris  # noqa: PLC0415 - an extra of its own; the seeds are replayed without it

    with atheris.instrument_imports(include=list(kind.instrumented)):
        check = kind.check()
    corpus, found, scratch = (work / name for name in ("corpus", "found", "scratch"))
    for folder in (corpus, found, scratch):
        folder.mkdir(parents=True, exist_ok=True)
    for name, content in kind.seeds().items():
        (corpus / f"seed-{name}").write_bytes(content)
    watch = Watch(check, scratch, found)
    warnings.simplefilter("error")  # as the tests have it: a reader's user would see them
    options = (
        f"-max_total_time={seconds}",
        f"-max_len={LONGEST_BYTES}",
        "-timeout=120",
        "-rss_limit_mb=1500",
        f"-artifact_prefix={found}/",
        "-print_final_stats=1",
        f"-dict={_dictionary(kind, work)}",
    )
    atheris.Setup([sys.argv[0], *options, str(corpus)], watch.one)
    atheris.Fuzz()


def _dictionary(kind: Kind, work: Path) -> Path:
    """Write the words as libFuzzer takes them: quoted, all else as hexadecimal."""
    path = work / "words.dict"
    lines = ('"' + "".join(f"\\x{byte:02x}" for byte in word.encode()) + '"' for word in kind.words)
    path.write_text("\n".join(lines) + "\n", encoding="ascii")
    return path


if __name__ == "__main__":
    main()
