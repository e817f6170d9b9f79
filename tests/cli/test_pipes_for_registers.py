"""What is named for a register and is none: refused at once, however little it gives."""

import os
from pathlib import Path

import pytest

from tests.cli.conftest import Call


@pytest.mark.usefixtures("row")
@pytest.mark.parametrize(
    "words", [("due", "--register"), ("merge",), ("merge", "--contests", "--register"), ("verify", "--register")]
)
def test_a_pipe_into_which_nobody_writes_is_no_register(call: Call, tmp_path: Path, words: tuple[str, ...]) -> None:
    os.mkfifo(pipe := tmp_path / "pipe")
    refused = call(*words, pipe)
    assert refused.code not in {0, None}
    assert "pipe" in refused.err
    assert refused.err.rstrip().endswith(".")
