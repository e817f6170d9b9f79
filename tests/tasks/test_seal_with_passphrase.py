"""An encrypted file from elsewhere: what it asks for is looked at before it is given."""

from pathlib import Path

import pytest

from appreg.errors import RegisterUnusable
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
