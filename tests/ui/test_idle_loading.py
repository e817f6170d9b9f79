"""Other screens are imported while nobody types, one at a look and in a thread; then what they left is searched."""

import gc
from collections.abc import Callable, Iterator

import pytest

from appreg.ui.shell import idle_collecting, key_map
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.idle_collecting import IdleCollecting
from appreg.ui.shell.idle_loading import IdleLoading
from appreg.ui.shell.terminal_app import TerminalApp


async def test_screens_are_imported_one_at_a_look_and_only_while_nobody_types(monkeypatch: pytest.MonkeyPatch) -> None:
    now, imported, done = [0.0], [], []

    def screens() -> Iterator[type[CommandScreen[None]]]:
        for number in range(3):
            imported.append(number)
            yield CommandScreen

    class Clock:
        @staticmethod
        def monotonic() -> float:
            return now[0]

    monkeypatch.setattr(idle_collecting, "time", Clock)
    monkeypatch.setattr(key_map, "screen_classes", screens)
    monkeypatch.setattr(key_map, "every_command", lambda: done.append("commands"))
    monkeypatch.setattr(gc, "collect", lambda: done.append("searched"))
    monkeypatch.setattr(gc, "freeze", lambda: done.append("left out"))
    monkeypatch.setattr(gc, "get_count", lambda: (40_000, 0, 0))
    monkeypatch.setattr(gc, "get_objects", list)
    aside: list[Callable[[], None]] = []
    collecting, loading = IdleCollecting(), IdleLoading(aside.append)
    done.clear()

    def look() -> None:
        TerminalApp._while_nobody_types(collecting, loading)

    collecting.key_came()
    now[0] = 5.0
    look()
    collecting.key_done()
    look()
    assert (aside, done) == ([], []), "what the key set going was done just now"
    now[0] = 10.0
    for expected in (1, 2, 3):
        look()
        look()
        assert len(aside) == 1, "one at a time"
        assert len(imported) == expected - 1, "the screen's thread imports nothing"
        aside.pop()()
        assert len(imported) == expected
        assert done == ["searched", "left out"]
        done.clear()
    look()
    done.clear()
    aside.pop()()
    assert done == ["commands"]
    assert not loading.is_done
    look()
    assert loading.is_done
    assert done == ["commands", "searched", "left out"]
    look()
    assert done[3:] == ["searched"]
    assert (len(imported), aside) == (3, [])
    collecting.end()


def test_a_screen_that_cannot_be_imported_keeps_no_other_from_it(monkeypatch: pytest.MonkeyPatch) -> None:
    aside: list[Callable[[], None]] = []

    def screens() -> Iterator[type[CommandScreen[None]]]:
        raise ImportError("no such module")
        yield CommandScreen

    monkeypatch.setattr(key_map, "screen_classes", screens)
    monkeypatch.setattr(gc, "collect", int)
    monkeypatch.setattr(gc, "freeze", int)
    loading = IdleLoading(aside.append)
    loading.load_next()
    with pytest.raises(ImportError):
        aside.pop()()
    loading.load_next()
    assert len(aside) == 1
