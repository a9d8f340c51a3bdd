"""The least that a report of a campaign costs with the same tools: the floor of the timing.

A process of its own: bare MkDocs on the pages as Markdown, pandas reading the logs and writing the
tables of the site, Pillow decoding and shrinking the photos on all cores. It computes nothing,
draws nothing and checks nothing.
"""

from __future__ import annotations

import argparse
import io
import time
from collections.abc import Callable
from concurrent.futures import ThreadPoolExecutor
from pathlib import Path

WIDTHS_PX = (1600, 960, 560)


def main() -> None:
    """Do it all once and print the seconds of each part."""
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("campaign", type=Path)
    arguments.add_argument("docs", type=Path, help="Markdown and downloads of the site.")
    arguments.add_argument("site", type=Path, help="Folder to build into.")
    asked = arguments.parse_args()
    _timed("pages", lambda: _pages(asked.docs, asked.site))
    if asked.campaign.name:
        _timed("tables", lambda: _tables(asked.campaign, asked.docs, asked.site))
        _timed("photos", lambda: _photos(asked.campaign, asked.site))


def _timed(name: str, work: Callable[[], None]) -> None:
    start = time.perf_counter()
    work()
    print(f"{name} {time.perf_counter() - start:.3f}")


def _pages(docs: Path, site: Path) -> None:
    from mkdocs.commands.build import build  # noqa: PLC0415 - part of what is timed
    from mkdocs.config import load_config  # noqa: PLC0415

    settings: dict[str, object] = {
        "site_name": "Floor",
        "docs_dir": str(docs),
        "site_dir": str(site),
        "theme": {"name": "material", "font": False},
        "plugins": ["search", "offline"],
        "markdown_extensions": ["attr_list", "md_in_html", "tables", "toc", "admonition"],
        "use_directory_urls": False,
    }
    config = load_config(io.BytesIO(b"{}"), **settings)  # type: ignore[arg-type]
    config.plugins.on_startup(command="build", dirty=False)
    build(config)
    config.plugins.on_shutdown()


def _tables(campaign: Path, docs: Path, site: Path) -> None:
    import pandas as pd  # noqa: PLC0415 - part of what is timed

    for log in sorted((campaign / "logs").glob("*.csv")):
        pd.read_csv(log, parse_dates=["time"])
    # What is written is what the site offers, read beforehand outside of the clock's parts below.
    for table in sorted((docs / "data").glob("*.csv")):
        frame = pd.read_pickle(table.with_suffix(".pickle"))
        frame.to_csv(site / f"{table.stem}.csv", index=False)
        if table.stem == "receptions" and (docs / "data" / "receptions.geojson").exists():
            frame.to_json(site / "receptions.json", orient="records")


def _photos(campaign: Path, site: Path) -> None:
    with ThreadPoolExecutor() as pool:
        list(pool.map(lambda path: _photo(path, site), sorted((campaign / "photos").glob("*.jpg"))))


def _photo(path: Path, site: Path) -> None:
    from PIL import Image  # noqa: PLC0415 - part of what is timed

    with Image.open(path) as image:
        image.thumbnail((WIDTHS_PX[0], 3 * WIDTHS_PX[0]), Image.Resampling.LANCZOS)
        for width in WIDTHS_PX:
            smaller = image.copy()
            smaller.thumbnail((width, 3 * width), Image.Resampling.LANCZOS)
            smaller.save(site / f"{path.stem}-{width}.jpg", quality=82, progressive=True)


if __name__ == "__main__":
    main()
