"""What only a register in a file has, checked: file, latest saves, references, the tables' words, and the search index."""

import sqlite3
import struct
from collections.abc import Iterator
from contextlib import closing
from functools import cache, partial
from pathlib import Path
from typing import Any, BinaryIO, Final, cast

from appreg.errors import PUT_BACK, RegisterUnusable
from appreg.register.engine.file_engine import FileEngine
from appreg.register.engine.register_problems import Problem, key_words
from appreg.register.opening.migrations import lay_tables, maker_of_file
from appreg.register.opening.register_file import Register, opened_register
from appreg.register.schema.file_marks import NEWEST
from appreg.register.schema.record_kinds import JOURNALLED

_SHADOWS: Final = tuple(f"appliance_text_{part}" for part in ("data", "idx", "docsize", "config"))
"""The search index's own tables, worded by the SQLite that made them."""
_SCHEMA: Final = (
    "SELECT type, name, tbl_name, sql FROM sqlite_master WHERE name NOT IN ('sqlite_stat1', 'sqlite_stat4')"
)
"""All but what SQLite has noted of the data for its own plans."""
_ANY_TEXT: Final = partial(str, encoding="utf-8", errors="surrogateescape")
_INDEX: Final = "appliance_text"
_BEFORE_ALL: Final = b"0"
"""Each word stands in the index behind this letter."""
_TYPES: Final = {
    "data": (("id", "integer"), ("block", "blob")),
    "idx": (("segid", "integer"), ("term", "blob"), ("pgno", "integer")),
    "docsize": (("id", "integer"), ("sz", "blob")),
    "config": (("k", "text"), ("v", "integer")),
}
"""What the columns of its own tables hold."""


class FileCheck:
    """Checks what the journal does not tell."""

    def __init__(self, register: Register) -> None:
        # The search index is checked by a statement that SQLite counts as writing.
        private = register.read_only
        self.register = opened_register(cast("FileEngine", register.engine).copied()) if private else register.reopen()
        self._private = bool(private)
        # A file damaged from outside may hold bytes that are no text; they must be found, not stumbled over.
        self.register.connection.text_factory = _ANY_TEXT

    def beforehand(self) -> Iterator[Iterator[Problem]]:
        """What SQLite does not answer within a transaction."""
        if not self._private:
            yield wal_problems(self.register)
        yield _search_problems(self.register)

    def hold(self) -> None:
        """From here on everything is seen as it is now, whatever others write."""
        self.register.engine.hold()

    def own(self) -> Iterator[Iterator[Problem]]:
        """File, references, tables."""
        yield _file_problems(self.register)
        yield _reference_problems(self.register)
        yield _schema_problems(self.register)


def _search_problems(register: Register) -> Iterator[Problem]:
    """Where the index and the appliances disagree, or a word is there and is not found."""
    try:
        # SQLite takes this question as an insert that inserts nothing.
        register.connection.execute(f"INSERT INTO {_INDEX} ({_INDEX}, rank) VALUES ('integrity-check', 1)")
    except sqlite3.ProgrammingError:
        raise
    except sqlite3.DatabaseError as error:
        if "locked" in str(error) or "readonly" in str(error):
            yield Problem(
                table=_INDEX,
                sentence="The search index could not be checked, as another program is writing; check again later.",
            )
            return
        yield _search_problem(f"does not agree with the appliances ({error})", column="ordinal")
        return
    yield from _odd_cells(register)
    yield from _lost_words(register)


def _odd_cells(register: Register) -> Iterator[Problem]:
    for part, columns in _TYPES.items():
        for column, kind in columns:
            odd = f'SELECT 1 FROM {_INDEX}_{part} WHERE typeof("{column}") != ? LIMIT 1'
            if register.rows(odd, (kind,)):
                yield _search_problem(f"holds something else than it should as {column} in {_INDEX}_{part}")


def _lost_words(register: Register) -> Iterator[Problem]:
    """SQLite finds a word by way of a table that its own check does not look at closely."""
    if register.rows(f"SELECT 1 FROM {_INDEX}_idx WHERE term > x'' AND term <= ?", (_BEFORE_ALL,)):
        # Not even a list of all words would begin where it should.
        yield _search_problem("begins in the wrong place")
    register.connection.execute(f"CREATE VIRTUAL TABLE temp.words USING fts5vocab(main, {_INDEX}, 'row')")
    lost = register.rows(
        f"SELECT count(*) FROM temp.words WHERE doc != (SELECT count(*) FROM {_INDEX} "
        f"WHERE {_INDEX} MATCH '\"' || replace(term, '\"', '\"\"') || '\"')"
    )[0][0]
    register.connection.execute("DROP TABLE temp.words")
    if lost:
        yield _search_problem(f"does not find {lost} of the words that it holds")


def _search_problem(fault: str, *, column: str = "") -> Problem:
    return Problem(table=_INDEX, column=column, sentence=f"The search index {fault}; {PUT_BACK}.")


def _file_problems(register: Register) -> Iterator[Problem]:
    for (message,) in register.rows("PRAGMA integrity_check"):
        if message != "ok":
            said = _first_of(str(message))
            yield Problem(table="(file)", sentence=f"SQLite finds the file damaged ({said}); {PUT_BACK}.")


def _first_of(message: str) -> str:
    """What SQLite says first: of one damage it may tell a hundred lines, below a line that says in which database."""
    lines = [line for line in message.splitlines() if line and not line.startswith("***")]
    more = f", and {len(lines) - 1} more" if len(lines) > 1 else ""
    return f"{lines[0] if lines else message}{more}"


def _reference_problems(register: Register) -> Iterator[Problem]:
    for table, rowid, parent, number in register.rows("PRAGMA foreign_key_check"):
        if table not in JOURNALLED:
            continue  # told, but no evidence; or another's table, which is told of as that
        column = next(row[3] for row in register.rows(f'PRAGMA foreign_key_list("{table}")') if row[0] == number)
        found = register.rows(f'SELECT uid FROM "{table}" WHERE rowid = ?', (rowid,))
        uid = key_words(found[0][0] if found else None)
        yield Problem(
            table=table, row=uid, column=column,
            sentence=f"{table} {uid}: the {parent} its {column} names is not there; {PUT_BACK}.",
        )  # fmt: skip


def _schema_problems(register: Register) -> Iterator[Problem]:
    expected = _expected_schema()
    found = _schema(register.rows(_SCHEMA))
    for name in sorted(expected.keys() | found.keys()):
        if found.get(name) != expected.get(name):
            fault = "is missing" if name not in found else "does not belong" if name not in expected else "was altered"
            yield Problem(
                table=name, sentence=f"{name} {fault} in the register's tables, indexes and triggers; "
                f"{PUT_BACK}.",
            )  # fmt: skip
    ((version,),) = register.rows("PRAGMA user_version")
    if version != NEWEST:
        yield Problem(table="(file)", sentence=f"The file says schema {version} instead of {NEWEST}; it was altered.")


@cache
def _expected_schema() -> dict[str, tuple[Any, ...]]:
    with closing(sqlite3.connect(":memory:")) as fresh:
        lay_tables(maker_of_file(Path(":memory:"), fresh))
        return _schema(fresh.execute(_SCHEMA).fetchall())


def _schema(rows: list[tuple[Any, ...]]) -> dict[str, tuple[Any, ...]]:
    return {str(name): (kind, table, None if name in _SHADOWS else sql) for kind, name, table, sql in rows}


# The layout is SQLite's own: https://www.sqlite.org/fileformat2.html, section 4 (published).
_HEADER: Final = struct.Struct(">IIII8sII")
"""Mark, version, page size, count of checkpoints, salt, two sums."""
_FRAME: Final = struct.Struct(">II8s8s")
"""Page, pages of the register where a save ends here, salt, two sums."""
_LONGEST_SUMMED: Final = 2000
"""Frames; a second or so of sums."""
_MARKS: Final = {0x377F0682: "<", 0x377F0683: ">"}


def wal_problems(register: Register) -> Iterator[Problem]:
    """Saves in the file that SQLite leaves out, as something before them is damaged."""
    path = register.path.with_name(register.path.name + "-wal")
    lost = _saves_left_out(path, _frames_read(register))
    if lost:
        saves = "a save" if lost == 1 else f"{lost} saves"
        yield Problem(
            table="(file)",
            sentence=f"{path.name}: {saves} in it cannot be read, cut off by a crash beside other writers or damaged; "
            "keep a copy of it and of the register before anything else is saved.",
        )


def _frames_read(register: Register) -> int | None:
    """How many frames SQLite finds good; None where it cannot be asked."""
    try:
        ((_, frames, _),) = register.rows("PRAGMA wal_checkpoint(PASSIVE)")
    except RegisterUnusable:
        return None
    return int(frames)


def _saves_left_out(path: Path, read: int | None) -> int:
    if read is None or read < 0:
        return 0
    try:
        with path.open("rb") as file:
            return _ends_after(file, read)
    except OSError:
        return 0


def _ends_after(file: BinaryIO, read: int) -> int:
    """Saves that end after so many good frames and bear the salt of this file's beginning."""
    head = file.read(_HEADER.size)
    if len(head) < _HEADER.size:
        return 0
    mark, _, page, _, salt, first, second = _HEADER.unpack(head)
    order = _MARKS.get(mark)
    if order is None or _sums(head[:24], order) != (first, second):
        # Not one frame is read; how many saves there were nobody can tell.
        return 1 if file.read(1) else 0
    if read == 0 and _first_save_is_good(file, page, order, salt, (first, second)):
        return 0  # all of it was taken over into the register, and the file is about to begin anew
    ends, place = 0, read
    while True:
        file.seek(_HEADER.size + place * (_FRAME.size + page))
        frame = file.read(_FRAME.size)
        if len(frame) < _FRAME.size:
            return ends
        _, size, own, _ = _FRAME.unpack(frame)
        # One of another salt is left from before, or is itself damaged: what follows it tells.
        ends += own == salt and size > 0
        place += 1


def _first_save_is_good(file: BinaryIO, page: int, order: str, salt: bytes, sums: tuple[int, int]) -> bool:
    """Tell whether the first save could be read; a very long one is taken to be."""
    for _ in range(_LONGEST_SUMMED):
        frame, content = file.read(_FRAME.size), file.read(page)
        if len(content) < page:
            return True  # it never ended
        sums = _sums(content, order, _sums(frame[:8], order, sums))
        if frame[8:16] != salt or sums != struct.unpack(">II", frame[16:]):
            return False
        if _FRAME.unpack(frame)[1]:
            return True
    return True


def _sums(content: bytes, order: str, seed: tuple[int, int] = (0, 0)) -> tuple[int, int]:
    """The two running sums of SQLite's file format over pairs of 32-bit words."""
    first, second = seed
    for one, other in struct.iter_unpack(f"{order}II", content):
        first = (first + one + second) & 0xFFFFFFFF
        second = (second + other + first) & 0xFFFFFFFF
    return first, second
