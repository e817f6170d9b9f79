import tomllib
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from appreg.core.values.toml_places import TomlText
from appreg.errors import InputRefused
from appreg.files import REGISTER_MARK
from appreg.tasks.desk.keep_settings import (
    Settings,
    load_settings,
    read_settings,
    save_settings,
    settings_path,
    settings_text,
)

CHANGED = Settings(
    theme="light",
    plain_colours=True,
    due_within_days=60,
    label_stock="a4-65",
    next_date_on_labels=True,
    printer_offsets="office: 0.6 right 1.2 up",
    typefaces="~/faces/one.ttf; /faces/two.otf",
    downloads="~/from the instrument",
    instrument_lines="/lines/[red].toml",
    instrument_port="/dev/ttyUSB0",
    who='Ada "AB" Brook \\ [red]',
    keys={"bench.repeat": "ctrl+k", "app.go('due')": "f12"},
)


def read(text: str) -> Settings:
    return read_settings(TomlText(name="settings.toml", text=text))


def test_without_a_file_everything_is_as_usual(tmp_path: Path) -> None:
    assert load_settings(tmp_path / "settings.toml") == Settings()


def test_what_is_saved_is_loaded_again_and_the_folder_is_made(tmp_path: Path) -> None:
    path = tmp_path / "new" / "folder" / "settings.toml"
    save_settings(path, CHANGED)
    assert load_settings(path) == CHANGED
    assert [each.name for each in path.parent.iterdir()] == ["settings.toml"]


def test_the_file_names_every_setting() -> None:
    assert set(tomllib.loads(settings_text(CHANGED))) == set(Settings.__struct_fields__)


@given(
    who=st.text(st.characters(exclude_categories=["Cc", "Cf", "Cs", "Co", "Cn", "Zl", "Zp"]), max_size=60),
    days=st.integers(0, 365),
    keys=st.dictionaries(st.text("abc.'()-12", min_size=1), st.sampled_from(["ctrl+k", "f12", "question_mark"])),
)
def test_reading_takes_back_what_writing_gives(who: str, days: int, keys: dict[str, str]) -> None:
    kept = Settings(who=read(f"who = {_quoted(who)}").who, due_within_days=days, keys=keys)
    assert read(settings_text(kept)) == kept


def _quoted(text: str) -> str:
    return '"' + "".join(f"\\U{ord(character):08X}" for character in text) + '"'


@pytest.mark.parametrize(
    ("text", "line", "key"),
    [
        ('theme = "pink"', 1, "theme"),
        ("\ntheme = 3", 2, "theme"),
        ("# note\nplain_colours = 1", 2, "plain_colours"),
        ("due_within_days = true", 1, "due_within_days"),
        ("due_within_days = 366", 1, "due_within_days"),
        ("due_within_days = -1", 1, "due_within_days"),
        ("due_within_days = 30.0", 1, "due_within_days"),
        ('label_stock = "A4 65"', 1, "label_stock"),
        ("label_stock = 65", 1, "label_stock"),
        ('printer_offsets = "office: 0.6 sideways"', 1, "printer_offsets"),
        ("printer_offsets = 3", 1, "printer_offsets"),
        ('typefaces = "one.ttf"', 1, "typefaces"),
        ('typefaces = "/faces/one.txt"', 1, "typefaces"),
        ("typefaces = 3", 1, "typefaces"),
        ('downloads = "here"', 1, "downloads"),
        ('instrument_lines = "lines.toml"', 1, "instrument_lines"),
        ("instrument_lines = true", 1, "instrument_lines"),
        ('instrument_port = "ttyUSB0"', 1, "instrument_port"),
        ('instrument_port = "socket://there:1"', 1, "instrument_port"),
        ('instrument_port = "COM3\\u001b"', 1, "instrument_port"),
        ('next_date_on_labels = "yes"', 1, "next_date_on_labels"),
        ("who = 7", 1, "who"),
        ('who = "a\\u001bb"', 1, "who"),
        (f'who = "{"x" * 81}"', 1, "who"),
        ('theme = "dark"\ncolor = "red"', 2, "color"),
        ("keys = 3", 1, "keys"),
        ('[keys]\n"bench.fail" = "x, y"', 2, "keys.bench.fail"),
        ('[keys]\n"a" = "f9"\n"bench.fail" = 3', 3, "keys.bench.fail"),
    ],
)
def test_a_bad_value_is_refused_in_one_sentence_with_line_and_key(text: str, line: int, key: str) -> None:
    with pytest.raises(InputRefused, match=r"\.$") as refusal:
        read(text)
    said = str(refusal.value)
    assert said.startswith(f"settings.toml, line {line}, {key}: ")
    assert "\n" not in said
    assert "\x1b" not in said


@pytest.mark.parametrize(
    "content",
    [b"theme = ", b"theme", b"\xff\xfe", b"due_within_days = " + b"9" * 5000, b"a = " + b"[" * 20_000, b"theme\x00= 1"],
    ids=["no value", "no equals sign", "not UTF-8", "giant number", "bottomless", "NUL"],
)
def test_a_file_that_is_no_toml_is_refused_in_one_sentence(tmp_path: Path, content: bytes) -> None:
    path = tmp_path / "settings.toml"
    path.write_bytes(content)
    with pytest.raises(InputRefused, match=r"settings\.toml[ ,].*\.$") as refusal:
        load_settings(path)
    assert "\n" not in str(refusal.value)


def test_a_folder_in_place_of_the_file_is_told_in_one_sentence(tmp_path: Path) -> None:
    with pytest.raises(InputRefused, match="is a folder"):
        load_settings(tmp_path)
    with pytest.raises(InputRefused, match="is a folder"):
        save_settings(tmp_path, Settings())


@pytest.mark.parametrize("named", ["~nobody-of-that-name/x.toml", "x" * 300, "half \ud800"])
def test_a_variable_that_names_no_file_is_told(named: str) -> None:
    with pytest.raises(InputRefused, match=r"^\$APPREG_SETTINGS: .*\.$"):
        settings_path({"APPREG_SETTINGS": named})


def test_settings_are_never_written_over_a_register_nor_through_a_link_to_one(tmp_path: Path) -> None:
    register, link = tmp_path / "register.sqlite", tmp_path / "settings.toml"
    register.write_bytes(REGISTER_MARK)
    link.symlink_to(register)
    for path in (register, link):
        with pytest.raises(InputRefused, match="name another file"):
            save_settings(path, Settings())
        with pytest.raises(InputRefused, match="no text"):
            load_settings(path)
    assert register.read_bytes() == REGISTER_MARK
    assert link.is_symlink()


def test_a_folder_that_cannot_be_made_is_told(tmp_path: Path) -> None:
    (tmp_path / "file").write_text("")
    with pytest.raises(InputRefused, match="until you leave"):
        save_settings(tmp_path / "file" / "settings.toml", Settings())


def test_an_old_file_stays_whole_where_the_new_one_cannot_be_written(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    path = tmp_path / "settings.toml"
    save_settings(path, CHANGED)

    def fails(*_: object) -> None:
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(Path, "replace", fails)
    with pytest.raises(InputRefused, match="No space left"):
        save_settings(path, Settings())
    assert load_settings(path) == CHANGED


@pytest.mark.parametrize(
    ("environ", "platform", "expected"),
    [
        ({"APPREG_SETTINGS": "/a/b.toml", "XDG_CONFIG_HOME": "/c"}, "linux", Path("/a/b.toml")),
        ({"XDG_CONFIG_HOME": "/c"}, "linux", Path("/c/appreg/settings.toml")),
        ({"XDG_CONFIG_HOME": "not/absolute"}, "linux", Path("~/.config/appreg/settings.toml")),
        ({}, "linux", Path("~/.config/appreg/settings.toml")),
        ({"APPDATA": "/nothing/d"}, "win32", Path("/CSIDL_LOCAL_APPDATA/appreg/settings.toml")),
        ({}, "darwin", Path("~/Library/Application Support/appreg/settings.toml")),
    ],
)
def test_the_file_is_where_the_platform_keeps_settings(
    environ: dict[str, str], platform: str, expected: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr("platformdirs.windows.get_win_folder", lambda name: f"/{name}")
    monkeypatch.delenv("XDG_CONFIG_HOME")
    # XDG Base Directory Specification 0.8: $XDG_CONFIG_HOME, default $HOME/.config; relative paths are ignored.
    assert settings_path(environ, platform) == expected.expanduser()


def test_what_is_set_for_copies_is_kept_and_out_of_range_is_refused(tmp_path: Path) -> None:
    kept = Settings(copies_kept=3, copies_days=0, second_folder="~/stick [red]")
    save_settings(tmp_path / "settings.toml", kept)
    assert load_settings(tmp_path / "settings.toml") == kept
    for text in (
        "copies_kept = 0",
        "copies_kept = 1001",
        "copies_days = -1",
        "second_folder = 1",
        'second_folder = "a"',
    ):
        with pytest.raises(InputRefused, match=text.partition(" ")[0]):
            read(text)


def test_settings_that_are_linked_to_are_kept_where_they_are(tmp_path: Path) -> None:
    kept, link = tmp_path / "kept.toml", tmp_path / "settings.toml"
    kept.write_text("", encoding="utf-8")
    link.symlink_to(kept)
    save_settings(link, Settings(theme="light"))
    assert link.is_symlink()
    assert load_settings(kept).theme == "light"
