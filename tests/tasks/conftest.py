"""What the tests of the tasks share."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.tasks.worked_site import WorkedSite, worked_site


@pytest.fixture
def here(tmp_path: Path) -> Iterator[WorkedSite]:
    """A low-risk site with a kitchen, a person and an instrument."""
    with worked_site(tmp_path) as site:
        yield site
