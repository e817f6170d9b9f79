from datetime import date
from pathlib import Path

import pytest

from appreg.files import REGISTER_MARK
from appreg.tasks.desk.confirm_cautions import cautions_confirmed, cautions_file, confirm_cautions

DAY = date(2026, 11, 24)


@pytest.fixture
def register(tmp_path: Path) -> Path:
    return tmp_path / "register.sqlite"


def test_each_person_confirms_for_themselves(register: Path) -> None:
    assert confirm_cautions(register, "Ada  Bramley", DAY)
    assert confirm_cautions(register, "half \ud800", DAY)
    assert cautions_confirmed(register, "Ada Bramley")
    assert not cautions_confirmed(register, "T S")
    assert cautions_file(register).read_text(encoding="utf-8") == "2026-11-24\tAda Bramley\n2026-11-24\thalf ?\n"


@pytest.mark.parametrize("kind", ["link", "register", "folder", "too long", "no text"])
def test_what_is_no_list_of_names_is_neither_believed_nor_written_to(register: Path, kind: str, tmp_path: Path) -> None:
    named, target = b"2026-11-24\tAda\n", tmp_path / "target"
    target.write_bytes(named)
    file = cautions_file(register)
    if kind == "link":
        file.symlink_to(target)
    elif kind == "folder":
        file.mkdir()
    else:
        contents = {"register": REGISTER_MARK + named, "too long": named * 100_000, "no text": b"\xff\n" + named}
        file.write_bytes(contents[kind])
    before = b"" if kind == "folder" else file.read_bytes()
    assert not confirm_cautions(register, "T S", DAY)
    assert not cautions_confirmed(register, "T S")
    assert kind == "folder" or file.read_bytes() == before
    assert file.is_symlink() == (kind == "link")
    assert target.read_bytes() == named
