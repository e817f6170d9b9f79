"""Other screens are imported while nobody types, one at a look, and before anything is searched for garbage."""

import gc
from collections.abc import Iterator

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
    collecting, loading = IdleCollecting(), IdleLoading()
    done.clear()
    collecting.key_came()
    now[0] = 5.0
    TerminalApp._while_nobody_types(collecting, loading)
    assert imported == []
    collecting.key_done()
    TerminalApp._while_nobody_types(collecting, loading)
    assert imported == [], "what the key set going was done just now"
    now[0] = 10.0
    for expected in (1, 2, 3):
        TerminalApp._while_nobody_types(collecting, loading)
        assert len(imported) == expected
    assert done == []
    TerminalApp._while_nobody_types(collecting, loading)
    assert done == ["commands"]
    TerminalApp._while_nobody_types(collecting, loading)
    assert loading.is_done
    assert done == ["commands", "searched", "left out"]
    TerminalApp._while_nobody_types(collecting, loading)
    assert done[3:] == ["searched"]
    assert len(imported) == 3
    collecting.end()
