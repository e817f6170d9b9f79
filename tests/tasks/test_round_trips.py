"""Whatever stands in a register goes out and comes in equal: as JSON Lines, as folders of sites, as lists of items."""

from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import given, settings
from hypothesis import strategies as st
from msgspec.structs import replace

from appreg.core.records.kept_records import Location, Person
from appreg.core.records.work_records import BenchDraft, ItemMovement, Movement
from appreg.core.values.text import clean
from appreg.errors import InputRefused
from appreg.exchange.import_fields import ImportKind
from appreg.exchange.mapping_guess import guess_mapping
from appreg.exchange.site_form import told_parts
from appreg.exchange.source_file import read_source
from appreg.register.copies.site_slice import site_slice
from appreg.register.opening.register_file import open_register
from appreg.tasks.importing.plan_import import plan_import
from appreg.tasks.importing.row_plans import RowState
from appreg.tasks.items.export_items import export_items
from appreg.tasks.keeping.export_lines import export_lines
from appreg.tasks.keeping.export_site import export_site
from appreg.tasks.keeping.import_folder import import_folder
from appreg.tasks.keeping.import_lines import import_lines
from tests.register.sample_register import all_of
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, ticking_clock, worked_site

ANY_TEXT = st.text(st.characters(exclude_categories=["Cs"]), max_size=40) | st.sampled_from(
    ("[red]", "=1+1", "'=1", "'", '"', "a\r\nb\rc\nd", "Łódź – Ελλάδα", "אבג", "\x00", "\u2028", "x" * 300, "01J0000000000000000000000X", " ")
)  # fmt: skip
"""What nobody can type, too: a register of before may hold it."""


def _typed(text: str) -> str:
    try:
        return clean(text, field="text")
    except InputRefused:
        return ""


TYPED_TEXT = ANY_TEXT.map(_typed)
"""What a person can have typed."""
EXAMPLES = settings(max_examples=12)


@contextmanager
def filled(texts: list[str]) -> Iterator[tuple[WorkedSite, Path]]:
    """A site whose people, rooms, items and moves bear these texts, some items inspected."""
    with TemporaryDirectory() as name, worked_site(Path(name), place=Path(name) / "one.sqlite") as here:
        numbers = count(1)
        with here.register.change(f"Ann {texts[0]}", texts[-1]) as change:
            for text in texts:
                room = Location(uid=change.new_uid(), site=here.site.uid, name=text)
                person = Person(uid=change.new_uid(), name=text, initials=text[:3], qualifications=text)
                for record in (room, person):
                    change.put(record)
        for text in texts:
            kettle = here.kettle()
            if next(numbers) % 2:
                here.record(kettle, combined(earth="0.52" if "=" in text else "0.08"), here.visit(date(2026, 3, 1)))
            item = replace(
                here.again(kettle),
                name=text or "Kettle",
                make=text,
                model=text,
                serial=text,
                notes=text,
                owner_name=text,
            )
            with here.register.change(WHO, text) as change:
                change.put(item)
                change.put(
                    ItemMovement(
                        uid=change.new_uid(), appliance=item.uid, movement=Movement.ISSUED, on=TODAY, note=text
                    )
                )
        visit = here.visit()
        with here.register.change(WHO) as change:
            change.put(
                BenchDraft(uid=change.new_uid(), appliance=item.uid, visit=visit.uid, saved_at=texts[0], body=texts[-1])
            )
        yield here, Path(name)


@EXAMPLES
@given(st.lists(ANY_TEXT, min_size=1, max_size=4))
def test_a_whole_register_as_lines(texts: list[str]) -> None:
    with filled(texts) as (here, folder):
        export_lines(here.register, folder / "all.jsonl")
        import_lines(folder / "all.jsonl", folder / "back.sqlite")
        with open_register(folder / "back.sqlite") as back:
            assert all_of(back) == all_of(here.register)


@EXAMPLES
@given(st.lists(ANY_TEXT, min_size=1, max_size=4))
def test_a_site_as_a_folder(texts: list[str]) -> None:
    with filled(texts) as (here, folder):
        export_site(here.register, here.site.uid, folder / "out")
        with open_register(folder / "other.sqlite", clock=ticking_clock()) as other:
            import_folder(other, WHO, folder / "out", apply=True)
            kinds = [kind for kind, _ in told_parts()]
            one, same = (site_slice(each, here.site.uid, kinds) for each in (here.register, other))
            assert {kind: told.records for kind, told in same.items()} == {
                kind: told.records for kind, told in one.items()
            }


@EXAMPLES
@given(st.lists(TYPED_TEXT, min_size=1, max_size=4, unique=True), st.sampled_from((".csv", ".xlsx")))
def test_a_list_of_items(texts: list[str], end: str) -> None:
    with filled(texts) as (here, folder):
        export_items(here.register, folder / f"items{end}")
        source = read_source(folder / f"items{end}")
        plan = plan_import(
            here.register, source, guess_mapping(source, ImportKind.ITEMS), site=None, today=date(2026, 11, 24)
        )
        assert [(row.state, row.changes, row.problems) for row in plan.rows if row.state is not RowState.SAME] == []
        assert len(plan.rows) == len(texts)
