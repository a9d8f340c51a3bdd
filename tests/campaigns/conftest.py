"""Whole campaigns of real files: our descriptions beside copies of the data."""

from __future__ import annotations

import shutil
from pathlib import Path

import pytest

from reportgen.match.join import join
from reportgen.read.folder import read_campaign
from reportgen.results.assemble import Results
from tests.made_results import assembled

DESCRIPTIONS = Path(__file__).resolve().parent.parent / "data" / "campaigns"


def laid_out(folder: Path, description: str, files: dict[str, Path]) -> Path:
    """Return a campaign folder made of a description and copies of files."""
    folder.mkdir()
    shutil.copyfile(DESCRIPTIONS / description, folder / "campaign.yaml")
    for name, source in files.items():
        target = folder / name
        target.parent.mkdir(parents=True, exist_ok=True)
        shutil.copyfile(source, target)
    return folder


@pytest.fixture(scope="session")
def lyon_folder(tmp_path_factory: pytest.TempPathFactory, real_inputs: Path) -> Path:
    data = real_inputs / "lora" / "lyon-bike"
    return laid_out(
        tmp_path_factory.mktemp("lyon") / "campaign",
        "lyon-bike.yaml",
        {path.name: path for path in data.iterdir()},
    )


@pytest.fixture(scope="session")
def pyrenees_folder(tmp_path_factory: pytest.TempPathFactory, real_inputs: Path) -> Path:
    data = real_inputs / "walks" / "pyrenees"
    photos = {f"photos/{path.name}": path for path in data.glob("*.jpg")}
    return laid_out(
        tmp_path_factory.mktemp("pyrenees") / "campaign",
        "pyrenees.yaml",
        {"track.gpx": data / "track.gpx", **photos},
    )


@pytest.fixture(scope="session")
def lyon(lyon_folder: Path) -> Results:
    return assembled(join(read_campaign(lyon_folder)))


@pytest.fixture(scope="session")
def pyrenees(pyrenees_folder: Path) -> Results:
    return assembled(join(read_campaign(pyrenees_folder)))
