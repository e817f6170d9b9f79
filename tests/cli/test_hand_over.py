"""`appreg hand-over`: written, read with --register, refused to be changed, taken in by `merge`."""

from pathlib import Path

import pytest

from tests.cli.conftest import Call


@pytest.mark.usefixtures("row")
def test_a_site_goes_out_encrypted_is_read_and_taken_in(
    call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    words = tmp_path / "words.txt"
    words.write_text("four words of it\n")
    out = tmp_path / "[red].age"
    made = call("hand-over", out, "--site", "HR", "--passphrase-from", words)
    assert made.code == 0, made.err
    assert "encrypted" in made.out
    assert call("hand-over", out, "--site", "HR").code == 2
    assert "--passphrase-from" in call("--register", out, "find", "kettle").err
    monkeypatch.setenv("APPREG_PASSPHRASE_FROM", str(words))
    read = call("--register", out, "show", "HR-001")
    assert read.code == 0
    assert "as handed over on" in read.err
    refused = call("--register", out, "move", "HR-001", "issued")
    assert refused.code != 0
    assert "appreg merge" in refused.err
    owner = tmp_path / "owner.sqlite"
    assert call("new", owner).code == 0
    taken = call("--register", owner, "merge", out)
    assert "was taken in" in taken.out
    assert call("--register", owner, "show", "HR-001").out == read.out
    assert call("--register", owner, "verify").code == 0
