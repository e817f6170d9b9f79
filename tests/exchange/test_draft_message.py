"""Draft messages, read back with the standard library's parser under the strict rules of RFC 5322."""

from datetime import UTC, datetime
from email import message_from_bytes
from email.message import EmailMessage
from email.policy import SMTP

import pytest

from appreg.core.values.text import shown
from appreg.errors import InputRefused
from appreg.exchange.draft_message import Attachment, DraftMessage, address_in, address_typed, message_bytes
from tests.hostile_names import HOSTILE_NAMES

AT = datetime(2026, 11, 26, 9, 30, tzinfo=UTC)
STRICT = SMTP.clone(raise_on_defect=True)
FILES = (
    Attachment(name="due.csv", kind="text/csv", content="tag,item\r\nHR-001,Łódź\r\n".encode()),
    Attachment(name="due.pdf", kind="application/pdf", content=b"%PDF-1.7\n\x00\xff--=_"),
)


def read(message: DraftMessage) -> EmailMessage:
    content = message_bytes(message, written=AT)
    assert all(len(line) <= 998 for line in content.split(b"\r\n")), "RFC 5322, 2.1.1"
    assert content.isascii()
    parsed = message_from_bytes(content, policy=STRICT)
    assert isinstance(parsed, EmailMessage)
    return parsed


def draft(name: str = "Ida", *, to: str = "", sender: str = "") -> DraftMessage:
    return DraftMessage(
        sender=sender,
        to_name=name,
        to=to,
        subject=f"Due at {name}",
        text=f"Dear {name},\n\nso it is.\n",
        attachments=FILES,
    )


def test_a_message_comes_back_as_it_was_written() -> None:
    mail = read(draft("Zoë Löwe, Ελλάδα", to="zoe@quay.example", sender="desk@tester.example"))
    (to,) = mail["To"].addresses
    assert (to.display_name, to.addr_spec) == ("Zoë Löwe, Ελλάδα", "zoe@quay.example")
    assert mail["From"].addresses[0].addr_spec == "desk@tester.example"
    assert mail["Subject"] == "Due at Zoë Löwe, Ελλάδα"
    assert mail["Date"].datetime == AT
    body = mail.get_body()
    assert body is not None
    assert body.get_content().replace("\r\n", "\n") == "Dear Zoë Löwe, Ελλάδα,\n\nso it is.\n"
    sent = {each.get_filename(): each.get_payload(decode=True) for each in mail.iter_attachments()}
    assert sent == {each.name: each.content for each in FILES}


def test_what_is_not_known_is_left_to_whoever_sends_it() -> None:
    mail = read(draft())
    assert mail["To"] is None
    assert mail["From"].addresses == ()
    assert [group.display_name for group in mail["From"].groups] == ["not sent yet"], "RFC 6854"


@pytest.mark.parametrize("name", [*HOSTILE_NAMES[::7], "a\r\nBcc: all@quay.example", "W" * 300, "\ud800"])
def test_no_name_adds_a_header_or_an_address(name: str) -> None:
    mail = read(draft(name, to="zoe@quay.example"))
    assert set(mail.keys()) == {"From", "To", "Subject", "Date", "MIME-Version", "Content-Type"}
    assert [each.addr_spec for each in mail["To"].addresses] == ["zoe@quay.example"]
    body = mail.get_body()
    assert body is not None
    assert body.get_content().startswith(f"Dear {shown(name.split(chr(10), maxsplit=1)[0])}"[:20])


def test_equal_messages_are_equal_bytes() -> None:
    assert message_bytes(draft(), written=AT) == message_bytes(draft(), written=AT)


@pytest.mark.parametrize(
    ("text", "address"),
    [
        ("ida@quay.example", "ida@quay.example"),
        ("Ida Bramley <ida.b+pat@quay-side.example>, 01632 960001", "ida.b+pat@quay-side.example"),
        ("01632 960001", ""),
        ("ida@quay", ""),
        ("ida@@quay.example", ""),
        ("i..da@quay.example", ""),
        ("", ""),
    ],
)
def test_an_address_is_found_among_other_words_and_never_made_up(text: str, address: str) -> None:
    assert address_in(text) == address


@pytest.mark.parametrize("typed", ["", "ida", "ida@quay.example\nBcc: x@y.example", "Ida <ida@quay.example>"])
def test_what_is_typed_as_an_address_is_one_alone(typed: str) -> None:
    with pytest.raises(InputRefused, match=r"name@place\.example"):
        address_typed(typed)
