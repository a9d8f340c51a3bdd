"""Makes every figure of a campaign, once."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass

import pandas as pd

from reportgen.match.join import Joined
from reportgen.results.airtime import airtime_figures, sampling_figures
from reportgen.results.budgets import budget_figures
from reportgen.results.camera_clocks import camera_figures
from reportgen.results.cells import cells_table, margin_columns
from reportgen.results.clock_shift import clock_figures
from reportgen.results.comparisons import Compared, comparison_figures, comparisons
from reportgen.results.figure import Figure, FigureBook
from reportgen.results.ground_delivery import campaign_ground_figures, ground_figures
from reportgen.results.headline import account_figures, headline_figures
from reportgen.results.heard_levels import HeardLevels, heard_levels
from reportgen.results.law import law_figures
from reportgen.results.link import with_link_columns
from reportgen.results.look_alikes import look_alike_figures
from reportgen.results.losses import loss_figures
from reportgen.results.memo import Memo, work_anew
from reportgen.results.others import other_figures
from reportgen.results.path_interval import with_path_column
from reportgen.results.photos import photo_figures
from reportgen.results.safety import safety_figures
from reportgen.results.sent_account import sent_account_figures
from reportgen.results.sent_frames import SentFrames, heard_at_home
from reportgen.results.setup import setup_figures
from reportgen.results.thin_ground import thin_figures
from reportgen.results.walker import walker_figures
from reportgen.results.walks import WalkResult, walk_figures, walk_results


@dataclass(frozen=True, slots=True, kw_only=True)
class Results:
    """What the pages are made of: the joined campaign, its walks, and every figure.

    `cells` has the columns of `reportgen.model.columns.CELLS`; `margin_columns` says by station
    what its margin is.
    """

    joined: Joined
    walks: tuple[WalkResult, ...]
    compared: Compared
    cells: pd.DataFrame
    margin_columns: Mapping[str, str]
    figures: FigureBook
    heard_levels: HeardLevels


def assemble(joined: Joined, memo: Memo = work_anew) -> Results:
    """Compute all figures of a joined campaign; `memo` may keep the costly ones."""
    joined = with_path_column(with_link_columns(joined))
    walks = walk_results(joined)
    sent = SentFrames(joined, heard_at_home(joined))
    compared = comparisons(joined, walks, sent)
    margins = margin_columns(joined)
    cells = cells_table(joined, walks, margins)
    figures = FigureBook.of(
        (*_figures(joined, walks, compared, sent, memo), *thin_figures(joined, cells))
    )
    return Results(
        joined=joined,
        walks=walks,
        compared=compared,
        cells=cells,
        margin_columns=margins,
        figures=figures,
        heard_levels=heard_levels(joined.receptions),
    )


def _figures(
    joined: Joined,
    walks: tuple[WalkResult, ...],
    compared: Compared,
    sent: SentFrames,
    memo: Memo,
) -> Iterator[Figure]:
    yield from headline_figures(joined, walks)
    for walk in walks:
        yield from walk_figures(walk, joined)
        yield from sent_account_figures(walk, joined)
        yield from loss_figures(walk, joined)
        yield from sampling_figures(walk, joined.campaign)
        yield from walker_figures(walk, joined)
        yield from look_alike_figures(walk, joined)
        yield from ground_figures(walk, joined)
        yield from clock_figures(walk, joined)
    yield from campaign_ground_figures(joined, walks)
    yield from law_figures(joined, walks, sent, memo)
    yield from comparison_figures(compared.items)
    for photo in joined.photos:
        yield from photo_figures(photo, joined)
    yield from camera_figures(joined)
    yield from other_figures(joined)
    yield from setup_figures(joined.campaign)
    yield from airtime_figures(joined.campaign)
    yield from budget_figures(joined, sent.heard)
    yield from safety_figures(joined.campaign)
    yield from account_figures(joined.accounts)
