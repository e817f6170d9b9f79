"""Two hundred hostile names on labels, in both documents and in what the commands export."""

import csv
import io
import json
import unicodedata
from collections.abc import Callable, Iterator
from datetime import date, timedelta
from pathlib import Path
from typing import Any

import pypdfium2
import pytest
from pypdf import PdfReader

from appreg.cli.main import main
from appreg.core.records.kept_records import Appliance
from appreg.core.values.outcomes import Outcome
from appreg.core.values.text import guarded_cell, is_hidden, shown, unguarded_cell
from appreg.paper.labels.stock_reading import load_stocks
from appreg.paper.page.page_canvas import printable
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.documents.choose_labels import LabelChoice
from appreg.tasks.documents.print_labels import PrintedLabels, print_labels
from appreg.tasks.documents.write_site_register import write_site_register
from appreg.tasks.documents.write_visit_report import write_visit_report
from tests.hostile_names import HOSTILE_NAMES
from tests.terminal.hostile_register import HostileRegister, fill_register
from tests.ui.list_register import TODAY, WHO

IN_DATE = TODAY - timedelta(days=60)
"""A day on which every item that passed still bears its label: a look is due thirty days before today."""
SURELY_ON_A_LABEL = 14
"""Characters of a name that the narrowest label surely shows."""
SURELY_IN_A_LINE = 50
"""Characters of a name that stand in a document before its line is broken."""


@pytest.fixture(scope="module")
def hostile(tmp_path_factory: pytest.TempPathFactory) -> HostileRegister:
    return fill_register(tmp_path_factory.mktemp("hostile") / "register.db", HOSTILE_NAMES, today=TODAY)


@pytest.fixture
def register(hostile: HostileRegister) -> Iterator[Register]:
    with open_register(hostile.path) as opened:
        yield opened


def text_of(path: Path) -> str:
    """What the file says; a hyphen that ends a line is U+0002 to this reader."""
    with pypdfium2.PdfDocument(path) as document:
        return (
            "\n".join(page.get_textpage().get_text_bounded() for page in document)
            .replace("\x02\r\n", "-")
            .replace("\x02", "-")
        )


def squeezed(text: str) -> str:
    """A text as readers of PDF files agree on it: ligatures taken apart, no blanks and no marks above or below."""
    plain = unicodedata.normalize("NFKD", text)
    return "".join(c for c in plain if not c.isspace() and not unicodedata.category(c).startswith("M"))


def on_paper(name: str, lacking: str) -> str:
    """What stays of a name on paper: what the typeface lacks is a box."""
    return squeezed("".join(c for c in printable(name) if c not in lacking))


def labels_on(register: Register, stock: str, out: Path, *, day: date = IN_DATE) -> PrintedLabels:
    return print_labels(
        register,
        WHO,
        out=out,
        stock=load_stocks()[stock],
        today=day,
        choice=LabelChoice(again=True, together=True),
        with_next_date=True,
    )


def assert_nothing_acts(path: Path) -> None:
    """No hidden character in text or title, and nothing in the file that a reader would follow or run."""
    assert not {hex(ord(c)) for c in text_of(path) if is_hidden(c)} - {"0xa", "0xd"}
    read = PdfReader(path)
    assert not any(is_hidden(c) for value in (read.metadata or {}).values() for c in str(value))
    assert not [page for page in read.pages if "/Annots" in page or "/AA" in page]
    catalog: Any = read.trailer["/Root"].get_object()
    asked = {key: str(value) for key, value in catalog.get("/ViewerPreferences", {}).items() if str(value) != "False"}
    shown_title = {"/DisplayDocTitle": "True", "/NonFullScreenPageMode": "/UseNone"}
    assert asked in (shown_title, shown_title | {"/PrintScaling": "/None"}), "its title, full size, and no more"
    told = {"/ViewerPreferences", "/Lang", "/Metadata", "/OutputIntents", "/Outlines", "/MarkInfo", "/StructTreeRoot"}
    assert set(catalog) - told == {"/Type", "/Pages", "/PageLayout", "/OpenAction"}
    assert catalog["/OpenAction"][1] == "/FitH"


@pytest.mark.parametrize("stock", ["a4-24", "a4-65"])
def test_every_name_goes_onto_labels_of_every_stock(register: Register, stock: str, tmp_path: Path) -> None:
    printed = labels_on(register, stock, tmp_path / "labels.pdf")
    assert printed.count == len(register.find(Appliance))
    assert not printed.left_out
    assert not any(is_hidden(c) for glyph in printed.missing_glyphs for c in glyph)
    assert_nothing_acts(printed.path)
    lacking = "".join(printed.missing_glyphs)
    words = squeezed(text_of(printed.path))
    for name in HOSTILE_NAMES:
        assert on_paper(name, lacking)[:SURELY_ON_A_LABEL] in words, name


def test_what_is_due_by_now_gets_no_pass_whatever_its_name(register: Register, tmp_path: Path) -> None:
    printed = labels_on(register, "a4-65", tmp_path / "labels.pdf", day=TODAY)
    passed = [item for item in register.find(Appliance) if item.last_outcome is Outcome.PASS]
    assert {left.tag for left in printed.left_out} == {item.tag for item in passed}
    assert {left.why for left in printed.left_out} == {
        f"was due for its next look on {TODAY - timedelta(days=30):%-d %b %Y}"
    }
    assert printed.count == len(register.find(Appliance)) - len(passed)
    assert_nothing_acts(printed.path)


@pytest.mark.parametrize("kind", ["register", "report"])
def test_every_name_stands_in_the_documents(
    register: Register, hostile: HostileRegister, kind: str, tmp_path: Path
) -> None:
    lacking = "".join(labels_on(register, "a4-65", tmp_path / "labels.pdf").missing_glyphs)
    out = tmp_path / "document.pdf"
    if kind == "register":
        write_site_register(register, site=hostile.gathered, out=out, today=TODAY)
    else:
        write_visit_report(register, visit=hostile.visit, out=out, today=TODAY)
    assert_nothing_acts(out)
    words = squeezed(text_of(out))
    for name in HOSTILE_NAMES:
        assert on_paper(name, lacking)[:SURELY_IN_A_LINE] in words, name


Called = Callable[..., str]


@pytest.fixture
def call(hostile: HostileRegister, capsys: pytest.CaptureFixture[str]) -> Called:
    """Run a command on the register in this process; what it wrote holds nothing that acts on a terminal."""

    def called(*words: str) -> str:
        main(["--register", str(hostile.path), *words])
        out, err = capsys.readouterr()
        assert not {hex(ord(c)) for c in out + err if is_hidden(c)} - {"0xa", "0xd"}
        return out

    return called


def test_no_cell_of_the_exported_list_runs_in_a_spreadsheet(call: Called) -> None:
    rows = list(csv.reader(io.StringIO(call("due", "--on", TODAY.isoformat(), "--csv"), newline="")))
    assert len({len(row) for row in rows}) == 1
    days = rows[0].index("days")
    texts = [cell for row in rows[1:] for place, cell in enumerate(row) if place != days]
    assert not [cell for cell in texts if cell.startswith(("=", "+", "-", "@", "\t", "\r"))]
    names = {unguarded_cell(row[rows[0].index("item")]) for row in rows[1:]}
    assert names >= {shown(name) for name in HOSTILE_NAMES}
    assert all(row[days] == str(int(row[days])) for row in rows[1:])


def test_the_exported_json_gives_back_every_name_as_it_stands(call: Called) -> None:
    listed: Any = json.loads(call("due", "--on", TODAY.isoformat(), "--json"))
    assert {line["item"] for line in listed["lines"]} >= set(HOSTILE_NAMES)


def test_every_item_is_found_and_shown(call: Called, register: Register) -> None:
    for item in register.find(Appliance)[::2]:
        found: Any = json.loads(call("find", "--json", "--", item.name))
        assert isinstance(found["items"], list)
        told = call("show", "--", item.uid)
        assert shown(item.name) in told
        assert shown(item.serial) in told
    page: Any = json.loads(call("show", "--json", "--", item.uid))
    assert page["item"] == item.name


def test_a_guard_comes_off_as_it_went_on() -> None:
    assert [unguarded_cell(guarded_cell(shown(name))) for name in HOSTILE_NAMES] == [shown(n) for n in HOSTILE_NAMES]
