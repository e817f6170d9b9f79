"""What came first: the place of a record in the journal, whose order no clock can turn."""

from collections.abc import Iterable
from typing import Final, TypeVar

from appreg.core.records import Record
from appreg.core.uids import Uid
from appreg.register.record_kinds import kind_of
from appreg.register.register_file import Register

R = TypeVar("R", bound=Record)

FIRST: Final = ""
"""The place of a record that the journal does not know: before all others."""


def place_column(table: str, uid: str) -> str:
    """The SQL that gives the place of a row; `uid` is the column that holds its key."""
    return f"""(SELECT min(j.time) FROM journal j WHERE j.entity = '{table}' AND j.uid = {uid})"""


def places_of(register: Register, kind: type[R], uids: Iterable[Uid]) -> dict[Uid, str]:
    """The places of records of one kind, by key; they sort as text."""
    statement = "SELECT min(time) FROM journal WHERE entity = ? AND uid = ?"
    table = kind_of(kind).table
    return {uid: register.rows(statement, (table, uid))[0][0] or FIRST for uid in uids}


def in_journal_order(register: Register, records: Iterable[R]) -> list[R]:
    """Records of one kind in the order in which they were put into the register, oldest first."""
    listed = list(records)
    if len(listed) <= 1:
        return listed
    places = places_of(register, type(listed[0]), (each.uid for each in listed))
    return sorted(listed, key=lambda each: (places[each.uid], each.uid))
