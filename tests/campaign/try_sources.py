"""Tables and all else that is taken in, broken in every way: read or refused in a sentence, within five seconds and 500 MB."""

import io
import resource
import time
import zipfile
from collections.abc import Sequence
from pathlib import Path
from random import Random
from typing import Final

from msgspec.structs import replace
from xlsxwriter import Workbook

from appreg.errors import AppregError
from appreg.exchange.mapped_rows import mapped_rows
from appreg.exchange.mapping_file import mapping_text, read_mapping
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import read_source
from tests.campaign.broken_imports import ImportWorld
from tests.campaign.hostile_tables import WHOLES
from tests.campaign.mutated_bytes import mutated
from tests.campaign.trial import Trial
from tests.unsynced_disk import unsynced_disk

SOURCES: Final = Path(__file__).parents[1] / "exchange" / "sources"
LONGEST: Final = 5.0
"""Seconds of this process's own time, whatever else the machine does."""
MOST_KILOBYTES: Final = 500_000
_PIECES: Final = (
    b";", b"\t", b'""', b"'=1+1", b">299", b"OL", b"Tag,", b"03/04/25", b"\xff\xfe", b"\xe4", "Ω".encode("utf-16-le"), b"sep=;\n",
    b"1.234,56", b"," * 5000, b"=HYPERLINK(1)", b"Total:", b"\n\n\n",
)  # fmt: skip
_XML: Final = (
    b'<c r="A1">', b'r="XFD9"', b't="s"', b"<v>99999999</v>", b"</row>", b"<si><t>", b"&amp;", b"<!DOCTYPE x>", b'r="0"', b"<f>1</f>", b'xml:space="x"',
    b"<mergeCell ref='A1:B2'/>", b'numFmtId="14"', b"<!--", b"<![CDATA[",
)  # fmt: skip
_SELDOM: Final = 0.02
_NO_TABLE: Final = 0.3
_PLANNED: Final = 0.3
_SOON: Final = 1.0
"""Seconds."""


def run(trial: Trial) -> None:
    """Break one thing after another and take it in."""
    with unsynced_disk():
        _run(trial)


def _run(trial: Trial) -> None:
    texts = [each.read_bytes() for each in sorted(SOURCES.iterdir())]
    books = [_as_book(trial.folder / "book.xlsx", text) for text in texts]
    (trial.folder / "world").mkdir()
    world = ImportWorld(trial.folder / "world", texts)
    while trial.goes_on():
        before, began = _most_kilobytes(), time.process_time()
        content = b""
        if trial.random.random() < _NO_TABLE:
            name = trial.random.choice(list(world.ways))
            fault = world.ways[name](trial.random)
        else:
            name, content = _one(texts, books, trial.random)
            fault = _fault_of_table(trial, world, name, content)
        took = time.process_time() - began
        trial.count(name)
        if took > LONGEST:
            fault = f"took {took:.1f} s"
        if before < (most := _most_kilobytes()) > MOST_KILOBYTES:
            fault = f"{fault} the process has had {most} kB"
        if fault:
            trial.fault(f"{name}: {fault}; {content[:200]!r}")


def _fault_of_table(trial: Trial, world: ImportWorld, name: str, content: bytes) -> str:
    file = trial.folder / "table"
    file.write_bytes(content)
    began = time.process_time()
    fault = fault_of_reading(file, trial)
    # What is too long to be read twice may be planned as long: a person sees how far it is, and can stop it.
    if not fault and time.process_time() - began < _SOON and (name in WHOLES or trial.random.random() < _PLANNED):
        trial.count("planned")
        fault = world.planned(file, trial.random)
    file.unlink()
    return fault


def _most_kilobytes() -> int:
    """The most memory that this process has had; only what reading adds to it counts against reading."""
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss


def fault_of_reading(file: Path, trial: Trial) -> str:
    """What is wrong with how a table was read to its end; empty where nothing is."""
    try:
        source = read_source(file)
        mapping = guess_mapping(source)
        if read_mapping(mapping_text(mapping), "m.toml") != replace(mapping, problems=()):
            return "its mapping is not read as it was written"
        for row in mapped_rows(source, replace(mapping, problems=())):
            for problem in row.problems[:1]:
                if "\n" in problem.sentence or not problem.sentence.endswith("."):
                    return f"no sentence: {problem.sentence!r}"
            trial.count("rows")
    except AppregError as refused:
        said = str(refused)
        trial.count("refused")
        return "" if said.endswith(".") and len(said) < 2000 and "\n" not in said else f"no sentence: {said!r}"
    except BaseException as problem:
        if isinstance(problem, KeyboardInterrupt):
            raise
        return f"{type(problem).__name__}: {problem}"
    return ""


def _one(texts: Sequence[bytes], books: Sequence[bytes], random: Random) -> tuple[str, bytes]:
    if random.random() < _SELDOM:
        name = random.choice(sorted(WHOLES))
        return name, WHOLES[name]()
    if random.random() < 0.5:
        return "text", mutated(random.choice(texts), _PIECES, random)
    book = random.choice(books)
    if random.random() < 0.3:
        return "workbook", mutated(book, (), random)
    return "part of a workbook", _with_broken_part(book, random)


def _with_broken_part(book: bytes, random: Random) -> bytes:
    """A workbook one part of which is broken inside, its packing sound."""
    held = io.BytesIO()
    with zipfile.ZipFile(io.BytesIO(book)) as whole, zipfile.ZipFile(held, "w") as packed:
        names = [name for name in whole.namelist() if name.startswith("xl/") or random.random() < _SELDOM]
        broken = random.choice(names)
        for name in whole.namelist():
            content = whole.read(name)
            packed.writestr(name, mutated(content, _XML, random) if name == broken else content)
    return held.getvalue()


def _as_book(file: Path, text: bytes) -> bytes:
    """The lines of a table as a workbook, figures and formulas among its cells."""
    book = Workbook(str(file), {"strings_to_urls": False})
    sheet = book.add_worksheet()
    for line, row in enumerate(text.decode("utf-8", errors="ignore").splitlines()):
        for at, one in enumerate(row.replace(";", ",").replace("\t", ",").split(",")):
            sheet.write(line, at, float(one) if one.isdigit() else one)
    book.close()
    return file.read_bytes()
