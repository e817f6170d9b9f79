"""Draft a message to each person who sees to sites, or to their client, of what is due there; nothing is sent."""

from collections.abc import Sequence
from datetime import date, datetime
from pathlib import Path
from typing import Final

from msgspec import Struct
from msgspec.structs import replace as with_changes

from appreg.core.records.kept_records import Client, Site
from appreg.core.values.counted_words import counted, items_and_inspections
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.exchange.calendar_file import CalendarTask, CalendarVisit, calendar_bytes
from appreg.exchange.draft_message import Attachment, DraftMessage, address_in, message_bytes
from appreg.exchange.list_file import table_csv
from appreg.files import refuse_place, write_whole
from appreg.progress import Progress, tell
from appreg.register.lists.appliance_lists import site_keys
from appreg.register.lists.damaged_items import refuse_stray_records
from appreg.register.opening.register_file import Register
from appreg.schedule.calendar_following import DOMAIN
from appreg.schedule.due_states import DueState
from appreg.tasks.documents.gather_documents import present_state
from appreg.tasks.documents.tell_due import WHAT_WORDS, due_list
from appreg.tasks.documents.tell_sites import date_form_of
from appreg.tasks.planning.list_due import DueBoard, list_due
from appreg.tasks.standing.due_lines import DueLine

ENDING: Final = ".eml"
_LONGEST_STEM: Final = 40


class Reminder(Struct, frozen=True, kw_only=True):
    """A draft that was written."""

    path: Path
    name: str
    """Whom it is for."""
    address: str
    """Empty: the register holds none, whoever sends it adds it."""
    sites: tuple[str, ...]
    items: int


class _Addressee(Struct, frozen=True):
    """Whom a message is for."""

    name: str
    contact: str


class _Due(Struct, frozen=True, kw_only=True):
    """What is due at one site."""

    site: Site
    board: DueBoard


def draft_reminders(
    register: Register,
    who: str,
    *,
    folder: Path,
    within_days: int = 60,
    site: Uid | None = None,
    sender: str = "",
    replace: bool = False,
    today: date,
    written: datetime,
    progress: Progress | None = None,
) -> tuple[Reminder, ...]:
    """Write a message each into a folder, the list as PDF and CSV and a calendar attached; nobody to remind, no message.

    Raises InputRefused where a file cannot be written or is there already without `replace`, RegisterUnusable, Stopped.
    """
    refuse_stray_records(register)
    due = _due_by_addressee(register, within_days=within_days, site=site, today=today)
    places = _places(folder, [each.name for each in due], today)
    _make_folder(folder)
    for place in places:
        refuse_place(place, replace=replace)
    reminders = []
    for done, ((addressee, own), place) in enumerate(zip(due.items(), places, strict=True)):
        tell(progress, done, len(due), f"Stopped after {done} of {len(due)} messages; those that are written stay.")
        message = _message(
            register, who, addressee, own, sender=sender, within=within_days, today=today, written=written
        )
        write_whole(place, message_bytes(message, written=written), replace=replace)
        reminders.append(
            Reminder(
                path=place,
                name=addressee.name,
                address=message.to,
                sites=tuple(each.site.name for each in own),
                items=len(_items([line for each in own for line in each.board.with_repairs])),
            )
        )
    return tuple(reminders)


def _due_by_addressee(
    register: Register, *, within_days: int, site: Uid | None, today: date
) -> dict[_Addressee, list[_Due]]:
    found: dict[_Addressee, list[_Due]] = {}
    for key in sorted(site_keys(register), key=lambda each: (each.name.casefold(), each.uid)):
        if site not in {None, key.uid}:
            continue
        board = list_due(register, today=today, within_days=within_days, site=key.uid)
        if board.with_repairs:
            place = register.get(Site, key.uid)
            found.setdefault(_addressee(register, place), []).append(_Due(site=place, board=board))
    return found


def _addressee(register: Register, site: Site) -> _Addressee:
    if site.responsible or site.responsible_contact:
        return _Addressee(site.responsible or site.responsible_contact, site.responsible_contact)
    return _Addressee(register.get(Client, site.client).name, "")


def _places(folder: Path, names: Sequence[str], today: date) -> list[Path]:
    places: list[Path] = []
    for name in names:
        safe = "".join(c if c.isalnum() or c in "-_" else "-" for c in name)[:_LONGEST_STEM]
        stem, number = f"reminder-{safe}-{today.isoformat()}", 1
        place = folder / f"{stem}{ENDING}"
        while str(place).casefold() in {str(each).casefold() for each in places}:
            number += 1
            place = folder / f"{stem}-{number}{ENDING}"
        places.append(place)
    return places


def _make_folder(folder: Path) -> None:
    try:
        folder.mkdir(exist_ok=True)
    except OSError as problem:
        raise InputRefused(
            f"{shown(str(folder))} is no folder and cannot be made ({problem.strerror or problem}); name another."
        ) from problem


def _message(
    register: Register,
    who: str,
    addressee: _Addressee,
    due: Sequence[_Due],
    *,
    sender: str,
    within: int,
    today: date,
    written: datetime,
) -> DraftMessage:
    names = [each.site.name for each in due]
    title = names[0] if len(names) == 1 else counted(len(names), "site")
    return DraftMessage(
        sender=sender,
        to_name=addressee.name,
        to=address_in(addressee.contact),
        subject=f"Inspections of electrical equipment due at {title}",
        text=_text(addressee, who, due, within=within, today=today),
        attachments=_attachments(register, title, due, within=within, today=today, written=written),
    )


def _text(addressee: _Addressee, who: str, due: Sequence[_Due], *, within: int, today: date) -> str:
    told = "\n".join(f"- {each.site.name}: {_site_words(each.board, within)}" for each in due)
    return (
        f"Dear {addressee.name},\n\n"
        f"our register says of {date_words(today)}:\n\n{told}\n\n"
        f"An item that is overdue, or was never inspected, is not known to be safe. The list attached names each one, "
        f"where it is and by when it is to be inspected; the calendar holds the days.\n\n"
        f"Please say on which days we may come.\n\n{who}\n"
    )


def _site_words(board: DueBoard, within: int) -> str:
    counts = board.counts
    overdue = [line.due for line in board.lines if line.state is DueState.OVERDUE and line.due]
    said = []
    if overdue:
        since = date_words(min(overdue))
        said.append(f"overdue {items_and_inspections(counts.overdue_items, counts.overdue)}, the first since {since}")
    if counts.due_soon:
        more = "more" if overdue else ""
        words = items_and_inspections(counts.due_soon_items, counts.due_soon, kind=more)
        said.append(f"due within {within} days {words}")
    if counts.never:
        said.append(f"never inspected {counted(counts.never, 'item')}")
    if board.repairs:
        said.append(f"failed and to be put right {counted(len(_items(board.repairs)), 'item')}")
    return "; ".join(said)


def _attachments(
    register: Register, title: str, due: Sequence[_Due], *, within: int, today: date, written: datetime
) -> tuple[Attachment, ...]:
    from appreg.paper.documents.list_document import drawn_list  # noqa: PLC0415 - drawing costs others dearly

    one = due[0].site.uid if len(due) == 1 else None
    boards = [each.board for each in due]
    dates = date_form_of(register, one)
    told = due_list(boards, title=title, within=within, today=today, one_site=one is not None, dates=dates)
    told = with_changes(told, state=present_state(register, today))
    stem = f"due-{today.isoformat()}"
    return (
        Attachment(name=f"{stem}.pdf", kind="application/pdf", content=drawn_list(told).content),
        Attachment(name=f"{stem}.csv", kind="text/csv", content=table_csv(told.tables[0], told.beside)),
        Attachment(name=f"{stem}.ics", kind="text/calendar", content=_calendar(due, title, today, written)),
    )


def _calendar(due: Sequence[_Due], title: str, today: date, written: datetime) -> bytes:
    """The last days of what is still to come as events, what is overdue as a to-do of each site."""
    events: list[CalendarVisit] = []
    tasks: list[CalendarTask] = []
    for each in due:
        dated = [line for line in each.board.with_repairs if line.due is not None]
        coming = sorted({line.due for line in dated if line.due and line.due >= today})
        events += [_event(each.site, day, [line for line in dated if line.due == day]) for day in coming]
        if late := [line for line in dated if line.due and line.due < today]:
            tasks.append(_task(each.site, late, today))
    return calendar_bytes(events, tasks, name=f"Inspections due: {title}", written=written)


def _event(site: Site, day: date, lines: Sequence[DueLine]) -> CalendarVisit:
    return CalendarVisit(
        uid=f"due-{site.uid.lower()}-{day.isoformat()}@{DOMAIN}",
        day=day,
        title=f"Last day for {counted(len(_items(lines)), 'item')} at {site.name}",
        details="\n".join(_line_words(line) for line in lines),
        place=site.address or site.name,
    )


def _task(site: Site, lines: Sequence[DueLine], today: date) -> CalendarTask:
    return CalendarTask(
        uid=f"late-{site.uid.lower()}@{DOMAIN}",
        due=min(line.due or today for line in lines),
        title=f"Overdue at {site.name}: {counted(len(_items(lines)), 'item')}",
        details="\n".join(_line_words(line) for line in lines),
        place=site.address or site.name,
    )


def _line_words(line: DueLine) -> str:
    due = f", due {date_words(line.due)}" if line.due else ""
    return f"{line.appliance.tag} {line.appliance.name}, {line.location.name}: {WHAT_WORDS[line.what]}{due}"


def _items(lines: Sequence[DueLine]) -> set[Uid]:
    return {line.appliance.uid for line in lines}
