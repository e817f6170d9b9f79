"""Merge what a form changed into a record that another desk may have changed since the form was opened."""

from collections.abc import Collection, Mapping
from datetime import date
from enum import Enum
from typing import Any, Final, TypeVar

from msgspec.structs import replace

from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Appliance, Category, Client, Instrument, Location, Person, Record, Site
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.history.journal import End, JournalEntry, changes_since, last_change_of
from appreg.register.opening.register_file import Register

R = TypeVar("R", bound=Record)

_REFERENCES: Final[Mapping[str, type[Any]]] = {
    "client": Client,
    "site": Site,
    "location": Location,
    "category": Category,
    "person": Person,
    "instrument": Instrument,
    "feeds": Appliance,
    "job": Job,
}


class ChangedMeanwhile(InputRefused):
    """Another desk changed what is to be changed; the sentence says both values, who and when."""

    def __init__(self, sentence: str, base: Any = None, *, field: str = "") -> None:
        super().__init__(sentence, field=field)
        self.base = base
        """The record as it was opened, but with the other desk's values: what a knowing second save goes by."""


def merged(register: Register, opened: R, wanted: R) -> R:
    """The record as it now is, with the fields in which `wanted` differs from `opened`; call it within the change.

    Raises ChangedMeanwhile where one of these fields holds neither what was opened nor what is wanted.
    """
    now = register.get(type(opened), opened.uid)
    changed = {name: value for name, value in _fields(wanted).items() if value != getattr(opened, name)}
    theirs = {
        name: getattr(now, name)
        for name, value in changed.items()
        if getattr(now, name) not in {getattr(opened, name), value}
    }
    if theirs:
        said = [_conflict(register, opened.uid, name, now=theirs[name], typed=changed[name]) for name in theirs]
        raise ChangedMeanwhile(
            f"{' '.join(said)} Save again to keep what you typed, or leave to keep theirs.",
            base=replace(opened, **theirs),
            field=next(iter(theirs)),
        )
    return replace(now, **changed)


def refuse_changed_since(register: Register, end: End | None, items: Collection[Uid], field: str) -> None:
    """Raise ChangedMeanwhile where a field of one of the items was changed after that line of the journal."""
    if end is None:
        return
    wanted = set(items)
    for entry in changes_since(register, end, Appliance):
        if entry.uid in wanted and entry.before is not None and entry.after is not None and field in entry.after:
            item = register.get(Appliance, Uid(entry.uid))
            raise ChangedMeanwhile(
                f"{item.tag}: another desk changed its {_named(field)} meanwhile to "
                f"{_words(register, field, getattr(item, field))} ({author_words(entry)}); nothing was changed here. "
                "Look at it, and do it once more if it is still wanted."
            )


def author_words(entry: JournalEntry) -> str:
    """Who made a change and when."""
    return f"{entry.who}, {date_words(date.fromisoformat(entry.time[:10]))} {entry.time[11:16]} UTC"


def _conflict(register: Register, uid: Uid, name: str, *, now: object, typed: object) -> str:
    entry = last_change_of(register, uid, name)
    by = f" ({author_words(entry)})" if entry else ""
    return (
        f"{_named(name)}: another desk changed it meanwhile to {_words(register, name, now)}{by}; "
        f"here stands {_words(register, name, typed)}."
    )


def _named(name: str) -> str:
    return name.replace("_", " ")


def _words(register: Register, name: str, value: object) -> str:
    if value is None or value == "":
        return "nothing"
    if isinstance(value, bool):
        return "yes" if value else "no"
    if isinstance(value, date):
        return date_words(value)
    if name in _REFERENCES:
        found = register.find(_REFERENCES[name], uid=value)
        return f"“{getattr(found[0], 'tag', getattr(found[0], 'name', ''))}”" if found else "one that is gone"
    if isinstance(value, Enum):
        return f"“{getattr(value, 'label', value.value)}”"
    return f"“{value}”"


def _fields(record: Record) -> dict[str, Any]:
    return {name: getattr(record, name) for name in type(record).__annotations__}
