"""The key of every command: all of them listed, and a change refused where a key would mean two things."""

import pkgutil
from collections.abc import Iterator, Mapping
from functools import cache
from importlib import import_module
from typing import Any, Final

from msgspec import Struct
from textual.keys import KEY_NAME_REPLACEMENTS, key_to_character

from appreg.ui.shell.app_commands import APP_COMMANDS
from appreg.ui.shell.command_screen import CommandModal, CommandScreen
from appreg.ui.shell.commands import Command, with_keys, written_key
from appreg.ui.shell.field_keys import FIELD_BINDINGS

KEPT_KEYS: Final[Mapping[str, str]] = {
    "f1": "help",
    "f9": "the settings",
    "ctrl+q": "quit",
    "escape": "back",
    "enter": "do it or go on",
    "tab": "next field",
    "shift+tab": "field before",
    "ctrl+c": "copy",
}
"""Keys that always keep their meaning, so that nobody is ever locked out."""

EVERYWHERE: Final = "everywhere"
_SHARED: Final[Mapping[str, str]] = {
    "app": EVERYWHERE,
    "screen": "every screen",
    "list": "every list",
    "item": "items",
    "site": "sites",
    "record": "sites",
}
"""By the place that declares commands for several screens: what the list of keys calls it."""
_FIELD_KEYS: Final = frozenset({"backspace", "delete", "left", "right", "home", "end"})
"""Keys without which nothing could be typed right."""


class PlacedCommand(Struct, frozen=True, kw_only=True):
    """A command and the place where its key acts."""

    command: Command
    place: str
    screens: frozenset[str]
    """The screens that have it, by class name; empty: all of them."""
    only_over_others: bool
    """Its screens are all laid over others, where the keys of the app rest."""
    typed_over: bool
    """A field may have the keyboard where its key is to act."""


@cache
def every_command() -> tuple[PlacedCommand, ...]:
    """Every command of the app and of all screens, each once; imports all screens."""
    screens = list(screen_classes())
    found: dict[str, Command] = {command.id: command for command in APP_COMMANDS}
    on: dict[str, list[type[CommandScreen[Any]]]] = {}
    for screen in screens:
        for command in screen.all_commands():
            found.setdefault(command.id, command)
            on.setdefault(command.id, []).append(screen)
    placed = [_placed(command, on.get(name, [])) for name, command in found.items()]
    first = tuple(_SHARED.values())
    return tuple(
        sorted(
            placed, key=lambda each: (first.index(each.place), "") if each.place in first else (len(first), each.place)
        )
    )


def kept_refusal(name: str) -> str:
    """Why the key of a command cannot be changed, in a sentence; empty where it can."""
    meant = _by_name().get(name)
    if meant is None:
        return f"“{name}” is no command of this program; take it out of the settings."
    kept = next((key for key in meant.command.keys if key in KEPT_KEYS), "")
    return f"“{meant.command.label}” always keeps {written_key(kept)}, so that nobody is locked out." if kept else ""


def key_refusal(name: str, key: str, changed: Mapping[str, str]) -> str:
    """Why a command cannot have a key beside the changed ones, in a sentence; empty where it can."""
    if refusal := kept_refusal(name):
        return refusal
    if key in KEPT_KEYS:
        return f"{written_key(key)} always means {KEPT_KEYS[key]}; choose another key."
    meant = _by_name()[name]
    return _field_refusal(meant, key) or _double_meaning(meant, key, changed)


def sound_keys(changed: Mapping[str, str]) -> tuple[dict[str, str], list[str]]:
    """The changed keys that can be used, and a sentence for each that cannot."""
    sound: dict[str, str] = dict(changed)
    refusals: list[str] = []
    told = -1
    # A command that keeps its usual key may keep one that another was given: those are looked at once more.
    while told < len(refusals):
        told = len(refusals)
        for name, key in list(sound.items()):
            if refusal := key_refusal(name, key, sound):
                del sound[name]
                refusals.append(f"{name} keeps its usual key: {refusal}")
    return sound, refusals


def _field_refusal(meant: PlacedCommand, key: str) -> str:
    if key in meant.command.keys or not (meant.typed_over or meant.command.priority):
        return ""
    if _is_printable(key):
        return f"“{written_key(key)}” is typed into fields there; choose a key with ctrl, or a function key."
    if key in (_FIELD_KEYS if meant.command.priority else _input_keys()):
        return f"{written_key(key)} edits what is typed in a field there; choose another key."
    return ""


def _double_meaning(meant: PlacedCommand, key: str, changed: Mapping[str, str]) -> str:
    for other in every_command():
        if other.command.id == meant.command.id or not _meet(meant, other):
            continue
        if key in with_keys([other.command], changed)[0].keys:
            where = "" if other.place == EVERYWHERE else f" ({other.place})"
            return (
                f"{written_key(key)} is “{other.command.label}”{where}; choose another key, or change that one first."
            )
    return ""


def _meet(one: PlacedCommand, other: PlacedCommand) -> bool:
    """Tell whether both can be done at the same time."""
    if one.screens and other.screens:
        return bool(one.screens & other.screens)
    rests = (not one.screens and not one.command.priority) or (not other.screens and not other.command.priority)
    return not (rests and (one.only_over_others or other.only_over_others))


def _placed(command: Command, screens: list[type[CommandScreen[Any]]]) -> PlacedCommand:
    home = command.id.partition(".")[0]
    return PlacedCommand(
        command=command,
        place=_SHARED.get(home) or screens[0].TITLE_IN_HELP or home,
        screens=frozenset(screen.__name__ for screen in screens),
        only_over_others=bool(screens) and all(issubclass(screen, CommandModal) for screen in screens),
        typed_over=not screens or any(_has_fields(screen) for screen in screens),
    )


@cache
def _has_fields(screen: type[CommandScreen[Any]]) -> bool:
    """A screen that gives no command a character is one where characters are typed."""
    return not any(_is_printable(key) for command in screen.all_commands() for key in command.keys)


def _is_printable(key: str) -> bool:
    character = key_to_character(key)
    return key in KEY_NAME_REPLACEMENTS.values() or (character is not None and character.isprintable())


@cache
def _by_name() -> dict[str, PlacedCommand]:
    return {each.command.id: each for each in every_command()}


@cache
def _input_keys() -> frozenset[str]:
    return frozenset(key for each in FIELD_BINDINGS for key in each.key.split(","))


def screen_classes() -> Iterator[type[CommandScreen[Any]]]:
    """Every screen there is, imported."""
    # By name: the screens stand on this room, and only here are all of them looked through.
    rooms = import_module("appreg.ui.screens")
    for found in pkgutil.walk_packages(rooms.__path__, "appreg.ui.screens."):
        if found.name.endswith("_screen"):
            module = import_module(found.name)
            for each in vars(module).values():
                if isinstance(each, type) and issubclass(each, CommandScreen) and each.__module__ == found.name:
                    yield each
