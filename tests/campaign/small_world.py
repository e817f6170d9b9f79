"""A folder with a small register and files that commands read, put back as it was between calls."""

import os
import shutil
from collections.abc import Mapping
from datetime import date
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.exchange.scope_file import write_scope_file
from appreg.tasks.documents.choose_labels import LabelChoice
from appreg.tasks.documents.print_labels import print_labels
from appreg.tasks.planning.draw_up_scope import scope_of_sites
from tests.hostile_names import HOSTILE_NAMES
from tests.tasks.worked_site import TODAY, combined, worked_site

REGISTER: Final = "register.sqlite"
_OVERLAY: Final = '[insulation.class-2]\nsource = "House rules, 2026"\nbasis = "common practice"\nleast = 5\n'
_CALENDAR: Final = (
    "BEGIN:VCALENDAR\r\nVERSION:2.0\r\nPRODID:-//x//y//EN\r\nBEGIN:VEVENT\r\nUID:1\r\nDTSTAMP:20260101T000000Z\r\n"
    "DTSTART;VALUE=DATE:20261225\r\nDTEND;VALUE=DATE:20261227\r\nSUMMARY:Christmas\r\nEND:VEVENT\r\nEND:VCALENDAR\r\n"
)


class SmallWorld(Struct, frozen=True):
    """The folder, and what stands in it at first."""

    folder: Path
    files: Mapping[str, bytes]

    @property
    def environ(self) -> dict[str, str]:
        """Variables that keep commands inside the folder."""
        return {
            "HOME": str(self.folder),
            "XDG_DATA_HOME": str(self.folder / "data"),
            "XDG_STATE_HOME": str(self.folder / "state"),
            "XDG_CONFIG_HOME": str(self.folder / "config"),
            "APPREG_REGISTER": str(self.folder / REGISTER),
            "APPREG_SETTINGS": str(self.folder / "settings.toml"),
            "APPREG_WHO": "campaign",
            "COLUMNS": "80",
        }

    def restore(self) -> None:
        """Put every file back, and remove what was added."""
        for each in self.folder.iterdir():
            if each.is_dir() and not each.is_symlink():
                if each.name != "folder":
                    shutil.rmtree(each)
            elif each.name not in self.files:
                each.unlink()
        for name, content in self.files.items():
            file = self.folder / name
            if not file.is_file() or file.read_bytes() != content:
                file.write_bytes(content)


def small_world(folder: Path) -> SmallWorld:
    """Make the folder: a site with passed, failed and new items, hostile names among them."""
    folder.mkdir(parents=True, exist_ok=True)
    with worked_site(folder) as site:
        passed, failed = site.kettle(), site.kettle()
        site.record(passed, combined(), site.visit(date(2025, 11, 24)))
        site.record(failed, combined(earth="0.52"), site.visit(date(2026, 11, 24)))
        site.kettle()
        scope = scope_of_sites(site.register, sites=[site.site.uid], today=TODAY)
        for ending in ("csv", "json"):
            write_scope_file(scope, folder / f"scope.{ending}")
        sheets = folder / "sheets.pdf"
        print_labels(site.register, "Ada", out=sheets, choice=LabelChoice(again=True), today=TODAY)
    (folder / "folder").mkdir()
    files = {
        REGISTER: (folder / REGISTER).read_bytes(),
        "settings.toml": b'theme = "dark"\nwho = "Ada"\n',
        "overlay.toml": _OVERLAY.encode(),
        "own.toml": b'based_on = "gb"\ntitle = "Own"\n' + _OVERLAY.encode(),
        "minutes.toml": b"[minutes]\nitem = 2\nvisual = 1\n",
        "holidays.txt": b"# closed\n2026-12-25 Christmas\n2026-12-28..2027-01-02 works\n",
        **{name: (folder / name).read_bytes() for name in ("scope.csv", "scope.json", "sheets.pdf")},
        "holidays.ics": _CALENDAR.encode(),
        "damaged.sqlite": (folder / REGISTER).read_bytes()[:5000] + b"\xff" * 3000,
        "kept.pdf": b"%PDF kept",
        "bytes.bin": bytes(range(256)) * 4,
    }
    world = SmallWorld(folder, files)
    world.restore()
    return world


def words_of_people() -> tuple[str, ...]:
    """Words that stand in the register, that nearly do, and that nobody should type."""
    return (
        "HR", "HR-001", "hr-2", "HR-999", "Harbour Row", "Kitchen", "Kettle", "latest", "2025-11-24", "", " ", "-", "--",
        "x" * 253, "ж" * 300, "a\0b", "half \udcff", "\ud800", "\u202eright to left", "\x1b[31mred", "\n", "a\rb\tc",
        "%s %d {0}", "' OR 1=1 --", "*", '"', "NEAR(a b)", "🔌" * 40, "e\u0301" * 50, os.sep * 3, "01ARZ3NDEKTSV4RRFFQ69G5FAV",
        *HOSTILE_NAMES[:40],
    )  # fmt: skip
