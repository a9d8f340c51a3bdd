from __future__ import annotations

import pytest

from tests.generators.schema_files import EXAMPLE, FILES


@pytest.mark.parametrize("name", FILES)
def test_the_written_format_is_that_of_the_program(name: str) -> None:
    """Run ``python -m tests.generators.schema_files`` after a change of the format."""
    assert (EXAMPLE / name).read_text("utf-8") == FILES[name]()
