"""What is written and what the program does agree: help pages, README, DEVELOPERS."""

import re
import shlex
from importlib import import_module
from pathlib import Path

import pytest
from textual.compose import compose
from textual.widgets import Static

from appreg.cli.commands import COMMANDS
from appreg.cli.words_parser import parser_for
from appreg.core.records.kept_records import Client
from appreg.register.opening.register_file import open_register
from appreg.ui.app import AppregApp
from appreg.ui.screens.help.help_screen import HelpScreen
from appreg.ui.shell.app_commands import APP_COMMANDS
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.commands import Command, written_key
from appreg.ui.shell.key_map import every_command, screen_classes
from tests.ui.list_register import TODAY, WHO

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")
DEVELOPERS = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
AS_IT_IS = re.sub(r"(?s)\n## Changes\n.*?\n(?=## )", "\n", DEVELOPERS)
"""The guide but for what it says of names that are gone."""
SCREENS = sorted(screen_classes(), key=lambda screen: screen.__name__)

STANDING_KEYS = {written_key(key) for command in APP_COMMANDS for key in command.keys}
NAMED_KEY = re.compile(r"(?<![\w`'])(F[0-9]{1,2}|\^[a-z])\b")
COMMAND_LINE = re.compile(r"^(?:\.venv/bin/)?appreg(?: .*)?$", re.MULTILINE)
NAMED_PATH = re.compile(r"`(?:\.venv/)?((?:[\w.-]+/)*(?:[\w-]+\.(?:py|toml|tcss|md)|[\w-]+/))`")
NAMED_CODE = re.compile(r"`([A-Za-z_][\w.]*)`")
MADE_LATER = {"mutants/"}
VARIABLE = re.compile(r"APPREG_[A-Z]+")


def keys_in_words(command: Command) -> list[str]:
    return [written_key(key) for key in command.keys]


def written_on(page: HelpScreen) -> set[str]:
    """The texts that a page of help is made of."""
    parts, written = [*compose(page)], set()
    while parts:
        part = parts.pop()
        parts += part._pending_children
        if isinstance(part, Static):
            written.add(str(part.content))
    return written


async def test_the_help_page_of_every_screen_shows_each_command_with_its_keys(tmp_path: Path) -> None:
    with open_register(tmp_path / "register.sqlite") as register:
        assert not register.find(Client)
        app = AppregApp(register, today=TODAY, who=WHO)
        async with app.run_test(size=(160, 60)) as pilot:
            await pilot.pause()
            shown = HelpScreen(title=SCREENS[0].TITLE_IN_HELP, commands=SCREENS[0].all_commands())
            await app.push_screen(shown)
            await pilot.pause()
            with app._context():
                # One page is shown, which tells that what a page is made of stands on it; the others are only made.
                assert written_on(shown) == {str(part.content) for part in shown.query(Static)}
            for screen in SCREENS:
                with app._context():
                    written = written_on(HelpScreen(title=screen.TITLE_IN_HELP, commands=screen.all_commands()))
                for command in (*screen.all_commands(), *APP_COMMANDS):
                    assert command.label in written, (screen.__name__, command.label)
                    assert command.help in written
                    keys = ", ".join([command.key_in_words, *keys_in_words(command)[1:]])
                    assert (keys or "^p only") in written, (screen.__name__, command.label)


@pytest.mark.parametrize("screen", SCREENS, ids=lambda screen: screen.__name__)
def test_every_screen_has_a_name_for_its_help_page(screen: type[CommandScreen[object]]) -> None:
    assert screen.TITLE_IN_HELP


def test_every_command_of_the_command_line_is_in_the_readme() -> None:
    missing = [name for name in COMMANDS if not re.search(rf"\bappreg {name}\b", README)]
    assert not missing


@pytest.mark.parametrize("line", COMMAND_LINE.findall(README))
def test_every_command_line_of_the_readme_is_understood(line: str) -> None:
    words = shlex.split(line)[1:]
    name = words[0]
    module = import_module(COMMANDS[name][0])
    assert parser_for(words, COMMANDS, module.add_options).parse_args(words).command == name


def test_the_readme_does_show_command_lines() -> None:
    assert len(COMMAND_LINE.findall(README)) > 5


def test_every_key_named_in_the_readme_does_something() -> None:
    known = {key for placed in every_command() for key in keys_in_words(placed.command)}
    named = set(NAMED_KEY.findall(README))
    assert named
    assert named <= known


def test_every_key_that_works_everywhere_is_in_the_readme() -> None:
    named = set(NAMED_KEY.findall(README))
    assert not STANDING_KEYS - named - {"^q"}


def test_every_variable_that_the_program_reads_is_in_the_readme() -> None:
    sources = [path.read_text(encoding="utf-8") for path in (ROOT / "appreg").rglob("*.py")]
    read = {name for source in sources for name in re.findall(r'"(APPREG_[A-Z]+)"', source)}
    assert read
    assert not read - set(VARIABLE.findall(README))


def test_the_readme_is_no_longer_than_people_read() -> None:
    assert len(README.splitlines()) <= 160


def test_every_picture_is_shown_and_small() -> None:
    pictures = {f".pictures/{path.name}": path.stat().st_size for path in (ROOT / ".pictures").iterdir()}
    assert {*pictures} == set(re.findall(r"\]\((\.pictures/[\w.-]+)\)", README))
    assert len(pictures) == 6
    assert max(pictures.values()) < 80_000


def test_what_the_readme_says_of_files_is_there() -> None:
    for name in re.findall(r"\]\(([\w/.-]+)\)", README):
        assert (ROOT / name).exists(), name


def test_the_rooms_of_the_house_are_in_the_developers_guide() -> None:
    rooms = [path.name for path in (ROOT / "appreg").iterdir() if (path / "__init__.py").exists()]
    assert not [room for room in rooms if f"{room}/" not in DEVELOPERS and f"`{room}`" not in DEVELOPERS]


def test_every_file_and_folder_of_the_developers_guide_is_there() -> None:
    bare = {path.name for room in ("appreg", "tests") for path in (ROOT / room).rglob("*.*")}
    named = set(NAMED_PATH.findall(AS_IT_IS)) - MADE_LATER
    assert len(named) > 100
    assert not [
        path for path in named if not ((ROOT / path).exists() or (ROOT / "appreg" / path).exists() or path in bare)
    ]


def test_every_name_of_the_developers_guide_stands_in_the_program_or_its_tests() -> None:
    sources = [
        path for room in ("appreg", "tests") for end in ("py", "toml") for path in (ROOT / room).rglob(f"*.{end}")
    ]
    text = "\n".join(path.read_text(encoding="utf-8") for path in (*sources, ROOT / "pyproject.toml"))
    words = set(re.findall(r"\w+", text))
    named = set(NAMED_CODE.findall(AS_IT_IS)) - set(NAMED_PATH.findall(AS_IT_IS))
    assert len(named) > 50
    assert not [name for name in named if not set(re.findall(r"\w+", name)) <= words]


def test_a_module_of_the_developers_guide_is_named_by_its_path() -> None:
    rooms = [path.name for path in (ROOT / "appreg").iterdir() if path.is_dir()]
    dotted = [name for name in NAMED_CODE.findall(AS_IT_IS) if name.split(".")[0] in rooms and "." in name]
    assert set(dotted) == {"register.damage"}  # an attribute
