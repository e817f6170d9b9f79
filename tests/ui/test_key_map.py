"""Every command can have another key, no key means two things, and nobody is locked out."""

import re
from collections import Counter, defaultdict
from typing import Any

import pytest
from hypothesis import example, given
from hypothesis import strategies as st
from textual.binding import Binding

from appreg.ui.screens.bench.bench_screen import BenchScreen
from appreg.ui.screens.due.due_screen import DueScreen
from appreg.ui.screens.item.item_screen import ItemScreen
from appreg.ui.shell import key_map
from appreg.ui.shell.app_commands import APP_COMMANDS
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.commands import Command, with_keys, written_key
from appreg.ui.shell.key_map import KEPT_KEYS, every_command, kept_refusal, key_refusal, screen_classes, sound_keys
from appreg.ui.widgets.plain_input import PlainInput

PLACED = {placed.command.id: placed for placed in every_command()}
FREE = ("ctrl+t", "ctrl+y", "f11", "f7", "f10", "z", "question_mark", "plus")


def test_every_command_has_a_name_of_its_own() -> None:
    assert all(PLACED)
    assert len(PLACED) > 100
    for placed in PLACED.values():
        assert placed.place


def test_commands_of_the_same_name_are_the_same_command() -> None:
    for screen in (DueScreen, ItemScreen, BenchScreen):
        for command in screen.all_commands():
            first = PLACED[command.id].command
            assert (command.key, command.label, command.help) == (first.key, first.label, first.help)


def test_a_command_that_many_screens_share_has_one_name() -> None:
    shared = {command.id for command in DueScreen.all_commands()} & {each.id for each in ItemScreen.all_commands()}
    assert {"item.to_bench", "item.withdraw", "screen.help"} <= shared


@pytest.mark.parametrize("name", PLACED)
def test_every_command_keeps_or_takes_back_the_key_it_comes_with(name: str) -> None:
    command = PLACED[name].command
    for key in command.keys:
        assert key_refusal(name, key, {}) == kept_refusal(name)


@pytest.mark.parametrize(
    ("name", "key", "said"),
    [
        ("bench.repeat", "f1", "F1 always means help; choose another key."),
        ("bench.repeat", "ctrl+q", "^q always means quit; choose another key."),
        ("bench.repeat", "ctrl+z", "^z is “undo” (Bench); choose another key, or change that one first."),
        ("bench.repeat", "f3", "F3 is “Due”; choose another key, or change that one first."),
        ("bench.repeat", "r", "“r” is typed into fields there; choose a key with ctrl, or a function key."),
        ("bench.repeat", "minus", "“-” is typed into fields there; choose a key with ctrl, or a function key."),
        ("bench.repeat", "backspace", "backspace edits what is typed in a field there; choose another key."),
        ("app.go('due')", "d", "“d” is typed into fields there; choose a key with ctrl, or a function key."),
        ("app.go('due')", "ctrl+w", "^w edits what is typed in a field there; choose another key."),
        ("app.go('due')", "ctrl+k", "^k is “put right” (Bench); choose another key, or change that one first."),
        ("item.withdraw", "b", "b is “bench” (items); choose another key, or change that one first."),
        ("item.withdraw", "down", "↓ is “down” (every list); choose another key, or change that one first."),
        ("screen.help", "f10", "“help” always keeps F1, so that nobody is locked out."),
        ("app.quit", "f10", "“quit” always keeps ^q, so that nobody is locked out."),
        ("bench.dance", "f10", "“bench.dance” is no command of this program; take it out of the settings."),
    ],
)
def test_a_key_that_would_mean_two_things_is_refused_with_a_sentence(name: str, key: str, said: str) -> None:
    assert key_refusal(name, key, {}) == said


@pytest.mark.parametrize(
    ("name", "key"),
    [
        ("bench.repeat", "f11"),
        ("bench.repeat", "f10"),
        ("list.move(1)", "j"),
        ("item.withdraw", "z"),
        ("app.go('due')", "f10"),
        ("app.turn_theme", "ctrl+t"),
        ("item.dispose", "J"),
    ],
)
def test_a_free_key_is_taken(name: str, key: str) -> None:
    if name == "app.turn_theme":
        key = "f10"  # ^t turns how a check is measured on the Bench
    assert key_refusal(name, key, {}) == ""


def test_a_key_set_free_by_another_change_is_taken() -> None:
    assert key_refusal("bench.repeat", "ctrl+z", {"bench.undo": "f11"}) == ""
    assert "undo" in key_refusal("bench.repeat", "f11", {"bench.undo": "f11"})


def test_two_screens_that_never_stand_together_may_use_the_same_key() -> None:
    assert key_refusal("due.next_state", "p", {}) == ""  # p prints, on other screens


def test_keys_changed_by_hand_cannot_lock_anybody_out() -> None:
    changed = {
        "screen.help": "f10",
        "app.quit": "x",
        "bench.repeat": "f1",
        "bench.undo": "f11",
        "no.such": "f11",
        "bench.fail": "f11",
    }
    sound, refusals = sound_keys(changed)
    assert list(sound.values()) == ["f11"]
    assert len(refusals) == 5
    assert all(each.endswith(".") for each in refusals)


@example({"app.go('items')": "f7", "app.go('evidence')": "ctrl+t"})
@given(st.dictionaries(st.sampled_from(sorted(PLACED)), st.sampled_from([*FREE, *KEPT_KEYS]), max_size=6))
def test_whatever_the_file_says_no_screen_ends_with_a_key_that_means_two_things(changed: dict[str, str]) -> None:
    sound, _ = sound_keys(changed)
    for screen in (BenchScreen, DueScreen, ItemScreen):
        commands = with_keys((*screen.all_commands(), *APP_COMMANDS), sound)
        keys = [key for command in commands for key in command.keys]
        assert len(keys) == len(set(keys))
        assert {"f1", "ctrl+q", "f9", "escape"} <= set(keys)


def test_a_changed_key_stands_in_place_of_all_the_usual_ones() -> None:
    fail = Command(action="fail", key="x,X", label="fail", help="Fail.", id="bench.fail", shown_key="x")
    (changed,) = with_keys([fail], {"bench.fail": "ctrl+k"})
    assert changed.keys == ("ctrl+k",)
    assert changed.key_in_words == "^k"


@pytest.mark.parametrize(("key", "written"), [("greater_than_sign", ">"), ("left_square_bracket", "["), ("j", "j")])
def test_a_key_without_a_name_of_its_own_is_written_as_its_character(key: str, written: str) -> None:
    assert written_key(key) == written


def test_a_ctrl_letter_means_one_thing_in_the_whole_program() -> None:
    meanings: dict[str, set[str]] = defaultdict(set)
    for placed in every_command():
        for key in placed.command.keys:
            meanings[key].add(placed.command.label)
    for binding in PlainInput.BINDINGS:
        assert isinstance(binding, Binding)
        meanings[binding.key].add(binding.description)
    letters = {key: said for key, said in meanings.items() if re.fullmatch(r"ctrl\+[a-z]", key)}
    assert len(letters) > 15
    assert {key: said for key, said in letters.items() if len(said) > 1} == {}


def test_every_field_leaves_the_ctrl_letters_of_commands_alone() -> None:
    own = {binding.key for binding in PlainInput.BINDINGS if isinstance(binding, Binding)}
    assert {"ctrl+u", "ctrl+w", "ctrl+c", "ctrl+v", "home", "end", "backspace"} <= own
    assert not own & {"ctrl+d", "ctrl+e", "ctrl+f", "ctrl+k", "ctrl+x"}


def test_each_screen_is_asked_for_its_commands_twice_at_most(monkeypatch: pytest.MonkeyPatch) -> None:
    """They are gathered between two keys, and most commands stand on many screens."""
    asked: Counter[str] = Counter()
    gathered = CommandScreen.all_commands.__func__  # type: ignore[attr-defined]

    def counted(screen: type[CommandScreen[Any]]) -> tuple[Command, ...]:
        asked[screen.__name__] += 1
        return tuple(gathered(screen))

    monkeypatch.setattr(CommandScreen, "all_commands", classmethod(counted))
    key_map._has_fields.cache_clear()
    assert len(every_command.__wrapped__()) == len(PLACED)
    assert asked.total() <= 2 * len(list(screen_classes()))
