"""`appreg settings`: what is set is shown and changed without the screen, and refused as the file's reader refuses it."""

import os
from pathlib import Path

import pytest

from appreg.cli.settings import ABOUT
from appreg.tasks.desk.keep_settings import Settings, load_settings, settings_path
from appreg.tasks.desk.typed_settings import SETTINGS
from tests.cli.conftest import Call


def test_every_setting_but_the_keys_is_shown_with_what_it_does(call: Call) -> None:
    answer = call("settings")
    assert answer.code == 0
    assert (*ABOUT,) == SETTINGS
    assert set(Settings.__struct_fields__) - {*SETTINGS} == {"keys"}
    assert [line.split()[0] for line in answer.out.splitlines()[1:-1]] == [*SETTINGS]
    assert not settings_path(os.environ).exists()


@pytest.mark.parametrize(
    ("name", "typed", "value"),
    [
        ("theme", "light", "light"),
        ("plain_colours", "yes", True),
        ("due_within_days", "60", 60),
        ("issue_limit_days", "180", 180),
        ("label_stock", "a4-65", "a4-65"),
        ("next_date_on_labels", "on", True),
        ("printer_offsets", "office: 0.6 right 1.2 up", "office: 0.6 right 1.2 up"),
        ("copies_kept", "3", 3),
        ("copies_days", "0", 0),
        ("second_folder", "/media/stick", "/media/stick"),
        ("typefaces", "/faces/one.ttf", "/faces/one.ttf"),
        ("downloads", "~/downloads", "~/downloads"),
        ("instrument_lines", "/lines/bench.toml", "/lines/bench.toml"),
        ("instrument_port", "COM3", "COM3"),
        ("who", "Wren A", "Wren A"),
    ],
)
def test_every_setting_is_set_got_and_put_back(call: Call, name: str, typed: str, value: object) -> None:
    assert call("settings", "set", name, typed).code == 0
    assert getattr(load_settings(settings_path(os.environ)), name) == value
    assert call("settings", "get", name).out.strip() in {typed, "yes"}
    assert call("settings", "usual", name).code == 0
    assert load_settings(settings_path(os.environ)) == Settings()


@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("set", "theme", "green"), "theme: “green” is not among dark, light"),
        (("set", "label_stock", "a4-999"), "label_stock: There is no label stock 'a4-999'; choose one of a4-24"),
        (
            ("set", "printer_offsets", "office 3"),
            "printer_offsets: office 3 names no printer and a move; write it like",
        ),
        (("set", "copies_kept", "0"), "copies_kept: “0” is no whole number from 1"),
        (("set", "copies_kept", "many"), "copies_kept: “many” is not a number"),
        (("set", "plain_colours", "perhaps"), "plain_colours: it is yes or no"),
        (("set", "second_folder", "stick"), "second_folder: "),
        (("set", "keys", "x"), "keys is no setting; the settings are theme"),
        (("get", "colour"), "colour is no setting"),
        (("set", "theme"), "Write it as in"),
        (("get",), "Write it as in"),
    ],
)
def test_what_is_no_setting_or_no_value_of_it_is_refused_in_one_sentence(
    call: Call, words: tuple[str, ...], said: str
) -> None:
    answer = call("settings", *words)
    assert (answer.code, answer.out, answer.err.count("\n")) == (2, "", 1)
    assert said in answer.err


def test_a_changed_key_stays_when_a_setting_is_set(call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "s.toml"
    file.write_text('[keys]\n"bench.fail" = "f"\n', encoding="utf-8")
    monkeypatch.setenv("APPREG_SETTINGS", str(file))
    assert call("settings", "set", "theme", "light").code == 0
    assert load_settings(file).keys == {"bench.fail": "f"}
