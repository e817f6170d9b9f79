"""Every command is declared once: it has a key or a place in the list of commands, help, and an action that exists."""

import pkgutil
from importlib import import_module
from typing import Any

import pytest

import appreg.ui.screens
from appreg.ui.app import AppregApp
from appreg.ui.shell.app_commands import APP_COMMANDS
from appreg.ui.shell.command_screen import CommandModal, CommandScreen
from appreg.ui.shell.commands import Command, bindings_of, written_key
from appreg.ui.shell.places import SCREENS


def all_screens() -> list[type[CommandScreen[Any]]]:
    for found in pkgutil.walk_packages(appreg.ui.screens.__path__, "appreg.ui.screens."):
        import_module(found.name)
    seen: list[type[CommandScreen[Any]]] = []
    waiting: list[type[CommandScreen[Any]]] = [CommandScreen]
    while waiting:
        screen = waiting.pop()
        waiting += screen.__subclasses__()
        if screen not in seen and ".screens." in screen.__module__:
            seen.append(screen)
    return sorted(seen, key=lambda each: each.__name__)


SCREEN_CLASSES = all_screens()
ON_SCREENS = pytest.mark.parametrize("screen", SCREEN_CLASSES, ids=lambda screen: screen.__name__)


def test_there_are_screens_to_look_at() -> None:
    assert len(SCREEN_CLASSES) > 15


@ON_SCREENS
def test_every_command_of_a_screen_has_a_label_and_a_sentence_of_help(screen: type[CommandScreen[Any]]) -> None:
    for command in screen.all_commands():
        assert command.label
        assert command.help[0].isupper()
        assert command.help.endswith(".")


@ON_SCREENS
def test_no_key_means_two_things_on_a_screen(screen: type[CommandScreen[Any]]) -> None:
    keys = [key for command in screen.all_commands() for key in command.keys]
    assert sorted(keys) == sorted(set(keys))


@ON_SCREENS
def test_no_screen_takes_a_key_of_the_app(screen: type[CommandScreen[Any]]) -> None:
    own = {key for command in screen.all_commands() for key in command.keys}
    if issubclass(screen, CommandModal):
        own.discard("f4")  # the app's keys rest while a modal is open; the sum of a visit leads on to the labels itself
    assert not own & {key for command in APP_COMMANDS for key in command.keys}


@ON_SCREENS
def test_every_command_names_an_action_that_exists(screen: type[CommandScreen[Any]]) -> None:
    for command in screen.all_commands():
        name = command.action.partition("(")[0]
        owner: type[object] = AppregApp if name.startswith("app.") else screen
        assert hasattr(owner, f"action_{name.removeprefix('app.')}"), command.action


@ON_SCREENS
def test_back_and_help_are_on_every_screen(screen: type[CommandScreen[Any]]) -> None:
    keys = {key for command in screen.all_commands() for key in command.keys}
    assert {"escape", "f1"} <= keys


def test_every_command_of_the_app_has_help_and_an_action() -> None:
    for command in APP_COMMANDS:
        assert command.help.endswith(".")
        assert hasattr(AppregApp, f"action_{command.action.partition('(')[0]}")
    keys = [key for command in APP_COMMANDS for key in command.keys]
    assert len(keys) == len(set(keys))


@pytest.mark.parametrize("name", SCREENS)
def test_every_named_screen_can_be_imported(name: str) -> None:
    module, _, title = SCREENS[name].partition(":")
    assert issubclass(getattr(import_module(f"appreg.ui.screens.{module}"), title), CommandScreen)


def test_a_screen_that_uses_the_name_of_another_thing_is_refused() -> None:
    with pytest.raises(TypeError, match="declare commands in DECLARED"):
        type("Wrong", (CommandModal,), {"COMMANDS": ()})


@pytest.mark.parametrize(
    ("key", "written"),
    [("ctrl+p", "^p"), ("f1", "F1"), ("escape", "esc"), ("question_mark", "?"), ("shift+up", "shift ↑"), ("n", "n")],
)
def test_a_key_is_written_as_people_write_it(key: str, written: str) -> None:
    assert written_key(key) == written


def test_a_command_without_a_key_makes_no_binding() -> None:
    keyless = Command(action="turn", key="", label="turn", help="Turn.")
    assert bindings_of([keyless]) == []
    assert keyless.key_in_words == ""
