"""A figure that somebody compared with a copy of its document is no longer "to be checked"; another figure still is."""

from pathlib import Path

import pytest

from appreg.core.records.job_records import FigureLookedUp
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.errors import InputRefused
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.records.look_up_figure import figures_looked_up, note_looked_up
from tests.tasks.test_jobs import words_of
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined

BOOK = load_rule_book("gb")
OF_INSULATION = "CoP Table 15.2"


def look_up(here: WorkedSite, key: str, document: str = "Code of Practice") -> FigureLookedUp:
    return note_looked_up(
        here.register, WHO, rule_book="gb", key=key, document=document, edition="5th ed.", on=TODAY, today=TODAY
    )


def report(here: WorkedSite, folder: Path) -> str:
    visit = here.visit()
    here.record(here.kettle(), combined(), visit)
    write_visit_report(here.register, visit=visit.uid, out=folder / "r.pdf", replace=True, today=TODAY)
    return words_of(folder / "r.pdf")


def test_a_source_is_settled_once_every_figure_of_it_was_looked_up(here: WorkedSite, tmp_path: Path) -> None:
    keys = [each.key for each in BOOK.values() if each.citation.line == OF_INSULATION]
    assert len(keys) > 1
    said = "checked against my copy of Code of Practice, 5th ed., on 24 Nov 2026, by tester"
    look_up(here, keys[0])
    one = report(here, tmp_path)
    assert f"insulation resistance: {OF_INSULATION}, second-hand, {said} (" in one
    assert "alone)" in one
    for key in keys[1:]:
        look_up(here, key)
    words = report(here, tmp_path)
    assert f"insulation resistance: {OF_INSULATION}, {said}" in words
    assert f"insulation resistance: {OF_INSULATION}, second-hand" not in words
    assert "visual inspection: CoP ch. 15, second-hand visual" not in words
    assert words.count(said) == 1  # of no other source is anything said


def test_a_figure_that_is_another_now_is_not_taken_for_the_one_looked_up(here: WorkedSite) -> None:
    record = look_up(here, "insulation.class-2.least")
    assert [each.value.key for each in figures_looked_up(here.register, BOOK)] == ["insulation.class-2.least"]
    assert look_up(here, "insulation.class-2.least", "Another").uid == record.uid
    with here.register.change(WHO) as change:
        change.put(
            FigureLookedUp(**{**{name: getattr(record, name) for name in record.__struct_fields__}, "value": "1 MΩ"})
        )
    assert figures_looked_up(here.register, BOOK) == []


def test_what_is_no_figure_or_names_no_document_is_refused(here: WorkedSite) -> None:
    with pytest.raises(InputRefused, match="has no figure nonsense"):
        look_up(here, "nonsense")
    with pytest.raises(InputRefused, match="nothing is typed"):
        look_up(here, "insulation.class-2.least", " ")
