"""A whole job from an empty disk to the papers, without the screen."""

import io
import sys
from datetime import date
from decimal import Decimal
from pathlib import Path

import pytest

from appreg.core.records.kept_records import Appliance, Category, Site
from appreg.register.opening.register_file import open_register
from tests.cli.conftest import Answer, Call

DAY = date(2026, 11, 24)
STEAMER = ("category", "Bottle steamer", "--class", "1", "--type", "portable")


@pytest.fixture
def made(tmp_path: Path, call: Call, monkeypatch: pytest.MonkeyPatch) -> Path:
    """A new register with a client, a site, a location, a person and an instrument."""
    for module in ("inspect", "new_records", "print_paper", "list_records"):
        monkeypatch.setattr(f"appreg.cli.{module}.local_today", lambda: DAY)
    path = tmp_path / "job.sqlite"
    monkeypatch.setenv("APPREG_REGISTER", str(path))
    monkeypatch.setenv("APPREG_WHO", "WA")
    assert call("new", path).code == 0
    for words in (
        ("client", "Row Lettings", "--address", "1 Quay, Ellarig"),
        ("site", "Harbour Row", "--client", "row lettings", "--environment", "low-risk", "--address", "14 Harbour Row"),
        ("location", "Kitchen", "--site", "HR"),
        ("person", "Wren A", "--initials", "WA", "--qualifications", "level 3", "--firm", "Wren Testing"),
        ("instrument", "Bench tester", "--serial", "BT-1", "--calibration-due", "30 apr 2027"),
    ):
        answer = call("new", *words)
        assert (answer.code, answer.err) == (0, ""), words
    return path


def answers(monkeypatch: pytest.MonkeyPatch, *typed: str) -> None:
    monkeypatch.setattr(sys, "stdin", io.StringIO("".join(f"{each}\n" for each in typed)))


def test_a_whole_job_is_done_by_commands(
    made: Path, call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    added = call("new", "item", "2 kettle", "--site", "HR", "--location", "kitchen", "--cord", "0.75 x 0.8 measured")
    assert [line.split()[2] for line in added.out.splitlines()] == ["HR-001", "HR-002"]
    visit = call("new", "visit", "--site", "HR", "--person", "WA", "--instrument", "BT-1")
    assert visit.out == "new visit: Harbour Row on 24 Nov 2026\n"
    assert "Local codes" in visit.err
    answers(monkeypatch, "yes", "ok", "0.08", ">299", "ok", "yes")
    inspected = call("inspect", "hr1")
    assert inspected.code == 0, inspected.out + inspected.err
    answers(monkeypatch, "ok", "0.52", "yes")
    assert call("inspect", "hr2").code == 1
    for kind in ("labels", "register", "report"):
        out = tmp_path / f"{kind}.pdf"
        site = ("--site", "HR") if kind != "labels" else ()
        assert call("print", kind, *site, "-o", out).code == 0
        assert out.read_bytes().startswith(b"%PDF")
    assert call("verify").code == 0
    assert "1" in call("list", "visits", "--columns", "passed,failed").out
    with open_register(made, create=False) as register:
        outcomes = {item.tag: item.last_outcome for item in register.find(Appliance)}
    assert outcomes == {"HR-001": "pass", "HR-002": "fail"}


@pytest.mark.usefixtures("made")
@pytest.mark.parametrize(
    ("words", "said"),
    [
        (("site", "Two", "--environment", "low-risk"), "needs --client"),
        (("site", "Two", "--client", "nobody", "--environment", "low-risk"), "--client: there is no nobody"),
        (("site", "Two", "--client", "Row Lettings", "--environment", "moon"), "moon"),
        (("location", "Kitchen", "--site", "HR"), "Kitchen"),
        (("person", "--initials", "X"), "needs a name"),
        (("person", "Ada", "--initials", "A", "--serial", "1"), "--serial belongs to a new instrument"),
        (("client", "Ada", "--on", "today"), "--on belongs to a new visit"),
        (
            ("item", "kettle", "--site", "HR", "--location", "Attic"),
            "--location: there is no Attic; the register has Kitchen",
        ),
        (("visit", "--site", "HR", "--person", "WA", "--on", "2030-01-01"), "lies ahead"),
        (("category", "Bottle steamer", "--class", "1", "--type", "portable"), "needs --code"),
        (("category", "Bottle steamer", "--code", "BST", "--type", "portable"), "needs --class"),
        (("category", "Bottle steamer", "--code", "BST", "--class", "1"), "needs --type"),
        ((*STEAMER, "--code", "KET"), "category code: KET belongs to"),
        ((*STEAMER, "--code", "BST", "--cord", "0.75 x 0.8 measured"), "nothing is measured on a category"),
        ((*STEAMER, "--code", "BST", "--connection", "string"), "--connection: “string” is none"),
        ((*STEAMER, "--code", "BST", "--volts", "many"), "--volts"),
        (("client", "Ada", "--moulded-plug"), "--moulded-plug belongs to a new category"),
        (("planet", "Mars"), "named by its file alone"),
        (("register",), "named by its file alone"),
    ],
)
def test_what_is_missing_or_belongs_elsewhere_is_refused_and_nothing_is_made(
    call: Call, words: tuple[str, ...], said: str
) -> None:
    answer: Answer = call("new", *words)
    assert (answer.code, answer.out, answer.err.count("\n")) == (2, "", 1)
    assert said in answer.err


def test_a_kind_of_item_is_added_and_fills_what_is_added_by_its_name_but_is_read_from_no_item(
    made: Path, call: Call
) -> None:
    figures = ("--cord", "0.75 x 1.2", "--fuse", "3 A", "--power", "0.6 kW", "--volts", "230", "--connection", "plug")
    answer = call("new", *STEAMER, "--code", "bst", *figures, "--heating", "--also-called", "[red], baby steamer")
    assert (answer.code, answer.out) == (0, "new category: Bottle steamer (BST)\n")
    assert call("new", "item", "baby steamer", "--site", "HR", "--location", "Kitchen").code == 0
    with open_register(made, create=False) as register:
        (category,) = register.find(Category, code="BST")
        (item,) = register.find(Appliance)
    assert (category.synonyms, category.heating, category.rated_volts) == (("[red]", "baby steamer"), True, 230)
    assert (item.category, str(item.cord_csa_mm2), str(item.cord_length_m)) == (category.uid, "0.75", "1.2")
    assert (item.fuse_a, item.power_w) == (Decimal(3), 600)
    assert {"class", "cord"} <= {each.partition("-")[0] for each in item.assumed or ()}


def test_a_register_may_be_named_with_its_kind_before_it(made: Path, call: Call, tmp_path: Path) -> None:
    assert call("new", "register", tmp_path / "site").code == 0
    assert (tmp_path / "site").is_file()
    with open_register(made, create=False) as register:
        assert [site.prefix for site in register.find(Site)] == ["HR"]
