"""Every JSON says which form it has, and has it: held against the schema that the program gives for it."""

from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import Any

import pytest
from jsonschema import Draft202012Validator

from appreg.cli.commands import COMMANDS
from appreg.cli.json_values import CALLED_OTHERWISE
from appreg.cli.words_parser import parser_for
from appreg.core.records.kept_records import Appliance
from appreg.tasks.keeping.load_sample_site import sample_folders
from appreg.tasks.records.seed_categories import seed_categories
from tests.cli.conftest import Call
from tests.cli.json_forms import SCHEMAS, checked
from tests.tasks.worked_site import WHO, WorkedSite, combined

ELSEWHERE = {
    "demo": "appreg.demo",
    "inspect": "appreg.inspection",
    "evidence": "appreg.interval-decision",
    "list": "appreg.list",
}
"""By command: forms that are held against their schemas where they are made anyway."""
OF_FILES = {"appreg.register-lines"}
"""Forms of files that are read back, held against their schemas beside their tasks."""
JUDGED = ("--class", "1", "--rcd", "general", "--rcd-trip", "1x=28/24", "--insulation", ">299", "--leakage", "OL")


def calls(site: WorkedSite, folder: Path) -> Iterator[tuple[str, ...]]:
    """Calls of every command that writes JSON."""
    yield from (("due",), ("due", "--by", "site", "--within", "400"))
    yield from (
        ("list", "items"),
        ("list", "sites"),
        ("list", "visits"),
        ("list", "jobs"),
        ("list", "checks"),
        ("list", "issued"),
    )
    yield from (("find", "kettle"), ("find", "zither"), ("show", "HR-002"), ("show", "HR-003"), ("show", "XX"))
    yield from (("judge", *JUDGED), ("judge", "--left-out", "functional=no water", "--assumed", "class"))
    yield from (("interval", "--environment", "public"), ("interval", "--list"), ("interval",))
    yield from (("evidence",), ("plan",), ("plan", "--site", "HR", "--if-test", "P3M"))
    yield from (("move", "HR-001", "issued"), ("move", "HR-003", "tenancy"))
    yield ("fault", "HR-003", "cord cut")
    yield from (("print", "labels", "--preview"), ("print", "labels", "--stocks"))
    yield ("print", "labels", "--locations", "--site", "HR", "-o", str(folder / "rooms.pdf"))
    yield ("print", "labels", "-o", str(folder / "l.pdf"))
    yield from (("print", "labels", "--printer", "Office"), ("print", "labels", "--print-job", "1", "--spoiled", "1"))
    yield ("list", "printed")
    yield ("print", "labels", "--confirm", str(folder / "l.pdf"))
    yield ("print", "register", "--site", "HR", "-o", str(folder / "r.pdf"))
    yield ("print", "register", "--site", "HR", "--issue", "-o", str(folder / "i.pdf"))
    yield ("print", "issued", "--document", "1", "-o", str(folder / "again.pdf"))
    sent = str(folder / "scope.csv")
    yield from (("scope",), ("scope", "HR", "-o", sent), ("scope", "--compare", sent))
    yield ("remind", "-o", str(folder / "messages"))
    yield from (("export", str(folder / "register.jsonl")), ("export", str(folder / "items.csv")))
    table = folder / "list.csv"
    table.write_text("Asset tag,Description,Room\nHR-001,Jug kettle,Kitchen\nHR-900,Toaster,Hall\n,Lamp,Hall\n")
    yield from (("import", str(table), "--site", "HR"), ("import", str(table), "--site", "HR", "--apply"))
    yield ("import", str(sample_folders()[1]))
    yield ("copy", str(site.register.path), str(folder / "copied.sqlite"))
    yield from (("merge", str(folder / "copied.sqlite"), "--dry-run"), ("merge", "--contests"))
    yield ("hand-over", str(folder / "handed.appreg"), "--site", "HR")
    yield from (("backup",), ("restore", "--list"), ("new", str(folder / "new.sqlite")))
    yield from (("new", "location", "Hall", "--site", "HR"), ("new", "job", "7", "--site", "HR"), ("list", "jobs"))
    yield from (("settings",), ("settings", "set", "theme", "light"))
    seal = "1 0000-0000-0000-0000-0000"
    yield from (("verify",), ("verify", "--accept"), ("verify", "--seal", seal))


@pytest.mark.usefixtures("stand_in")
def test_every_command_writes_json_of_the_form_that_its_schema_has(
    row: WorkedSite, call: Call, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    now = row.register.last_instant()
    monkeypatch.setattr("appreg.cli.restore.system_clock", lambda: now)
    kettle = row.register.find(Appliance, tag="HR-003")[0]
    row.record(kettle, combined(functional=False), row.visit(date(2026, 11, 24)))
    seed_categories(row.register, WHO)
    met = {checked(call(*words, "--json")) for words in calls(row, tmp_path)}
    anew = ("--register", tmp_path / "anew.sqlite", "import", tmp_path / "register.jsonl", "--json")
    met.add(checked(call(*anew)))
    row.register.close()
    met.add(checked(call("restore", "latest", "--yes", "--json")))
    assert met | {*ELSEWHERE.values(), *OF_FILES} == set(SCHEMAS)


@pytest.mark.parametrize("name", SCHEMAS)
def test_every_schema_is_one_and_can_be_asked_for(call: Call, name: str) -> None:
    told = call("schema", name.removeprefix("appreg.")).json
    assert told == SCHEMAS[name]
    Draft202012Validator.check_schema(SCHEMAS[name])


def test_the_formats_are_listed_and_another_is_refused(call: Call) -> None:
    assert set(SCHEMAS) <= {line.split()[0] for line in call("schema").out.splitlines()[1:]}
    assert call("schema", "poster").code == 2


def test_every_command_that_takes_json_is_tried_here(row: WorkedSite, tmp_path: Path) -> None:
    from importlib import import_module  # noqa: PLC0415

    tried = {words[0] for words in calls(row, tmp_path)}
    for name, (module, _) in COMMANDS.items():
        parser = parser_for([name], COMMANDS, import_module(module).add_options)
        taken = parser._subparsers._group_actions[0].choices[name]._option_string_actions  # type: ignore[union-attr,index]
        assert ("--json" in taken) == (name in {*tried, *ELSEWHERE}), name


@pytest.mark.parametrize(
    ("words", "code"),
    [
        (("show", "HR-999"), 1),
        (("due", "--no-such"), 2),
        (("due", "--on", "03/04/2027"), 2),
        (("new", "site"), 2),
        (("nonsense",), 2),
    ],
)
def test_what_is_refused_is_told_in_json_too(call: Call, row: WorkedSite, words: tuple[str, ...], code: int) -> None:
    answer = call(*words, "--json")
    assert checked(answer) == "appreg.error"
    told: Any = answer.json
    assert answer.code == told["exit_code"] == code
    assert answer.err == f"appreg: {told['error']}\n"
    assert row.site.prefix == "HR"


def test_the_page_of_an_item_has_every_field_of_it() -> None:
    known = set(SCHEMAS["appreg.item"]["$defs"]["ItemPageAnswer"]["required"])
    assert {CALLED_OTHERWISE.get(name, name) for name in Appliance.__struct_fields__} <= known
