from datetime import date
from hashlib import sha256
from pathlib import Path

import pytest

from appreg.files import REGISTER_MARK
from appreg.tasks.desk.confirm_cautions import (
    CAUTIONS_VERSION,
    OLD_SUFFIX,
    cautions_confirmed,
    cautions_file,
    confirm_cautions,
)
from appreg.ui.shell.cautions import CAUTIONS

DAY = date(2026, 11, 24)
TEXTS = {1: "ed277cb1ac3fd4df"}
"""By version of the cautions: the beginning of the digest of what they say."""


@pytest.fixture
def register(tmp_path: Path) -> Path:
    return tmp_path / "register.sqlite"


def test_each_person_confirms_once_for_every_register(register: Path) -> None:
    assert confirm_cautions(register, "Ada  Bramley", DAY)
    assert confirm_cautions(register, "half \ud800", DAY)
    assert cautions_confirmed(register.with_name("another.sqlite"), "Ada Bramley")
    assert not cautions_confirmed(register, "T S")
    assert cautions_file().read_text(encoding="utf-8") == "2026-11-24\t1\tAda Bramley\n2026-11-24\t1\thalf ?\n"
    assert cautions_file().name == "cautions.txt"
    assert not list(register.parent.iterdir())


def test_new_cautions_are_read_anew(register: Path) -> None:
    assert confirm_cautions(register, "Ada", DAY)
    assert not cautions_confirmed(register, "Ada", version=2)
    assert confirm_cautions(register, "Ada", DAY, version=2)
    assert cautions_confirmed(register, "Ada", version=2)


def test_what_the_cautions_say_has_a_version() -> None:
    told = sha256(repr(CAUTIONS).encode()).hexdigest()[:16]
    assert TEXTS[CAUTIONS_VERSION] == told, "say so with another version, so that everybody reads what is new"


def test_what_was_kept_beside_a_register_is_taken_over_once(register: Path) -> None:
    old = register.with_name(register.name + OLD_SUFFIX)
    old.write_text("2025-03-02\tAda\n", encoding="utf-8")
    assert not cautions_confirmed(register, "T S")
    assert cautions_confirmed(register, "Ada")
    old.unlink()
    assert cautions_confirmed(register, "Ada")
    assert cautions_file().read_text(encoding="utf-8") == "2025-03-02\t1\tAda\n"


@pytest.mark.parametrize("kind", ["link", "register", "folder", "too long", "no text"])
def test_what_is_no_list_of_names_is_neither_believed_nor_written_to(register: Path, kind: str, tmp_path: Path) -> None:
    named, target = b"2026-11-24\t1\tAda\n", tmp_path / "target"
    target.write_bytes(named)
    file = cautions_file()
    file.parent.mkdir(parents=True)
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
