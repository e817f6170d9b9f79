"""Bytes of a keyboard: every one leads to a key or a visible sign, and none ends the program."""

from hypothesis import given
from hypothesis import strategies as st
from textual import events
from textual.message import Message

from appreg.ui.shell.terminal_driver import NO_TEXT, KeyStream


def typed(*pieces: bytes) -> str:
    stream = KeyStream()
    return "".join(_character(message) for piece in pieces for message in stream.feed(piece))


def _character(message: Message) -> str:
    if isinstance(message, events.Paste):
        return f"<{message.text}>"
    return message.character or "" if isinstance(message, events.Key) else ""


def test_a_byte_of_another_encoding_becomes_a_visible_sign() -> None:
    assert typed(b"K\xfcche") == f"K{NO_TEXT}che"
    assert typed(b"\x80\xff") == NO_TEXT * 2


def test_a_character_in_two_pieces_arrives_whole() -> None:
    assert typed(b"K\xc3", b"\xbcche") == "Küche"


def test_half_a_character_becomes_a_sign_and_what_follows_arrives() -> None:
    assert typed(b"\xc3", b"a") == f"{NO_TEXT}a"


def test_what_follows_a_sequence_that_cannot_be_read_arrives() -> None:
    assert typed(b"\x1b[99999999999ukettle\r").endswith("kettle\r")


def test_a_paste_arrives_as_one_whatever_stands_in_it() -> None:
    assert typed(b"\x1b[200~kettle\ntoas\xffter\x1b[201~x") == f"<kettle\ntoas{NO_TEXT}ter>x"


def test_a_million_pasted_characters_are_one_paste() -> None:
    (paste,) = KeyStream().feed(b"\x1b[200~" + b"x" * 1_000_000 + b"\x1b[201~")
    assert isinstance(paste, events.Paste)
    assert len(paste.text) == 1_000_000


@given(st.lists(st.binary(max_size=80) | st.sampled_from([b"\x1b[", b"\x1b[<0;", b"\x1b[200~", b"\x1bO"]), max_size=20))
def test_no_noise_is_too_much(pieces: list[bytes]) -> None:
    stream = KeyStream()
    for piece in (*pieces, b"\x1b[201~" * 2, b"x"):
        list(stream.feed(piece))
        list(stream.tick())
    assert [m.key for m in stream.feed(b"\x1b[201~ok") if isinstance(m, events.Key)][-2:] == ["o", "k"]
