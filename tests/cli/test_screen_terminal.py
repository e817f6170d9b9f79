"""Without a terminal nothing is opened, nothing is made, and one sentence says what to do instead."""

import sys
from io import StringIO
from pathlib import Path

import pytest

from appreg.cli.screen_terminal import need_terminal
from appreg.errors import UsageRefused
from tests.cli.conftest import Call


class Terminal(StringIO):
    """A stream that says it is a terminal."""

    def isatty(self) -> bool:
        return True


@pytest.mark.usefixtures("no_terminal")
@pytest.mark.parametrize("words", [[], ["demo"]], ids=["appreg", "demo"])
def test_no_register_is_made_where_nothing_can_be_drawn(call: Call, tmp_path: Path, words: list[str]) -> None:
    path = tmp_path / "new.sqlite"
    answer = call("--register", path, *words)
    assert answer.code == 2
    assert answer.err.count("\n") == 1
    assert "`appreg due`" in answer.err
    assert not path.exists()


@pytest.mark.parametrize("name", ["stdin", "stdout", "stderr"])
def test_the_stream_that_is_no_terminal_is_named(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    for each in ("stdin", "stdout", "stderr"):
        monkeypatch.setattr(sys, each, None if each == name else Terminal())
    with pytest.raises(UsageRefused, match=f"standard {name.removeprefix('std').removesuffix('put')[:3]}"):
        need_terminal({"TERM": "xterm"}, windows=False)


@pytest.mark.parametrize("kind", ["", "dumb", "unknown", None])
def test_a_terminal_that_places_no_text_is_refused(monkeypatch: pytest.MonkeyPatch, kind: str | None) -> None:
    for each in ("stdin", "stdout", "stderr"):
        monkeypatch.setattr(sys, each, Terminal())
    environ = {} if kind is None else {"TERM": kind}
    with pytest.raises(UsageRefused, match="TERM is"):
        need_terminal(environ, windows=False)
    need_terminal(environ, windows=True)
    need_terminal({"TERM": "xterm-256color"}, windows=False)
