"""Files that commands read, mutated: each read or refused in a sentence, in time, with an exit code that is documented."""

import shutil
from collections.abc import Callable, Iterable, Sequence
from importlib.resources import files
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.cli.exit_codes import ExitCode
from appreg.errors import AppregError
from appreg.exchange.sample_folder import read_sample_site
from appreg.paper.labels.label_layout import place_labels
from appreg.paper.labels.label_stock import problems_of
from appreg.tasks.desk.confirm_cautions import cautions_confirmed
from appreg.tasks.desk.find_stocks import stocks_at_hand
from appreg.tasks.desk.keep_settings import load_settings
from tests.campaign.called_commands import call, faults_of, surroundings
from tests.campaign.mutated_bytes import mutated
from tests.campaign.mutated_registers import mutate_register
from tests.campaign.small_world import REGISTER, small_world
from tests.campaign.trial import Trial

_SAMPLES: Final = Path(__file__).parents[2] / "sample_sites"
_TOML: Final = (
    b"[insulation.class-1]\n",
    b"least = 0.5\n",
    b"item = 480\n",
    b'basis = "x"\n',
    b"[intervals]\n",
    b"a.b.c = 1\n",
)
_ICS: Final = (
    b"BEGIN:VEVENT\r\n", b"END:VEVENT\r\n", b"RRULE:FREQ=SECONDLY\r\n", b"RRULE:FREQ=YEARLY;BYMONTH=2;BYMONTHDAY=30\r\n",
    b"DURATION:P99999D\r\n", b"DURATION:-PT1S\r\n", b"DTEND;VALUE=DATE:00010101\r\n", b"DTSTART:99991231T235959Z\r\n",
    b"DTSTART;TZID=Nowhere/At all:20261225T000000\r\n", b"BEGIN:VTIMEZONE\r\n", b";VALUE=PERIOD", b"EXDATE:20261225\r\n",
    b"RDATE;VALUE=PERIOD:19960403T020000Z/19960403T040000Z\r\n", b"ATTACH;ENCODING=BASE64;VALUE=BINARY:AA\r\n",
)  # fmt: skip
_CSV: Final = (b'"', b'""', b",,,,", b"'=1+1", b"ok", b"bad", b">299", b"OL", b"combined", b"2024-09-10")

_JSON: Final = (b'"items": []', b"null", b"1e999", b'"\\ud800"', b"[[[[", b'"appreg.scope"', b"-1")
_COMPARE: Final = ("scope", "--compare")
_FORMS: Final[Sequence[Sequence[str]]] = ((), ("--json",), ("--csv",))


class _Kind(Struct, frozen=True):
    """A kind of file: the one that is mutated, pieces of its own language, and the commands that read it."""

    name: str
    file: str
    pieces: Sequence[bytes]
    words: Sequence[Sequence[str]]


_READ_REGISTER: Final = (
    ("due",), ("due", "--by", "category", "--json"), ("due", "--csv"), ("find", "kettle"), ("show", "HR-001"),
    ("show", "HR-002", "--json"), ("plan", "--site", "HR", "--years", "1"), ("evidence",), ("verify",),
    ("print", "register", "--site", "HR", "-o", "new.pdf"), ("print", "labels", "-o", "new.pdf"),
    ("print", "report", "--site", "HR", "-o", "new.pdf"), ("move", "HR-001", "issued"),
)  # fmt: skip
_PLAN: Final = ("plan", "--site", "HR", "--years", "1", "--from", "2026-11-24")
_KINDS: Final = (
    _Kind("holidays", "holidays.txt", (b"2026-12-24..2027-01-03 x\n",), ((*_PLAN, "--holidays", "holidays.txt"),)),
    _Kind("calendars", "holidays.ics", _ICS, ((*_PLAN, "--holidays", "holidays.ics"),)),
    _Kind("minutes", "minutes.toml", _TOML, ((*_PLAN, "--minutes", "minutes.toml"),)),
    _Kind(
        "overlays",
        "overlay.toml",
        _TOML,
        (
            ("judge", "--class", "2", "--overlay", "overlay.toml", "--insulation", "6", "--visual", "ok"),
            ("interval", "--list", "--overlay", "overlay.toml"),
        ),
    ),
    _Kind("rule books", "own.toml", _TOML, (("interval", "--list", "--rule-book", "own.toml"),)),
    _Kind("scopes csv", "scope.csv", _CSV, [(*_COMPARE, "scope.csv", *form) for form in _FORMS]),
    _Kind("scopes json", "scope.json", _JSON, [(*_COMPARE, "scope.json", *form) for form in _FORMS]),
    _Kind(
        "sheets",
        "sheets.pdf",
        (b"/Keywords (labels of appreg 1 )", b":0:1:"),
        (("print", "labels", "--confirm", "sheets.pdf"),),
    ),
    _Kind("registers", REGISTER, (), _READ_REGISTER),
)


def run(trial: Trial) -> None:
    """Mutate one file after another, each kind in turn, and have it read."""
    world = small_world(trial.folder / "here")
    sample = _Sample(trial.folder / "sample")
    own = (_settings(world.folder), _stocks(world.folder), _cautions(world.folder), sample.read)
    with surroundings(world.folder, world.environ):
        while trial.goes_on():
            kind = trial.random.choice((*_KINDS, *own))
            if not isinstance(kind, _Kind):
                kind(trial)
                continue
            file = world.folder / kind.file
            if kind.name == "registers" and trial.random.random() < 0.9:
                content = mutate_register(file, trial.random).encode(errors="backslashreplace")
            else:
                content = mutated(world.files[kind.file], kind.pieces, trial.random)
                file.write_bytes(content)
            words = trial.random.choice(kind.words)
            called = call(words)
            trial.count(kind.name)
            trial.count(f"{kind.name} taken", int(called.code in {ExitCode.FINE, ExitCode.INCOMPLETE}))
            _tell(trial, f"{kind.name}: {words!r}", content, faults_of(words, called))
            world.restore()


def _tell(trial: Trial, what: str, content: bytes, faults: Iterable[str]) -> None:
    """Note the faults, with the beginning of the file that showed them, or what was done to it."""
    for fault in faults:
        trial.fault(f"{what}: {fault}; {content[:200]!r}")


def _settings(folder: Path) -> Callable[[Trial], None]:
    whole = (
        b'theme = "dark"\nplain_colours = false\ndue_within_days = 30\nlabel_stock = "a4-24"\nwho = "Ada"\n'
        b'[keys]\n"bench.fail" = "x"\n'
    )
    return _reader("settings", folder / "settings.toml", whole, load_settings)


def _stocks(folder: Path) -> Callable[[Trial], None]:
    """A person's own label stock: whatever is in the file, each fault is a sentence and what is taken can be printed on."""
    whole = files("appreg.paper").joinpath("stocks.toml").read_bytes().replace(b"[", b"[own-")
    environ = {"APPREG_SETTINGS": str(folder / "settings.toml")}

    def read(_: Path) -> None:
        at_hand = stocks_at_hand(environ)
        for fault in at_hand.faults:
            if not fault.endswith(".") or "\n" in fault:
                raise ValueError(fault)
        for stock in at_hand.stocks.values():
            place_labels(stock, 1, stock.places)
            if problems_of(stock):
                raise ValueError(f"{stock.id} was taken: {problems_of(stock)}")

    return _reader("stocks", folder / "stocks.toml", whole, read)


def _cautions(folder: Path) -> Callable[[Trial], None]:
    whole = b"2026-11-24\t1\tAda\n2026-11-25\t1\tT S\n"
    environ = {"APPREG_SETTINGS": str(folder / "settings.toml")}
    return _reader(
        "cautions", folder / "cautions.txt", whole, lambda _: cautions_confirmed(folder / REGISTER, "Ada", environ)
    )


def _reader(name: str, file: Path, whole: bytes, read: Callable[[Path], object]) -> Callable[[Trial], None]:
    """A kind of file that no command of the command line reads by itself."""

    def one(trial: Trial) -> None:
        content = mutated(whole, _TOML, trial.random)
        file.write_bytes(content)
        trial.count(name)
        _tell(trial, name, content, _faults_of_reading(lambda: read(file)))

    return one


def _faults_of_reading(read: Callable[[], object]) -> Sequence[str]:
    try:
        read()
    except AppregError as refused:
        return [] if str(refused).endswith(".") and len(str(refused)) < 2000 else [f"no sentence: {refused}"]
    except Exception as problem:  # noqa: BLE001 - whatever comes out is a fault to tell
        return [f"{type(problem).__name__}: {problem}"]
    return []


class _Sample:
    """A copy of a sample site, one file of which is mutated."""

    def __init__(self, folder: Path) -> None:
        self._source = min(each.parent for each in _SAMPLES.glob("*/site.toml"))
        self._folder = folder
        shutil.copytree(self._source, folder)

    def read(self, trial: Trial) -> None:
        """Mutate a file, read the folder, put the file back."""
        file = trial.random.choice(sorted(each for each in self._folder.iterdir() if each.suffix in {".toml", ".csv"}))
        whole = file.read_bytes()
        content = mutated(whole, _TOML if file.suffix == ".toml" else _CSV, trial.random)
        file.write_bytes(content)
        trial.count(f"sample {file.name}")
        _tell(trial, f"sample {file.name}", content, _faults_of_reading(lambda: read_sample_site(self._folder)))
        file.write_bytes(whole)
