"""Path loss out of received levels, against worked links over free space."""

from __future__ import annotations

from pathlib import Path

import pytest

from reportgen.compute.decibel import dbm_from_watts
from reportgen.compute.measured_loss import (
    basic_transmission_loss_db,
    excess_loss_db,
    is_too_strong,
    least_plausible_loss_db,
)
from tests.published.reference_rows import ReferenceRow, reference_rows


@pytest.mark.parametrize(("away_m", "answer_dbm"), [(100.0, -24.5), (10_000.0, -64.5)])
def test_textbook_link_loses_what_free_space_does(away_m: float, answer_dbm: float) -> None:
    """Rappaport, Wireless Communications, 2nd ed., section 4.2 example: 50 W at 900 MHz.

    Unity gains, received -24.5 dBm at 100 m and -64.5 dBm at 10 km: nothing in excess, and by
    Rec. ITU-R P.341 the loss is what was radiated less what was received.
    """
    loss_db = basic_transmission_loss_db(
        answer_dbm, eirp_dbm=dbm_from_watts(50.0), receive_gain_dbi=0.0, receive_loss_db=0.0
    )

    assert excess_loss_db(loss_db, away_m, 900e6) == pytest.approx(0.0, abs=0.05)
    least_db = least_plausible_loss_db(away_m, frequency_hz=900e6)
    assert not is_too_strong(loss_db, least_db)
    assert is_too_strong(loss_db - 10.0, least_db)


@pytest.mark.shared
def test_all_reference_links_have_no_excess(shared_folder: Path) -> None:
    """Rows FRI and LB-2: received levels over free space; each excess is zero within tolerance."""

    def number(row: ReferenceRow, name: str) -> float:
        return float(row.inputs.get(name, "0"))

    def excess_db(row: ReferenceRow) -> float:
        radiated_dbm = number(row, "EIRP_dBm") or number(row, "Pt_dBm") + number(row, "Gt_dBi")
        if "Pt_W" in row.inputs:
            radiated_dbm = float(dbm_from_watts(row.number("Pt_W"))) + number(row, "Gt_dBi")
        loss_db = basic_transmission_loss_db(
            float(row.expected),
            eirp_dbm=radiated_dbm,
            receive_gain_dbi=number(row, "Gr_dBi") + number(row, "Grx_dBi"),
            receive_loss_db=0.0,
        )
        away_m = number(row, "d_m") or number(row, "d_km") * 1e3
        return float(excess_loss_db(loss_db, away_m, row.number("f_MHz") * 1e6))

    rows = reference_rows(shared_folder, r"FRI-\d|LB-2")
    allowed_db = [float(row.tolerance.removeprefix("abs ")) for row in rows]

    assert len(rows) == 5
    wrong = [
        row.key for row, most in zip(rows, allowed_db, strict=True) if abs(excess_db(row)) > most
    ]
    assert wrong == []
