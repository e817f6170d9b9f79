"""What makes pilots quick says the same as what it stands in for."""

from collections.abc import Callable
from functools import wraps
from inspect import signature
from typing import Any

import pytest

from tests.ui.quick_pilots import count_parameters


class _Taking:
    def none(self) -> None: ...

    @staticmethod
    def one(event: object) -> None: ...


def _some(first: int, /, second: int = 2, *, third: int = 3) -> int:
    return first + second + third


def _any(*many: object, **named: object) -> None: ...


@wraps(_some)
def _wrapped(*many: Any) -> int:
    return _some(*many)


@pytest.mark.parametrize(
    "func",
    [_some, _any, _wrapped, _Taking.none, _Taking.one, _Taking().none, _Taking, lambda: None, lambda a, b=1: (a, b)],
)
def test_a_callback_takes_as_many_as_the_standard_library_says(func: Callable[..., Any]) -> None:
    assert count_parameters(func) == len(signature(func).parameters)
