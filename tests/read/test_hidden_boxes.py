"""Parts of photos that the author covers are gone from every size."""

from __future__ import annotations

from pathlib import Path

import numpy as np
import pytest
from PIL import Image

from reportgen.errors import CampaignError
from reportgen.model.photo import HiddenBox
from reportgen.read.folder import read_campaign
from reportgen.read.pictures import published_photo
from reportgen.read.reading import CampaignFile
from tests.read.description_text import described
from tests.read.made_photos import corners, jpeg_bytes
from tests.read.test_folder import photo_folder

TOP_LEFT = HiddenBox(name="plate", left_ratio=0, top_ratio=0, right_ratio=0.25, bottom_ratio=0.25)
UPRIGHT_FROM = {1: None, 3: Image.Transpose.ROTATE_180, 6: Image.Transpose.ROTATE_90,
                8: Image.Transpose.ROTATE_270}  # fmt: skip


def sizes(folder: Path, orientation: int, *boxes: HiddenBox) -> list[Image.Image]:
    """Return the published sizes of a photo with a red and a blue corner above."""
    upright = corners((400, 200))
    turn = UPRIGHT_FROM[orientation]
    stored = upright if turn is None else upright.transpose(turn)
    exif = Image.Exif()
    exif[274] = orientation
    path = folder / "x.jpg"
    path.write_bytes(jpeg_bytes(stored, exif=exif, quality=95))
    published, problems = published_photo(
        CampaignFile(path, "x.jpg"), "x", widths=(100, 200, 400), hidden=boxes
    )
    assert problems == ()
    files = []
    for picture in published.pictures:
        (folder / picture.name).write_bytes(picture.content)
        files.append(Image.open(folder / picture.name).convert("RGB"))
    return files


@pytest.mark.parametrize("orientation", UPRIGHT_FROM)
def test_no_size_keeps_a_pixel_of_what_is_covered(tmp_path: Path, orientation: int) -> None:
    """Boxes are of the picture as it is seen, however the camera stored it."""
    pictures = sizes(tmp_path, orientation, TOP_LEFT)

    assert [picture.width for picture in pictures] == [100, 200, 400]
    for picture in pictures:
        pixels = np.asarray(picture, dtype=int)
        width, height = picture.size
        covered = pixels[: height // 4 - 1, : width // 4 - 1]
        assert np.abs(covered - 128).max() <= 12
        is_red = (pixels[:, :, 0] - pixels[:, :, 2]) > 60
        assert not is_red.any()
        is_blue = (pixels[:, :, 2] - pixels[:, :, 0]) > 100
        assert is_blue[: height // 8, -width // 8 :].all()


def test_without_a_box_the_corner_is_red(tmp_path: Path) -> None:
    """The test above can fail."""
    for picture in sizes(tmp_path, 1):
        pixels = np.asarray(picture, dtype=int)
        assert ((pixels[:, :, 0] - pixels[:, :, 2]) > 60).any()


def boxed(folder: Path, box: str) -> Path:
    said = f"photos: {{files: {{a.jpg: {{hide: {{plate: {box}}}}}}}}}\nwalks:"
    return photo_folder(described(folder, walks=said), "a.jpg")


def test_a_box_is_read_with_its_name(tmp_path: Path) -> None:
    campaign = read_campaign(boxed(tmp_path, "[0, 0, 0.25, 0.25]"))

    assert campaign.photos[0].hidden == (TOP_LEFT,)


@pytest.mark.parametrize(
    ("box", "code", "found"),
    [
        ("[0.2, 0, 0.2, 0.5]", "description/hidden-box", "holds nothing"),
        ("[0.2, 0.6, 0.4, 0.5]", "description/hidden-box", "holds nothing"),
        ("[0.2, 0, 1.2, 0.5]", "description/value", "1.2"),
        ("[-0.1, 0, 0.2, 0.5]", "description/value", "-0.1"),
        ("[0.1, 0, 0.2]", "description/value", ""),
    ],
)
def test_a_box_that_covers_nothing_stops_the_work(
    tmp_path: Path, box: str, code: str, found: str
) -> None:
    """Ignored, the plate would be published."""
    with pytest.raises(CampaignError) as caught:
        read_campaign(boxed(tmp_path, box))

    problem = caught.value.problems[0]
    assert problem.code == code
    assert found in problem.found
    assert problem.where.path == "campaign.yaml"
    assert problem.where.line > 1
