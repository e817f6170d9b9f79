"""What is taken in besides tables, broken: registers as JSON Lines, folders of sites, mappings; and tables planned and applied."""

import hashlib
import json
import re
import shutil
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path
from random import Random
from typing import Any, Final

from msgspec.structs import replace

from appreg.core.records.kept_records import Appliance
from appreg.errors import AppregError
from appreg.exchange.column_mapping import ColumnMapping
from appreg.exchange.mapped_rows import mapped_rows
from appreg.exchange.mapping_file import mapping_text, read_mapping_file
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.source_file import Source, read_source
from appreg.register.checking.checking import problems
from appreg.register.journal.journal_ends import JournalEnd, journal_end
from appreg.register.opening.register_file import open_register
from appreg.tasks.desk.keep_settings import Settings
from appreg.tasks.importing.apply_import import apply_order
from appreg.tasks.importing.plan_import import plan_order
from appreg.tasks.importing.row_plans import ImportOrder, RowState
from appreg.tasks.keeping.export_lines import export_lines
from appreg.tasks.keeping.export_site import export_site
from appreg.tasks.keeping.hand_over import hand_over
from appreg.tasks.keeping.import_folder import import_folder
from appreg.tasks.keeping.import_lines import import_lines
from appreg.tasks.keeping.merge_registers import merge_registers
from appreg.tasks.standing.check_standings import standing_problems
from tests.campaign.mutated_bytes import mutated
from tests.campaign.mutated_registers import mutate_register
from tests.tasks.merged_desks import TODAY, WAYS, Desk, edit, first_desk

WHO: Final = "broken"
_LONGEST: Final = 2000
"""Characters of what is said at once."""
_EDITS: Final = 22
_APPLIED: Final = 0.3
_IN_BYTES: Final = 0.4
_TOML: Final = (
    b"[[column]]\n", b'field = "tag"\n', b'head = "Tag"\n', b"position = 1\n", b'unit = "mA"\n', b"head-lines = 0\n", b"lines-before = 99\n",
    b'date-order = "dmy"\n', b'decimal = ","\n', b'skip = [""]\n', b'[column.values]\n"yes" = "no"\n', b"[constants]\n", b'layout = "long"\n',
    b'encoding = "utf-16"\n', b'encoding = "zlib"\n', b'delimiter = "\\u0000"\n', b'quote = ";"\n', b"[tests]\n", b'over-range = ["OL"]\n',
    b'[[location]]\nname = "x"\n', b'environment = "public"\n', b"closures = [1]\n",
)  # fmt: skip
_CSV: Final = (
    b'"',
    b'""',
    b",,,,",
    b"'=1+1",
    b"ok",
    b"bad",
    b">299",
    b"combined",
    b"2024-09-10",
    b"01ARZ3NDEKTSV4RRFFQ69G5FAV",
)
_CELLS: Final = (
    None,
    "",
    7,
    -1,
    1 << 62,
    "x",
    "=1+1",
    "2026-02-30",
    "[]",
    "[1]",
    "{",
    "\0",
    "\u202e",
    "ok",
    "0" * 26,
    "9" * 400,
    "[red]",
)


def fault_of(refused: AppregError) -> str:
    """What is wrong with how something was refused; empty where it is said as it should be."""
    said = str(refused)
    return (
        ""
        if re.sub(r" \(\d+ more like it\)$", "", said).endswith(".") and len(said) < _LONGEST
        else f"no sentence: {said!r}"
    )


class ImportWorld:
    """A small register, and what can be taken in, whole; each call breaks one thing and says what must not be."""

    def __init__(self, folder: Path, tables: Sequence[bytes]) -> None:
        """Make them; `tables` are sound tables that mappings are made for."""
        self._folder = folder
        self._tables = tables
        self._desk, school = first_desk(folder / "first")
        with self._desk.open() as register:
            for number in range(_EDITS):
                edit(register, school, WHO, number % WAYS, number)
            export_lines(register, folder / "whole.jsonl")
            export_site(register, school.site.uid, folder / "site")
            hand_over(register, WHO, school.site.uid, folder / "handed.appreg")
        self._site = school.site.uid
        self._lines = (folder / "whole.jsonl").read_bytes()
        self._handed = (folder / "handed.appreg").read_bytes()
        self._used = self._desk.copied_to(Desk(folder / "used"))
        self._end = self._read_end()
        self.ways: Mapping[str, Callable[[Random], str]] = {
            "lines": self._broken_lines,
            "lines with a sum that fits": self._altered_lines,
            "folder": self._broken_folder,
            "mapping": self._broken_mapping,
            "hand-over": self._broken_hand_over,
        }
        """By name: breaks one thing of this kind, takes it in and says what is wrong with what came of it."""

    def planned(self, file: Path, random: Random) -> str:
        """Plan a table, apply it now and then; what is wrong with what came of it."""
        try:
            source = read_source(file)
            mapping = replace(guess_mapping(source), problems=())
        except AppregError:
            return ""  # told by whoever reads it
        return self._held(lambda: self._plan(source, mapping), applied=False) or (
            self._held(lambda: self._apply(source, mapping), applied=True) if random.random() < _APPLIED else ""
        )

    def _order(self, source: Source, mapping: ColumnMapping) -> ImportOrder:
        return ImportOrder(source=source, mapping=mapping, site=self._site, today=TODAY, give_tags=True)

    def _plan(self, source: Source, mapping: ColumnMapping) -> None:
        with self._used.open() as register:
            plan = plan_order(register, self._order(source, mapping))
        for row in plan.rows:
            for problem in row.problems:
                if "\n" in problem.sentence or not problem.sentence.endswith("."):
                    raise ValueError(problem.sentence)

    def _apply(self, source: Source, mapping: ColumnMapping) -> None:
        with self._used.open() as register:
            apply_order(register, WHO, self._order(source, mapping), settings=Settings(), now=self._used.clock())
            for problem in (*problems(register), *standing_problems(register)):
                raise ValueError(problem.sentence)
            again = plan_order(register, self._order(source, mapping))
            if again.counts[RowState.NEW] and again.order.mapping.kind != "items":
                raise ValueError(f"imported again, {again.counts[RowState.NEW]} rows are new")

    def _broken_lines(self, random: Random) -> str:
        return self._made_of_lines(mutated(self._lines, _CSV, random))

    def _altered_lines(self, random: Random) -> str:
        lines: list[dict[str, Any]] = [json.loads(line) for line in self._lines.splitlines()]
        for _ in range(random.choice((1, 1, 2, 5))):
            _alter(lines, random)
        return self._made_of_lines(summed(lines))

    def _made_of_lines(self, content: bytes) -> str:
        file, new = self._folder / "broken.jsonl", self._folder / "new.appreg"
        file.write_bytes(content)

        def take() -> None:
            import_lines(file, new)
            with open_register(new) as register:
                for problem in problems(register):
                    raise ValueError(problem.sentence)

        fault = self._held(take, applied=False)
        for each in self._folder.glob("new.appreg*"):
            each.unlink()
        return fault or self._left()

    def _broken_folder(self, random: Random) -> str:
        file = random.choice(sorted((self._folder / "site").iterdir()))
        whole = file.read_bytes()
        file.write_bytes(mutated(whole, _TOML if file.suffix == ".toml" else _CSV, random))
        empty = self._empty()
        apply = random.random() < 0.5

        def take() -> None:
            with open_register(empty) as register:
                before = journal_end(register.rows)
                import_folder(register, WHO, self._folder / "site", apply=apply)
                if not apply and journal_end(register.rows) != before:
                    raise ValueError("what was only tried was kept")
                for problem in (*problems(register), *standing_problems(register)):
                    raise ValueError(problem.sentence)

        fault = self._held(take, applied=False)
        file.write_bytes(whole)
        return f"{file.name}: {fault}" if fault else self._left()

    def _broken_mapping(self, random: Random) -> str:
        table, file = self._folder / "table", self._folder / "broken.toml"
        table.write_bytes(random.choice(self._tables))
        source = read_source(table)
        whole = mapping_text(guess_mapping(source)).encode()
        file.write_bytes(mutated(whole, _TOML, random))

        def take() -> None:
            mapping = read_mapping_file(file)
            for _ in mapped_rows(source, mapping):
                pass
            self._plan(source, mapping)

        return self._held(take, applied=False)

    def _broken_hand_over(self, random: Random) -> str:
        """Merged only in trial, so that what one broken file brought in stands in the way of no other."""
        file = self._folder / "handed.appreg"
        file.write_bytes(self._handed)
        if random.random() < _IN_BYTES:
            file.write_bytes(mutated(self._handed, (), random))
        else:
            mutate_register(file, random)

        def take() -> None:
            with self._used.open() as register:
                merge_registers(register, WHO, file, settings=Settings(), now=self._used.clock(), only_tried=True)
            with open_register(file, create=False) as handed:
                handed.find(Appliance)

        fault = self._held(take, applied=False)
        for each in self._folder.glob("handed.appreg-*"):
            each.unlink()
        return fault or self._left()

    def _empty(self) -> Path:
        for each in self._folder.glob("empty.appreg*"):
            shutil.rmtree(each) if each.is_dir() else each.unlink()
        return self._folder / "empty.appreg"

    def _held(self, take: Callable[[], None], *, applied: bool) -> str:
        """What went wrong, the register having changed among it; empty where nothing did."""
        fault = ""
        try:
            take()
        except AppregError as refused:
            fault = fault_of(refused)
            applied = False
        except Exception as problem:  # noqa: BLE001 - whatever comes out is a fault to tell
            fault = f"{type(problem).__name__}: {problem}"
        end = self._read_end()
        if not applied and end != self._end:
            fault = f"{fault} the register was changed"
        self._end = end
        return fault

    def _read_end(self) -> JournalEnd:
        with self._used.open() as register:
            return journal_end(register.rows)

    def _left(self) -> str:
        left = [each.name for each in self._folder.rglob(".appreg-*")]
        return f"{left} were left" if left else ""


def _alter(lines: list[dict[str, Any]], random: Random) -> None:
    """One change that keeps the form of a line of JSON."""
    at = random.randrange(len(lines) - 1)
    way = random.randrange(5)
    cells = lines[at].get("cells")
    if way == 0:
        lines.pop(max(at, 1))
    elif way == 1:
        lines.insert(max(at, 1), lines[random.randrange(1, len(lines) - 1)])
    elif way == 2 or cells is None:
        table = random.choice(lines[0]["tables"])
        key = random.choice(("rows", "columns", "table"))
        table[key] = {
            "rows": table["rows"] + random.choice((-1, 1, 5)),
            "columns": table["columns"][1:],
            "table": "journal",
        }[key]
    else:
        lines[at] = {**lines[at], "cells": {**cells, random.choice(list(cells)): random.choice(_CELLS)}}


def summed(lines: Sequence[Mapping[str, Any]]) -> bytes:
    """Lines with an end that fits them: what somebody writes who knows the form."""
    body = b"".join(json.dumps(each, ensure_ascii=False).encode() + b"\n" for each in lines[:-1])
    end = {"end": "appreg.register-lines", "lines": len(lines) - 1, "sha256": hashlib.sha256(body).hexdigest()}
    return body + json.dumps(end).encode() + b"\n"
