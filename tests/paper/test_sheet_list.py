"""The list of labels in a file is read like every file that a person names: it ends, and within bounds."""

import os
from pathlib import Path

import pytest

from appreg.errors import InputRefused
from appreg.paper.labels import sheet_list
from appreg.paper.labels.sheet_list import read_list


def test_a_pipe_that_gives_nothing_is_waited_for_no_longer_than_any_other(tmp_path: Path) -> None:
    pipe = tmp_path / "sheets.pdf"
    os.mkfifo(pipe)
    with pytest.raises(InputRefused, match="is a pipe that gives nothing"):
        read_list(pipe)


def test_a_file_of_any_length_is_refused_before_it_is_read_whole(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(sheet_list, "_MOST_BYTES", 1_000_000)
    long = tmp_path / "sheets.pdf"
    with long.open("wb") as file:
        file.truncate(1_000_001)
    with pytest.raises(InputRefused, match="is longer than 1 MB, too long for sheets of labels"):
        read_list(long)
