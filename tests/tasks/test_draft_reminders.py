"""Drafts of what is due: one a person or client, with list and calendar, read back with readers that did not write them."""

import csv
import io
from datetime import UTC, date, datetime
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP
from pathlib import Path
from typing import Any

import icalendar
import pytest
from msgspec.structs import replace
from pypdf import PdfReader

from appreg.core.records.kept_records import Location, Site
from appreg.errors import FileThere, InputRefused
from appreg.tasks.documents.draft_reminders import Reminder, draft_reminders
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.change_record import change_record
from tests.tasks.worked_site import WHO, WorkedSite, combined

TODAY = date(2026, 11, 26)
AT = datetime(2026, 11, 26, 9, 30, tzinfo=UTC)


def drafted(
    site: WorkedSite, folder: Path, *, on: date = TODAY, within_days: int = 60, replace: bool = False
) -> tuple[Reminder, ...]:
    return draft_reminders(
        site.register, WHO, folder=folder, today=on, within_days=within_days, replace=replace, written=AT
    )


def mail_of(reminder: Reminder) -> EmailMessage:
    mail = message_from_bytes(reminder.path.read_bytes(), policy=SMTP.clone(raise_on_defect=True))
    assert isinstance(mail, EmailMessage)
    return mail


def parts_of(mail: EmailMessage) -> dict[str, bytes]:
    read = {}
    for part in mail.iter_attachments():
        content = part.get_payload(decode=True)
        assert isinstance(content, bytes)
        read[(part.get_filename() or "").partition(".")[2]] = content
    return read


def text_of(mail: EmailMessage) -> str:
    body = mail.get_body()
    assert body is not None
    return str(body.get_content())


def another_site(work: WorkedSite, name: str, *, responsible: str = "", contact: str = "") -> Site:
    """A site with one item that was never inspected."""
    site = add_site(
        work.register, WHO, client=work.client.uid, name=name, prefix=name[:2].upper(), environment="low-risk"
    )
    site = replace(site, responsible=responsible, responsible_contact=contact)
    change_record(work.register, WHO, site)
    room: Location = add_location(work.register, WHO, site=site.uid, name="Hall")
    add_appliance(work.register, WHO, site=site.uid, location=room.uid, name="=1+1 [red]")
    return site


def test_a_client_gets_what_is_due_in_words_as_list_and_as_calendar(here: WorkedSite, tmp_path: Path) -> None:
    here.record(here.kettle("HR-001"), combined(), here.visit(date(2024, 11, 24)))
    here.record(here.kettle("HR-002"), combined(), here.visit(date(2026, 11, 24)))
    (written,) = drafted(here, tmp_path / "out", within_days=400)
    assert (written.name, written.address, written.sites, written.items) == (
        here.client.name,
        "",
        (here.site.name,),
        2,
    )
    mail = mail_of(written)
    assert mail["To"] is None
    assert f"Dear {here.client.name}" in text_of(mail)
    assert "overdue 1 item" in text_of(mail)
    parts = parts_of(mail)
    rows = [row for row in csv.DictReader(io.StringIO(parts["csv"].decode())) if row["tag"]]
    assert {row["tag"] for row in rows} == {"HR-001", "HR-002"}
    pages = "\n".join(page.extract_text() for page in PdfReader(io.BytesIO(parts["pdf"])).pages)
    assert "HR-001" in pages
    calendar: Any = icalendar.Calendar.from_ical(parts["ics"])
    days = {event["DTSTART"].dt.isoformat() for event in calendar.walk("VEVENT")}
    assert days == {row["due"] for row in rows if row["tag"] == "HR-002" and row["due"] >= TODAY.isoformat()}
    (late,) = calendar.walk("VTODO")
    assert late["DUE"].dt.isoformat() == min(row["due"] for row in rows)


def test_who_sees_to_several_sites_gets_one_message_and_their_address_is_used(here: WorkedSite, tmp_path: Path) -> None:
    for name in ("Oak School", "Mill House"):
        another_site(here, name, responsible="Zoë Löwe", contact="01632 960001, zoe@quay.example")
    another_site(here, "Pier")
    written = drafted(here, tmp_path)
    told = {each.name: (each.address, each.sites) for each in written}
    assert told == {"Zoë Löwe": ("zoe@quay.example", ("Mill House", "Oak School")), here.client.name: ("", ("Pier",))}
    mail = mail_of(next(each for each in written if each.address))
    assert [each.addr_spec for each in mail["To"].addresses] == ["zoe@quay.example"]
    assert text_of(mail).count("never inspected 1 item") == 2
    rows = [row for row in csv.DictReader(io.StringIO(parts_of(mail)["csv"].decode())) if row["tag"]]
    assert [row["item"] for row in rows] == ["'=1+1 [red]"] * 2
    assert {row["place"] for row in rows} == {"Mill House · Hall", "Oak School · Hall"}


def test_nobody_is_reminded_where_nothing_is_due(here: WorkedSite, tmp_path: Path) -> None:
    assert drafted(here, tmp_path) == ()
    assert list(tmp_path.glob("*.eml")) == []


def test_a_message_that_is_there_already_stays_unless_it_is_to_give_way(here: WorkedSite, tmp_path: Path) -> None:
    another_site(here, "Pier")
    (first,) = drafted(here, tmp_path)
    before = first.path.read_bytes()
    another_site(here, "Aft", responsible="Aba")
    with pytest.raises(FileThere):
        drafted(here, tmp_path)
    assert [first.path] == list(tmp_path.glob("*.eml")), "none is written before all can be"
    assert len(drafted(here, tmp_path, replace=True)) == 2
    assert first.path.read_bytes() != b""
    assert before.startswith(b"From: not sent yet:;")


def test_names_lead_into_no_other_folder_and_two_alike_get_two_files(here: WorkedSite, tmp_path: Path) -> None:
    for name, contact in (("Oak", "a@quay.example"), ("Mill", "b@quay.example")):
        another_site(here, name, responsible="../[red]", contact=contact)
    written = drafted(here, tmp_path / "out")
    assert sorted(each.path.name for each in written) == [
        "reminder-----red--2026-11-26-2.eml", "reminder-----red--2026-11-26.eml",
    ]  # fmt: skip
    with pytest.raises(InputRefused, match="no folder"):
        drafted(here, tmp_path / "none" / "out")
