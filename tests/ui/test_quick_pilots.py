"""What makes pilots quick says the same as what it stands in for."""

import asyncio
from collections.abc import Callable
from functools import wraps
from inspect import signature
from typing import Any

import pytest
from rich.segment import Segment
from textual.app import App
from textual.reactive import reactive
from textual.strip import Strip
from textual.widget import Widget
from textual.worker import Worker, WorkerFailed

from tests.ui.quick_pilots import count_parameters, rule_of


def _some(first: int, /, second: int = 2, *, third: int = 3) -> int:
    return first + second + third


class _Taking:
    def none(self) -> None: ...

    @wraps(_some)
    def wrapped(self, *many: Any) -> int:
        return _some(*many)

    @staticmethod
    def one(event: object) -> None: ...


def _any(*many: object, **named: object) -> None: ...


@wraps(_some)
def _wrapped(*many: Any) -> int:
    return _some(*many)


def _noted(event: object) -> None: ...


vars(_noted)["_textual_on"] = []


@pytest.mark.parametrize(
    "func",
    [
        _some,
        _any,
        _wrapped,
        _Taking.none,
        _Taking.one,
        _Taking().none,
        _noted,
        _Taking().wrapped,
        _Taking,
        lambda: None,
        lambda a, b=1: (a, b),
    ],
)
def test_a_callback_takes_as_many_as_the_standard_library_says(func: Callable[..., Any]) -> None:
    assert count_parameters(func) == len(signature(func).parameters)


class _Counted(Widget):
    letters: reactive[str] = reactive("ab")
    length: reactive[int] = reactive(0)
    given: reactive[list[int]] = reactive(list)

    def compute_length(self) -> int:
        return len(self.letters)


class _Doubled(_Counted):
    def compute_letters(self) -> str:
        return "doubled"


def test_what_a_widget_keeps_is_read_and_what_is_computed_is_computed_each_time() -> None:
    counted = _Counted()
    assert isinstance(counted.given, list)
    assert counted.given is counted.given
    assert (counted.letters, counted.length, _Doubled().letters) == ("ab", 2, "doubled")
    counted.set_reactive(_Counted.letters, "abc")
    assert (counted.letters, counted.length) == ("abc", 3)
    assert isinstance(vars(_Counted)["letters"].__get__(None, _Counted), reactive)


def test_what_a_widget_was_given_itself_goes_before_what_a_style_sheet_gives_it() -> None:
    styles = Widget().styles
    assert (rule_of(styles, "width"), rule_of(styles, "width", 1)) == (None, 1)
    styles.base.width = 3
    assert (rule_of(styles, "width"), str(styles.width)) == (styles.base.width, "3")
    styles.width = 4
    assert (rule_of(styles, "width"), str(styles.width)) == (styles.inline.width, "4")


def test_a_line_keeps_in_its_caches_what_textuals_own_keeps() -> None:
    line = Strip([Segment("Kettle "), Segment("HR-001")])
    assert [part.text for part in line.divide([3, 13])] == ["Ket", "tle HR-001"]
    assert line.crop(0, 6) is line.crop(0, 6)
    assert line.divide([3, 13])[0] is line.divide([3, 13])[0]
    assert (line.text, line.cell_length, line.link_ids) == ("Kettle HR-001", 13, set())
    assert not hasattr(line, "_no_such_cache")


async def _goes_on() -> None:
    await asyncio.sleep(60)


async def _ends() -> None:
    await asyncio.sleep(0.01)


async def _fails() -> None:
    raise ValueError("it went wrong")


async def test_work_that_is_called_off_has_ended_and_work_that_failed_is_told() -> None:
    app = App[None]()
    async with app.run_test():
        called_off: Worker[None] = app.run_worker(_goes_on)
        other: Worker[None] = app.run_worker(_ends)
        app.call_later(called_off.cancel)
        await app.workers.wait_for_complete([called_off, other])
        assert other.is_finished
        failed: Worker[None] = app.run_worker(_fails, exit_on_error=False)
        with pytest.raises(WorkerFailed, match="it went wrong"):
            await app.workers.wait_for_complete([failed, other])
