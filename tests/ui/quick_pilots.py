"""What makes pilots quick without changing what they see.

Style sheets are parsed once, only busy widgets are waited for, a frame is drawn when the pilot waits, not between, and
what a new callback takes is counted from its code.
"""

import asyncio
import inspect
from collections.abc import Callable, Iterable, Iterator
from types import FunctionType, MethodType
from typing import Any, Final, cast

import pytest
from rich.segment import Segment
from textual import _callback
from textual.app import App
from textual.cache import FIFOCache
from textual.css.model import RuleSet
from textual.css.styles import RenderStyles
from textual.css.stylesheet import Stylesheet
from textual.message_pump import MessagePump
from textual.pilot import Pilot, WaitForScreenTimeout
from textual.reactive import Reactive
from textual.screen import Screen
from textual.strip import Strip
from textual.worker import Worker, WorkerCancelled
from textual.worker_manager import WorkerManager

_REFRESH: Final = Screen._compositor_refresh
_COUNT: Final = _callback._count_parameters
_VALUE: Final = Reactive.__get__
_CACHES: Final = {
    name: cache._maxsize for name in Strip.__slots__ if isinstance(cache := getattr(Strip(()), name), FIFOCache)
}
"""What a line of the screen keeps parts of itself in, and how many each holds."""
_COMPUTES: Final[dict[tuple[type, str], bool]] = {}
_TELL_ANOTHER: Final = frozenset({"__wrapped__", "__signature__"})
_TAKES_MORE: Final = inspect.CO_VARARGS | inspect.CO_VARKEYWORDS


@pytest.fixture(scope="session", autouse=True)
def _styles_read_once() -> Iterator[None]:
    """The same style sheet with the same colours is parsed once, and not by every app and for every turn of the theme."""
    parse, parsed = Stylesheet._parse_rules, dict[Any, Any]()

    def parse_once(sheet: Stylesheet, css: str, read_from: Any, *rest: Any, **named: Any) -> Any:
        key = (css, read_from, rest, *sorted(named.items()), *sorted(sheet._variables.items()))
        if key not in parsed:
            parsed[key] = parse(sheet, css, read_from, *rest, **named)
        return parsed[key]

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "_parse_rules", parse_once)
        yield


@pytest.fixture(scope="session", autouse=True)
def _busy_widgets_waited_for() -> Iterator[None]:
    """Textual wakes every widget of the screen at each pause and waits for all; those that wait for a message are at rest."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Pilot, "_wait_for_screen", _wait_until_drawn)
        yield


@pytest.fixture(scope="session", autouse=True)
def _quickly_looked_up() -> Iterator[None]:
    """Textual puts together the whole signature of each new callback, asks each rule of a style sheet which it is, and
    looks four times for what it then reads.
    """
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(_callback, "_count_parameters", count_parameters)
        patch.setattr(RenderStyles, "get_rule", rule_of)
        patch.setattr(Reactive, "__get__", present_value)
        patch.setattr(RuleSet, "__hash__", object.__hash__)  # by identity as before, without a call into Python
        yield


def count_parameters(func: Callable[..., Any]) -> int:
    """What its signature has; of a plain function or method its code tells that as well."""
    plain = func.__func__ if type(func) is MethodType else func
    if type(plain) is not FunctionType or vars(plain).keys() & _TELL_ANOTHER or plain.__code__.co_flags & _TAKES_MORE:
        return _COUNT(func)
    taken = plain.__code__.co_argcount + plain.__code__.co_kwonlyargcount
    return taken if plain is func else taken - 1


def rule_of(styles: RenderStyles, rule_name: str, default: object = None) -> object:
    """What a widget was given itself, or a style sheet gives it."""
    own: Any = styles._inline_styles._rules
    given: Any = styles._base_styles._rules
    return own[rule_name] if rule_name in own else given.get(rule_name, default)


def present_value(reactive: Reactive[Any], of: Any, kind: Any = None) -> Any:
    """What a widget keeps; Textual finds what is still to be made or computed."""
    if of is None or (name := reactive.internal_name) not in vars(of):
        return _VALUE(reactive, of, kind)
    computes = _COMPUTES.get(by := (type(of), reactive.compute_name))
    if computes is None:
        computes = _COMPUTES[by] = hasattr(of, reactive.compute_name)
    return _VALUE(reactive, of, kind) if computes else vars(of)[name]


@pytest.fixture(scope="session", autouse=True)
def _lines_without_what_nobody_asks_of_them() -> Iterator[None]:
    """Each line drawn gets seven caches of its parts, most of which stay empty; here one is made when it is asked for."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Strip, "__init__", _begin)
        patch.setattr(Strip, "__getattr__", _cache_asked_for, raising=False)
        yield


def _begin(strip: Strip, segments: Iterable[Segment], cell_length: int | None = None) -> None:
    strip._segments = list(segments)
    strip._cell_length = cell_length
    strip._render_cache = strip._link_ids = strip._cell_count = None


def _cache_asked_for(strip: Strip, name: str) -> Any:
    if name not in _CACHES:
        raise AttributeError(name)
    setattr(strip, name, made := FIFOCache[Any, Any](_CACHES[name]))
    return made


@pytest.fixture(scope="session", autouse=True)
def _called_off_has_ended() -> Iterator[None]:
    """Work ends with the screen that began it: who waits for it just then has nothing more to wait for."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WorkerManager, "wait_for_complete", _wait_for_all)
        yield


async def _wait_for_all(manager: WorkerManager, workers: Iterable[Worker[Any]] | None = None) -> None:
    waits = [each.wait() for each in (workers or manager)]
    for ended in await asyncio.gather(*waits, return_exceptions=True):
        if isinstance(ended, BaseException) and not isinstance(ended, WorkerCancelled):
            raise ended


def draw_where_the_pilot_waits(patch: pytest.MonkeyPatch) -> None:
    """A test can look only where its pilot waits: what changed until then is laid out at once, and drawn together there."""
    pause = Pilot.pause

    async def pause_and_draw(pilot: Pilot[Any], delay: float | None = None) -> None:
        await pause(pilot, delay)
        draw(pilot.app)

    patch.setattr(Screen, "_compositor_refresh", _put_off)
    patch.setattr(Pilot, "pause", pause_and_draw)


def draw(app: App[Any]) -> bool:
    """Draw what was put off; tell whether there was anything."""
    waits = app.is_running and bool(app._screen_stack) and bool(app.screen._compositor._dirty_regions)
    if waits:
        _REFRESH(app.screen)
    return waits


def _put_off(screen: Screen[Any]) -> None:
    app = screen.app
    if screen is not app.screen or not app.is_headless or "_display" in vars(app):
        _REFRESH(screen)
        return
    screen._dirty_widgets.clear()  # the compositor keeps their regions
    app._update_mouse_over(screen)


async def _wait_until_drawn(pilot: Pilot[Any], timeout: float = 30.0) -> bool:  # noqa: ASYNC109 - as Textual has it
    waited = await _wait_for_the_busy(pilot, timeout)
    if waited and draw(pilot.app):
        return await _wait_for_the_busy(pilot, timeout)  # for what asks for more when it is drawn
    return waited


async def _wait_for_the_busy(pilot: Pilot[Any], timeout: float = 30.0) -> bool:  # noqa: ASYNC109 - as Textual has it
    app = pilot.app
    if not app.is_running or not app._screen_stack:
        return False
    left = 0
    done, failed = asyncio.Event(), cast("asyncio.Event", app._exception_event)

    def one_less() -> None:
        nonlocal left
        left -= 1
        if not left:
            done.set()

    for pump in (app, *app.screen.walk_children(with_self=True)):
        if not _is_at_rest(pump) and pump.call_later(one_less):
            left += 1
    if not left:
        return True
    waiting = [asyncio.create_task(each.wait()) for each in (done, failed)]
    ended, pending = await asyncio.wait(waiting, timeout=timeout, return_when=asyncio.FIRST_COMPLETED)
    for task in pending:
        task.cancel()
    if not ended:
        raise WaitForScreenTimeout("Timed out while waiting for widgets to process pending messages.")
    return not left


def _is_at_rest(pump: MessagePump) -> bool:
    """Tell whether a widget waits for its next message, and nothing is put off until it does."""
    queue: Any = pump._message_queue
    waits = bool(queue.ready_event._waiters)
    return waits and queue.empty() and not pump._next_callbacks
