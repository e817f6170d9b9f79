"""A sentence that names a key names the one that does it now."""

import ast
import re
from pathlib import Path

import pytest
from textual.pilot import Pilot

import appreg.ui
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.keep_settings import Settings
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.form_fields import NEW_KEY
from appreg.ui.shell.commands import written_key
from appreg.ui.shell.key_map import every_command
from appreg.ui.shell.key_words import key_of, with_present_keys
from tests.ui.bench_register import LAMP, lay_table
from tests.ui.list_register import TODAY, WHO

ROOT = Path(appreg.ui.__file__).parent


def calls_of_key_of() -> list[tuple[str, str]]:
    """Every command named in a sentence of the screens, with its usual key as written there."""
    found = []
    naming = [text for path in ROOT.rglob("*.py") if "key_of(" in (text := path.read_text(encoding="utf-8"))]
    for text in naming:
        for node in ast.walk(ast.parse(text)):
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id == "key_of":
                name, usual = (argument.value for argument in node.args if isinstance(argument, ast.Constant))
                found.append((str(name), str(usual)))
    return found


def test_sentences_do_name_keys() -> None:
    assert len(calls_of_key_of()) > 10


@pytest.mark.parametrize(("name", "usual"), sorted(set(calls_of_key_of())))
def test_a_named_command_exists_and_its_usual_key_is_told_right(name: str, usual: str) -> None:
    (command,) = [placed.command for placed in every_command() if placed.command.id == name]
    assert usual in {written_key(key) for key in command.keys}


def test_no_sentence_names_a_changeable_key_outright() -> None:
    outright = re.compile(r"(?<![\w'])\^[a-z]\b")
    for path in ROOT.rglob("*.py"):
        for node in ast.walk(ast.parse(path.read_text(encoding="utf-8"))):
            if isinstance(node, ast.JoinedStr):
                for part in node.values:
                    if isinstance(part, ast.Constant):
                        assert not outright.search(str(part.value)), (path.name, part.value)


def test_a_changed_key_is_written_into_the_sentence() -> None:
    sentence = f"press {key_of('sites.new_site', 'n')} or {NEW_KEY}"
    assert with_present_keys(sentence, {}) == "press n or ins"
    assert with_present_keys(sentence, {"sites.new_site": "ctrl+k"}) == "press ^k or ins"
    assert with_present_keys("[x] {sites.new_site n}", {"sites.new_site": "c"}) == "[x] {sites.new_site n}"


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*keys)
    for _ in range(3):
        await pilot.pause()


async def test_the_caution_at_the_insulation_test_names_the_changed_key(tmp_path: Path) -> None:
    table = lay_table(tmp_path / "bench.db", ("Desk lamp", LAMP))
    settings = Settings(keys={"bench.unsuitable": "f10"})
    app = AppregApp(table.register, today=TODAY, who=WHO, settings=settings)
    async with app.run_test(size=(80, 24)) as pilot:
        app.open_bench(visit=table.visit.uid, appliance=table.uid(0))
        await press(pilot)
        await press(pilot, "space")
        assert "F10 marks the item unsuitable" in screen_text(app)
        assert "^l measures leakage" in screen_text(app)


async def test_help_names_the_changed_key_of_the_list_of_commands(built_register: Register) -> None:
    settings = Settings(keys={"app.palette": "f10"})
    app = AppregApp(built_register, today=TODAY, who=WHO, settings=settings)
    async with app.run_test(size=(120, 120)) as pilot:
        await press(pilot, "f1")
        assert "F10 only" in screen_text(app)
        assert "^p" not in screen_text(app)
