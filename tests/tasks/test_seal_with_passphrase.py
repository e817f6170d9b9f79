"""An encrypted file from elsewhere: what it asks for is looked at before it is given."""

from pathlib import Path

import pytest

from appreg.errors import InputRefused, RegisterUnusable
from appreg.tasks.keeping import seal_with_passphrase
from appreg.tasks.keeping.seal_with_passphrase import decrypted, encrypted

PASSPHRASE = "four words of it"


# The header and its work factor are those of age-encryption.org/v1 (C2SP age.md, from memory): "-> scrypt SALT FACTOR".
def test_a_file_that_asks_for_more_memory_than_reading_costs_is_refused_unread(tmp_path: Path) -> None:
    pytest.importorskip("pyrage")
    (source := tmp_path / "plain").write_bytes(b"a site")
    whole, costly = tmp_path / "whole.age", tmp_path / "costly.age"
    encrypted(source, whole, PASSPHRASE)
    head, stanza, rest = whole.read_bytes().split(b"\n", 2)
    words, _, _ = stanza.rpartition(b" ")
    costly.write_bytes(b"\n".join((head, words + b" 21", rest)))
    with pytest.raises(RegisterUnusable, match="asks for more memory"), decrypted(costly, PASSPHRASE):
        pass


def test_what_is_too_long_to_be_held_is_refused_both_ways(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    pytest.importorskip("pyrage")
    (source := tmp_path / "plain").write_bytes(b"x" * 100_000)
    whole = tmp_path / "whole.age"
    monkeypatch.setattr(seal_with_passphrase, "_MOST_BYTES", 99_999)
    with pytest.raises(InputRefused, match="With 100 kB it is too long to be encrypted here"):
        encrypted(source, whole, PASSPHRASE)
    assert not whole.exists()
    monkeypatch.setattr(seal_with_passphrase, "_MOST_BYTES", 100_000)
    encrypted(source, whole, PASSPHRASE)
    with decrypted(whole, PASSPHRASE) as plain:
        assert plain.read_bytes() == source.read_bytes()
    monkeypatch.setattr(seal_with_passphrase, "_MOST_AROUND", 0)
    with pytest.raises(RegisterUnusable, match="too long to be decrypted here"), decrypted(whole, PASSPHRASE):
        pass
