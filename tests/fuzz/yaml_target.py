"""Any bytes as the description of a campaign: its text, its keys, what they say together."""

from __future__ import annotations

from pathlib import Path

from reportgen.errors import CampaignError
from reportgen.read.description import DESCRIPTION_NAME, read_description
from tests.read.log_files import written
from tests.read.promises import must_be_spelt_out


def check(content: bytes, folder: Path) -> None:
    """Read the bytes as campaign.yaml."""
    written(folder, content, DESCRIPTION_NAME)
    try:
        description, locate = read_description(folder)
    except CampaignError as error:
        must_be_spelt_out(error.problems)
        return
    assert description.walks
    assert locate("walks").line > 0
