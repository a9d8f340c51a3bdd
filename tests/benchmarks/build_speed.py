"""How long builds take, beside the least that they could: ratios first, seconds after.

``python -m tests.benchmarks.build_speed small large huge --runs 3`` makes the seeded campaigns,
builds each as a process of its own and runs the floor (`tests.benchmarks.floor`) beside it, in
turns, so that both see the same machine. The least of the runs counts.

- first build: nothing is kept, fits included
- fits: what the first build takes longer than one for which the fits are kept
- fits aside: a build for which the fits are kept, and nothing else
- after a sentence: a build after one sentence of the conclusions was edited, everything kept
- memory: the most that the first build and its copies held together, looked at twice a second

The campaign called sparse is as the huge one with a hundredth of its receptions: it shows whether
one costs more where there are many.
"""

from __future__ import annotations

import argparse
import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterable
from dataclasses import dataclass
from pathlib import Path

import pandas as pd

from reportgen.cli.chain import made_content
from reportgen.cli.kept import FOLDER, Kept
from reportgen.pages.shipped import shipped_folder
from reportgen.site.docs_tree import write_docs_tree
from tests.benchmarks import memory
from tests.benchmarks.seeded_campaign import SIZES, write_campaign

FITS_BYTES = 20_000
"""A kept fit is smaller, kept pictures and pages are larger."""
GOALS = {"small": 1.3, "large": 1.3, "huge": 3.0}


@dataclass(frozen=True, slots=True, kw_only=True)
class Run:
    """A process that was timed, and the most that it and its copies held together. [s], [MB]"""

    duration_s: float
    memory_mb: float
    printed: str


def timed(arguments: Iterable[object], kept: Path | None = None) -> Run:
    """Run a process and return how long it took and the most memory that it held."""
    surroundings = os.environ | {FOLDER: "" if kept is None else str(kept)}
    start = time.perf_counter()
    process = subprocess.Popen(
        [sys.executable, *map(str, arguments)],
        env=surroundings, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True,
    )  # fmt: skip
    assert process.stdout is not None
    with memory.watched(process.pid) as held:
        printed = process.stdout.read()
        process.wait()
        duration_s = time.perf_counter() - start
    if process.returncode != 0:
        raise SystemExit(
            f"{' '.join(map(str, arguments))} ended with {process.returncode}: {printed}"
        )
    return Run(duration_s=duration_s, memory_mb=held.most_mb, printed=printed)


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """The least of several runs of each kind."""

    name: str
    first: Run
    fits_kept: Run
    after_sentence: Run
    floor: Run
    bare: Run
    heaviest_page_mb: float

    @property
    def cells(self) -> tuple[str, ...]:
        """What the table says."""
        aside_s, floor_s = self.fits_kept.duration_s, self.floor.duration_s
        more_s = self.after_sentence.duration_s - self.bare.duration_s
        return (
            self.name,
            f"{aside_s / floor_s:.2f}",
            f"{GOALS[self.name]:g}" if self.name in GOALS else "",
            f"{aside_s:.1f}",
            f"{floor_s:.1f}",
            f"{1000 * aside_s / SIZES[self.name].receptions:.2f}",
            f"{self.first.duration_s - aside_s:.1f}",
            f"{self.after_sentence.duration_s:.1f}",
            f"{self.bare.duration_s:.1f}",
            f"{more_s:+.1f}",
            f"{self.first.memory_mb:.0f}",
            f"{self.heaviest_page_mb:.1f}",
        )


HEADINGS = (
    "campaign", "fits aside / floor", "goal", "fits aside, s", "floor, s", "ms per reception",
    "fits, s", "after a sentence, s", "bare MkDocs, s", "more, s", "memory, MB",
    "heaviest page, MB",
)  # fmt: skip


def measured(name: str, folder: Path, runs: int) -> Measured:
    """Return what a seeded campaign costs."""
    campaign, site, kept = folder / name, folder / f"{name}-site", folder / f"{name}-kept"
    if not campaign.exists():
        write_campaign(campaign, SIZES[name])
    docs = folder / f"{name}-docs"
    if not docs.exists():
        timed(["-m", "tests.benchmarks.build_speed", "--docs", docs, campaign])
    build = ["-m", "reportgen", "build", campaign, "--out", site]
    floor = ["-m", "tests.benchmarks.floor"]
    found: dict[str, list[Run]] = {
        key: [] for key in ("first", "fits_kept", "after_sentence", "floor", "bare")
    }
    for number in range(runs):
        shutil.rmtree(kept, ignore_errors=True)
        found["floor"].append(timed([*floor, campaign, docs, _empty(folder)]))
        found["first"].append(timed(build, kept))
        for path in kept.iterdir():
            if path.stat().st_size > FITS_BYTES:
                path.unlink()
        found["fits_kept"].append(timed(build, kept))
        _edit(campaign / "conclusions.md", number)
        found["bare"].append(timed([*floor, "", docs, _empty(folder)]))
        found["after_sentence"].append(timed(build, kept))
    least = {key: min(each, key=lambda run: run.duration_s) for key, each in found.items()}
    heaviest = max(path.stat().st_size for path in site.rglob("*.html")) / 1e6
    return Measured(name=name, heaviest_page_mb=heaviest, **least)


def _empty(folder: Path) -> Path:
    site = folder / "floor-site"
    shutil.rmtree(site, ignore_errors=True)
    site.mkdir()
    return site


def _edit(conclusions: Path, number: int) -> None:
    text = conclusions.read_text(encoding="utf-8")
    conclusions.write_text(f"{text}\nEdited for the {number + 1}. time.\n", encoding="utf-8")


def write_docs(campaign: Path, docs: Path) -> None:
    """Write the pages of a site as whole Markdown, and its tables ready to be written again."""
    content = made_content(campaign, Kept(None), lambda _: None).content
    template = shipped_folder("site_template")
    write_docs_tree(content, docs, template=template)
    for page in content.pages:
        text = f"---\ntitle: {page.title!r}\n---\n\n{page.markdown}"
        (docs / page.path).write_text(text, encoding="utf-8")
    for table in (docs / "data").glob("*.csv"):
        pd.read_csv(table, low_memory=False).to_pickle(table.with_suffix(".pickle"))


def main() -> None:
    """Print the table of the campaigns asked for."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("sizes", nargs="*", default=["small", "large"])
    arguments.add_argument("--runs", type=int, default=3)
    arguments.add_argument("--folder", type=Path, help="Where campaigns are kept for next time.")
    arguments.add_argument("--docs", type=Path, help=argparse.SUPPRESS)
    asked = arguments.parse_args()
    if asked.docs is not None:
        write_docs(Path(asked.sizes[0]), asked.docs)
        return
    with tempfile.TemporaryDirectory() as lent:
        folder = asked.folder or Path(lent)
        folder.mkdir(parents=True, exist_ok=True)
        print(f"| {' | '.join(HEADINGS)} |\n|---|{'--:|' * (len(HEADINGS) - 1)}")
        for name in asked.sizes:
            print(f"| {' | '.join(measured(name, folder, asked.runs).cells)} |", flush=True)


if __name__ == "__main__":
    main()
