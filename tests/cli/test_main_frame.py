"""The frame of the command line: what is loaded, what is refused, and in which words."""

import gc
import json
import subprocess
import sys
from pathlib import Path

import pytest

from appreg import __version__
from appreg.__main__ import main as door
from appreg.cli.commands import COMMANDS
from appreg.cli.console import Console
from appreg.cli.garbage import search_as_usual
from tests.cli.conftest import Call
from tests.tasks.worked_site import WorkedSite


def modules_loaded_by(*words: str) -> set[str]:
    """The modules a fresh process has loaded when the command is done."""
    script = (
        "import sys; from appreg.cli.main import main; code = main(sys.argv[1:]); "
        "print('\\n'.join(['', 'MODULES', *sys.modules])); sys.exit(code)"
    )
    done = subprocess.run([sys.executable, "-c", script, *words], capture_output=True, text=True, check=True)
    return set(done.stdout.partition("\nMODULES\n")[2].split())


def test_the_version_is_told_by_every_door(call: Call) -> None:
    assert call("--version").out == f"appreg {__version__}\n"
    done = subprocess.run([sys.executable, "-m", "appreg", "--version"], capture_output=True, text=True, check=True)
    assert done.stdout == f"appreg {__version__}\n"
    loaded = modules_loaded_by("--version")
    assert not {
        each
        for each in loaded
        if each.startswith(("argparse", "msgspec", "peewee", "textual", "fpdf", "appreg.tasks", "tomllib"))
    }


_WRITING = ("peewee", "inspect")
"""What only writing needs; the standard dataclasses and typing_extensions load inspect too."""


@pytest.mark.parametrize(
    ("words", "unasked"),
    [
        (
            ("due", "--json"),
            (
                *_WRITING,
                "appreg.core.rules.limits",
                "appreg.core.rules.assumptions",
                "appreg.core.records.category_defaults",
                "appreg.register.lists.inspection_lists",
                "appreg.register.lists.stated_items",
                "appreg.tasks.keeping.keep_chains",
                "threading",
            ),
        ),
        (("find", "kettle"), _WRITING),
        (("show", "HR-001"), _WRITING),
        (("verify",), ()),  # it lays today's tables beside the register, and peewee says how the later ones are altered
    ],
)
def test_a_query_loads_neither_the_screen_nor_the_drawing(
    row: WorkedSite, words: tuple[str, ...], unasked: tuple[str, ...]
) -> None:
    loaded = modules_loaded_by(*words)
    heavy = (
        "textual",
        "rich",
        "fpdf",
        "qrcode",
        "PIL",
        "fontTools",
        "dateutil.parser",
        "appreg.ui",
        *unasked,
    )
    assert "sqlite3" in loaded
    assert not {each for each in loaded if each.startswith(heavy)}
    assert row.register.path.exists()


def test_only_a_command_is_run_without_searches_for_garbage(monkeypatch: pytest.MonkeyPatch) -> None:
    of_the_tests = gc.get_threshold()
    usual = (700, 10, 10)
    monkeypatch.setattr(sys, "argv", ["appreg", "--version"])
    try:
        gc.set_threshold(*usual)
        assert door() == 0
        assert gc.get_threshold()[0] > 10 * usual[0]
        assert gc.isenabled()
        search_as_usual()
        assert gc.get_threshold() == usual
    finally:
        gc.set_threshold(*of_the_tests)


def test_importing_every_module_touches_no_disk(tmp_path: Path) -> None:
    script = (
        "import os, sys, pkgutil, importlib, builtins, appreg\n"
        "def refuse(*a, **k): raise SystemExit(f'wrote {a}')\n"
        "import tempfile, pathlib, sqlite3\n"
        "real = builtins.open\n"
        "def opened(name, mode='r', *a, **k):\n"
        "    if set(mode) & set('wax+'): refuse(name)\n"
        "    return real(name, mode, *a, **k)\n"
        "builtins.open = opened; os.mkdir = os.makedirs = refuse; sqlite3.connect = refuse\n"
        "pathlib.Path.mkdir = refuse\n"
        "for found in pkgutil.walk_packages(appreg.__path__, 'appreg.'):\n"
        "    if found.name != 'appreg.__main__': importlib.import_module(found.name)\n"
    )
    environ = {"HOME": str(tmp_path), "PATH": "", "PYTHONDONTWRITEBYTECODE": "1"}
    done = subprocess.run(
        [sys.executable, "-c", script], capture_output=True, text=True, check=False, env=environ, cwd=Path.cwd()
    )
    assert (done.returncode, done.stderr) == (0, "")
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(
    "words",
    [
        ("nonsense",),
        ("--json",),
        ("due", "--nonsense"),
        ("due", "--within", "-1"),
        ("due", "--within", "soon"),
        ("due", "--on", "24.13.2026"),
        ("due", "--on", "2026-02-30"),
        ("due", "--json", "--csv"),
        ("find",),
        ("show",),
        ("print", "poster", "-o", "x.pdf"),
        ("print", "labels"),
        ("due", "--register"),
        ("due", "--sit", "HR"),
    ],
)
def test_bad_usage_is_one_sentence_and_code_2(row: WorkedSite, call: Call, words: tuple[str, ...]) -> None:
    answer = call(*words)
    assert (answer.code, bool(answer.out)) == (2, "--json" in words)
    assert answer.err.startswith("appreg: ")
    assert answer.err.count("\n") == 1
    assert row.register.path.exists()


def test_help_names_every_command(call: Call) -> None:
    answer = call("--help")
    assert answer.code == 0
    for name, (_, summary) in COMMANDS.items():
        assert name in answer.out
        assert summary.split(",")[0] in " ".join(answer.out.split())


@pytest.mark.parametrize("width", ["1", "40", "80", "200", "0", "wide"])
def test_help_fits_the_terminal(call: Call, monkeypatch: pytest.MonkeyPatch, width: str) -> None:
    monkeypatch.setenv("COLUMNS", width)
    answer = call("--help")
    assert answer.code == 0
    longest = max(map(len, answer.out.splitlines()))
    assert longest <= {"1": 40, "40": 40, "200": 200}.get(width, 80)


@pytest.mark.parametrize("name", COMMANDS)
def test_every_command_has_help_of_its_own(call: Call, name: str) -> None:
    answer = call(name, "--help")
    assert answer.code == 0
    assert "--register" in answer.out


def test_the_register_may_be_named_before_and_after_the_command(row: WorkedSite, call: Call) -> None:
    elsewhere = str(row.register.path.with_name("none.sqlite"))
    path = str(row.register.path)
    assert call("--register", path, "find", "kettle").code == 0
    assert call("find", "kettle", "--register", path).code == 0
    assert call(f"--register={path}", "find", "kettle").code == 0
    assert call("--register", elsewhere, "find", "kettle", "--register", path).code == 0
    answer = call("--register", elsewhere, "find", "kettle")
    assert (answer.code, answer.err.count("\n")) == (2, 1)
    assert "No register at" in answer.err


@pytest.mark.parametrize("words", [("due",), ("find", "x"), ("show", "X"), ("verify",), ("print", "labels", "-o", "x")])
def test_a_reading_command_makes_no_register(tmp_path: Path, call: Call, words: tuple[str, ...]) -> None:
    answer = call("--register", tmp_path / "none.sqlite", *words)
    assert (answer.code, answer.out) == (2, "")
    assert list(tmp_path.iterdir()) == []


def test_a_file_of_another_program_is_refused_in_one_sentence(tmp_path: Path, call: Call) -> None:
    (tmp_path / "x.sqlite").write_bytes(b"SQLite format 3\x00 but not really")
    answer = call("--register", tmp_path / "x.sqlite", "due")
    assert answer.code in {1, 2}
    assert answer.err.count("\n") == 1


def test_what_acts_on_a_terminal_never_reaches_one(row: WorkedSite, call: Call) -> None:
    answer = call("find", "\x1b]52;c;x\x07", "\u202e", "\x9b2J")
    assert answer.code == 1
    assert not set(answer.err) & set("\x1b\x07\u202e\x9b")
    assert row.register.path.exists()


def test_a_reader_that_leaves_early_is_no_error(row: WorkedSite) -> None:
    path = str(row.register.path)
    words = [sys.executable, "-m", "appreg", "--register", path, "due", "--json"]
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True) as process:
        assert process.stdout is not None
        assert process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == ""
    assert process.returncode == 0


def test_json_round_trips_every_character(capsys: pytest.CaptureFixture[str]) -> None:
    text = 'Ω \x1b \x7f \x9b \u202e \U000e0041 \ud800 "quoted"\n'
    Console().json({"name": text})
    out = capsys.readouterr().out
    assert json.loads(out) == {"name": text}
    assert "Ω" in out
    assert not set(out) & set("\x1b\x7f\x9b\u202e\U000e0041\ud800")


_FOR_LATER = (
    *("appreg.register.checking", "appreg.register.copies", "appreg.tasks.keeping.end_work", "fpdf"),
    *("appreg.register.history.contests", "appreg.register.history.told_record"),
    *("appreg.register.lists.inspection_lists", "appreg.tasks.standing.settle_standing"),
)
"""What closing a register, drawing papers, merges and inspecting need."""


def test_the_first_frame_waits_for_nothing_that_only_leaving_needs(row: WorkedSite) -> None:
    script = (
        "import sys; from pathlib import Path; from appreg.cli.console import Console; from appreg.cli.open_ui import open_on_screen; "
        "from appreg.ui.app import AppregApp; from appreg.ui.shell.places import make_screen; "
        "AppregApp.run = lambda _app: (make_screen('sites'), print('\\n'.join(['MODULES', *sys.modules, 'END']))); "
        "AppregApp.terminal_gone = False; open_on_screen(Path(sys.argv[1]), Console())"
    )
    done = subprocess.run(
        [sys.executable, "-c", script, str(row.register.path)], capture_output=True, text=True, check=True
    )
    loaded = done.stdout.partition("MODULES\n")[2].partition("\nEND")[0].split()
    assert "appreg.ui.screens.sites.sites_screen" in loaded
    assert [each for each in loaded if each.startswith(_FOR_LATER)] == []
