"""The terminals that every screen is pictured on."""

from typing import Final

import pytest

SIZES: Final = pytest.mark.parametrize("size", [(80, 24), (120, 40), (200, 60)], ids=["80x24", "120x40", "200x60"])
