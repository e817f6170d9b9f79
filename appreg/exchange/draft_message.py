"""A message that somebody may send, as a file that mail programs open (RFC 5322): drafts only, nothing is sent from here."""

import re
from collections.abc import Iterable
from datetime import datetime
from email.headerregistry import Address, Group
from email.message import EmailMessage
from email.policy import SMTP
from hashlib import sha256
from typing import Final

from msgspec import Struct

from appreg.core.values.text import shown
from appreg.errors import InputRefused

_ADDRESS: Final = re.compile(
    r"(?<![^\s<(,;:])[A-Za-z0-9._%+-]{1,64}@(?:[A-Za-z0-9-]{1,63}\.)+[A-Za-z]{2,63}(?![^\s>),;.])"
)
"""Of RFC 5321 those that are in use: letters, figures and a few signs before the @, names of hosts after it."""
_LONGEST_HEADER: Final = 200


class Attachment(Struct, frozen=True, kw_only=True):
    """A file that goes with a message."""

    name: str
    kind: str
    """Its media type: text/csv."""
    content: bytes


class DraftMessage(Struct, frozen=True, kw_only=True):
    """A message as somebody may send it."""

    sender: str
    """An address; empty: whoever sends it adds it."""
    to_name: str
    to: str
    """An address; empty: whoever sends it adds it."""
    subject: str
    text: str
    attachments: tuple[Attachment, ...] = ()


def address_in(text: str) -> str:
    """The first address for mail in a text; empty where there is none."""
    found = _ADDRESS.search(text)
    return found[0] if found and ".." not in found[0] and not found[0].startswith(".") else ""


def address_typed(text: str) -> str:
    """An address that was typed as such; raises InputRefused for anything else."""
    if not text.strip() or address_in(text) != text.strip():
        raise InputRefused(f"{shown(text)[:80]!r} is no address for mail; write it as name@place.example.")
    return text.strip()


def message_bytes(message: DraftMessage, *, written: datetime) -> bytes:
    """The message as a file's content; `written` must know its time zone. Equal messages are equal bytes."""
    mail = EmailMessage(policy=SMTP)
    # A message has to say who it is from; a group of nobody is how RFC 6854 has it said where that is not known yet.
    mail["From"] = message.sender or Group("not sent yet", ())
    if message.to:
        mail["To"] = Address(display_name=_header(message.to_name), addr_spec=message.to)
    mail["Subject"] = _header(message.subject)
    mail["Date"] = written.replace(microsecond=0)
    mail.set_content(_lines(message.text), cte="quoted-printable")
    for each in message.attachments:
        main, _, sub = each.kind.partition("/")
        params = {"charset": "utf-8"} if main == "text" else {}
        mail.add_attachment(each.content, maintype=main, subtype=sub, filename=each.name, params=params)
    if message.attachments:
        parts = (message.text.encode("utf-8", "replace"), *(each.content for each in message.attachments))
        mail.set_boundary(f"=_{_sum(parts)}")
    return mail.as_bytes()


def _header(text: str) -> str:
    return shown(text)[:_LONGEST_HEADER]


def _lines(text: str) -> str:
    return "\n".join(shown(line) for line in text.split("\n"))


def _sum(parts: Iterable[bytes]) -> str:
    total = sha256()
    for part in parts:
        total.update(part)
    return total.hexdigest()[:32]
