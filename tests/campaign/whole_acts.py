"""Work that is done whole or not at all: lists, results, folders and other registers taken in, and whole files written."""

import shutil
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.exchange.import_fields import ImportKind
from appreg.exchange.source_file import read_source
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing.apply_import import TakenIn, apply_order
from appreg.tasks.importing.row_plans import ImportOrder
from appreg.tasks.keeping.export_lines import export_lines
from appreg.tasks.keeping.export_site import export_site
from appreg.tasks.keeping.hand_over import hand_over
from appreg.tasks.keeping.import_folder import import_folder
from appreg.tasks.keeping.import_lines import import_lines
from appreg.tasks.keeping.merge_registers import merge_registers
from appreg.tasks.records.seed_categories import seed_categories
from appreg.tasks.records.undo_step import undo_step
from tests.tasks.import_lists import mapping_of
from tests.tasks.merged_desks import TODAY, WAYS, Desk, School, edit, first_desk

WHO: Final = "killed"
_ROWS: Final = 250
_EDITS: Final = 40
_SITE: Final = Path(__file__).parents[2] / "sample_sites" / "harbour_row"
_LIST: Final = "list.csv"
_RESULTS: Final = "results.csv"
_LINES: Final = "whole.jsonl"
_BACK: Final = "back.appreg"
_OTHER: Final = "other"
_NEW: Final = "new"
OUT: Final = "out"


class WholeAct(Struct, frozen=True, kw_only=True):
    """One kind of work, done in a folder of its own."""

    name: str
    desk: str
    """The stock's desk that the folder begins with."""
    work: Callable[[Path], None]
    also: tuple[str, ...] = ()
    """What else of the stock it needs."""
    noted_first: bool = False
    """The register notes it in the moment before the file gets its name, so that no file is out of which it knows nothing."""


class Stock:
    """Desks and files made once and copied for each round; every register was closed, so the file is all there is."""

    def __init__(self, folder: Path) -> None:
        """Make them."""
        self._folder = folder
        empty, self._school = first_desk(folder / "empty")
        (folder / _LIST).write_text(_list(), "utf-8")
        (folder / _RESULTS).write_text(_results(), "utf-8")
        with empty.open() as register:
            seed_categories(register, WHO)
        listed = empty.copied_to(Desk(folder / "listed"))
        with listed.open() as register:
            step = self._taken(register, folder / _LIST, ImportKind.ITEMS).step
            assert step is not None
            self._step = step
            export_lines(register, folder / _LINES)
        other = listed.copied_to(Desk(folder / _OTHER, ahead=-3))
        went_on = listed.copied_to(Desk(folder / "went on"))
        for desk, who in ((went_on, "Ann"), (other, "Bea")):
            _go_on(desk, self._school, who)
        self._come_back(went_on.copied_to(Desk(folder / "before")), folder / _BACK)
        self.acts = self._acts()

    def laid(self, act: WholeAct, place: Path) -> Desk:
        """A folder in which it can be done, with the desk that does it."""
        place.mkdir()
        for name in act.also:
            source = self._folder / name
            (shutil.copytree if source.is_dir() else shutil.copyfile)(source, place / name)
        (place / "temporary").mkdir()
        return Desk(self._folder / act.desk).copied_to(Desk(place / "desk"))

    def _come_back(self, desk: Desk, back: Path) -> None:
        """What an owner hands back who took a site into a register of his own and worked there."""
        there, handed = Desk(desk.folder / "there"), desk.folder / "handed.appreg"
        with desk.open() as register:
            hand_over(register, WHO, self._school.site.uid, handed)
        with open_register(there.path, clock=there.clock) as register:
            merge_registers(register, "Own", handed, settings=Settings(), now=there.clock())
        _go_on(there, self._school, "Own")
        with there.open() as register:
            hand_over(register, "Own", self._school.site.uid, back)

    def _acts(self) -> tuple[WholeAct, ...]:
        return (
            WholeAct(name="list", desk="empty", work=self._list, also=(_LIST,)),
            WholeAct(name="merge", desk="went on", work=_merge, also=(_OTHER,)),
            WholeAct(name="hand-over", desk="went on", work=self._handed, noted_first=True),
            WholeAct(name="handed back", desk="went on", work=_taken_back, also=(_BACK,)),
            WholeAct(name="results", desk="listed", work=self._results, also=(_RESULTS,)),
            WholeAct(name="folder", desk="listed", work=_folder),
            WholeAct(name="undo", desk="listed", work=self._undo),
            WholeAct(name="lines in", desk="empty", work=_lines_in, also=(_LINES,)),
            WholeAct(name="lines out", desk="listed", work=_lines_out),
            WholeAct(name="folder out", desk="listed", work=self._folder_out),
        )

    def _list(self, place: Path) -> None:
        with Desk(place / "desk").open() as register:
            self._taken(register, place / _LIST, ImportKind.ITEMS)

    def _results(self, place: Path) -> None:
        with Desk(place / "desk").open() as register:
            self._taken(register, place / _RESULTS, ImportKind.RESULTS)

    def _undo(self, place: Path) -> None:
        with Desk(place / "desk").open() as register:
            undo_step(register, WHO, self._step)

    def _handed(self, place: Path) -> None:
        with Desk(place / "desk").open() as register:
            hand_over(register, WHO, self._school.site.uid, place / OUT)

    def _folder_out(self, place: Path) -> None:
        shutil.rmtree(place / OUT, ignore_errors=True)  # what a kill left is no site, and goes first
        with Desk(place / "desk").open() as register:
            export_site(register, self._school.site.uid, place / OUT)

    def _taken(self, register: Register, file: Path, kind: ImportKind) -> TakenIn:
        mapping = mapping_of(file.read_text("utf-8"), kind)
        order = ImportOrder(source=read_source(file), mapping=mapping, site=self._school.site.uid, today=TODAY)
        return apply_order(register, WHO, order, settings=Settings(), now=Desk(file.parent).clock())


def _merge(place: Path) -> None:
    Desk(place / "desk").take_in(Desk(place / _OTHER))


def _taken_back(place: Path) -> None:
    desk = Desk(place / "desk")
    with desk.open() as register:
        merge_registers(register, WHO, place / _BACK, settings=Settings(), now=desk.clock())


def _folder(place: Path) -> None:
    with Desk(place / "desk").open() as register:
        import_folder(register, WHO, _SITE, apply=True)


def _lines_in(place: Path) -> None:
    import_lines(place / _LINES, Desk(place / _NEW).path)


def _lines_out(place: Path) -> None:
    with Desk(place / "desk").open() as register:
        export_lines(register, place / OUT)


def registers_in(place: Path) -> Mapping[str, Path]:
    """The registers that stand in the folder of an act, by the name of their desk."""
    found = {name: place / name / "register.appreg" for name in ("desk", _OTHER, _NEW)}
    return {name: path for name, path in found.items() if path.exists()}


def _go_on(desk: Desk, school: School, who: str) -> None:
    with desk.open() as register:
        for number in range(_EDITS):
            edit(register, school, who, number % WAYS, number)


def _list() -> str:
    rows = (
        f"MS-{number},Kettle {number},Room {number % 20},Ellar,K{number},2200" for number in range(100, 100 + _ROWS)
    )
    return "\n".join(("tag,name,location,make,serial,power_w", *rows)) + "\n"


def _results() -> str:
    """Of each item two, of two years; one in seven fails, one in five is stated without readings."""
    rows = (
        f"MS-{number},{year}-03-0{1 + number % 9},combined,AF,ok,{'9' if number % 7 == 0 else '0.08'},{'' if number % 5 == 0 else '>299'},500,ok,pass"
        for year in (2024, 2025)
        for number in range(100, 100 + _ROWS)
    )
    return (
        "\n".join(
            ("tag,date,kind,person,visual,earth-continuity,insulation,insulation_volts,functional,outcome", *rows)
        )
        + "\n"
    )
