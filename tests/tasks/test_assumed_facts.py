"""Facts from a category are assumed until somebody reads them from the item, and inspections keep which were."""

import json
from decimal import Decimal
from pathlib import Path

import pypdfium2
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType, Fact
from appreg.core.records.checks import Check
from appreg.core.records.kept_records import Appliance, Category, Visit
from appreg.core.records.provenance import assumed_of, measured_of
from appreg.core.rules.item_facts import assumed_in, measured_in
from appreg.core.values.outcomes import Outcome
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.inspecting.open_bench import open_bench
from appreg.tasks.inspecting.record_inspection import record_inspection
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.add_category import add_category
from appreg.tasks.records.add_walked_items import add_walked_items
from appreg.tasks.records.change_record import change_record
from appreg.tasks.records.seed_categories import seed_categories
from tests.register.older_registers import THIRD, older_register
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, combined, ticking_clock

CORD = {Fact.CORD_SIZE, Fact.CORD_LENGTH}


def pump(site: WorkedSite) -> Appliance:
    seed_categories(site.register, WHO)
    return add_walked_items(site.register, WHO, location=site.kitchen.uid, typed="submersible pump")[0]


def assumed(site: WorkedSite, item: Appliance) -> set[Fact]:
    now = site.again(item)
    return set(assumed_of(now, site.register.get(Category, now.category) if now.category else None))


def test_what_a_category_gives_is_assumed_and_what_is_typed_beside_the_name_is_read(here: WorkedSite) -> None:
    assert assumed(here, pump(here)) >= {*CORD, Fact.CLASS, Fact.POWER, Fact.TYPE}
    typed = add_walked_items(
        here.register,
        WHO,
        location=here.kitchen.uid,
        typed="submersible pump",
        cord_csa_mm2=Decimal("1.0"),
        cord_length_m=Decimal(3),
        appliance_class=ApplianceClass.CLASS_I,
    )[0]
    assert assumed(here, typed).isdisjoint({*CORD, Fact.CLASS})


def test_an_item_without_a_category_has_nothing_assumed(here: WorkedSite) -> None:
    assert assumed(here, here.kettle()) == set()


def test_a_pump_does_not_pass_on_the_cord_of_its_category(here: WorkedSite) -> None:
    item = pump(here)
    saved = here.record(item, combined(earth="0.28"))
    assert saved.inspection.outcome is Outcome.INCOMPLETE
    assert {"cord-size", "cord-length"} <= set(assumed_in(saved.inspection.item_facts))
    read = change_record(here.register, WHO, replace(here.again(item), cord_length_m=Decimal(3)))
    assert assumed(here, read) == assumed(here, item)
    assert Fact.CORD_LENGTH not in assumed(here, read)
    assert here.record(read, combined(earth="0.28")).inspection.outcome is Outcome.FAIL


def test_a_fact_confirmed_with_the_inspection_counts_for_it_and_stays_confirmed(here: WorkedSite) -> None:
    item = pump(here)
    saved = record_inspection(
        here.register,
        WHO,
        appliance=item.uid,
        visit=here.visit().uid,
        kind=here.record(item, combined()).inspection.kind,
        entries=combined(earth="0.28"),
        confirmed=CORD,
    )
    assert saved.inspection.outcome is Outcome.PASS
    assert assumed(here, item).isdisjoint(CORD)
    assert set(json.loads(saved.inspection.item_facts)["assumed"]).isdisjoint({"cord-size", "cord-length"})


def test_changing_a_category_confirms_nothing_of_older_items(tmp_path: Path) -> None:
    with open_register(older_register(THIRD, tmp_path), clock=ticking_clock(1_796_000_000_000)) as register:
        (item,) = register.find(Appliance, name="Submersible pump")
        (category,) = register.find(Category, code="PMP")
        bench = open_bench(register, item.uid, today=TODAY)
        assert set(bench.rules.facts.assumed) >= CORD
        change_record(register, WHO, replace(category, cord_length_m=Decimal(3)))
        assert set(open_bench(register, item.uid, today=TODAY).rules.facts.assumed) >= CORD
        change_record(register, WHO, replace(register.get(Appliance, item.uid), category=None))
        assert set(open_bench(register, item.uid, today=TODAY).rules.facts.assumed) >= CORD


def test_a_change_of_something_else_confirms_nothing(here: WorkedSite) -> None:
    item = pump(here)
    before = assumed(here, item)
    change_record(here.register, WHO, replace(here.again(item), notes="new", serial="77"))
    assert assumed(here, item) == before


def test_an_item_of_a_category_added_with_its_facts_given_assumes_none_of_them(here: WorkedSite) -> None:
    seed_categories(here.register, WHO)
    category = here.register.find(Category, code="KET")[0]
    item = add_appliance(
        here.register, WHO, site=here.site.uid, location=here.kitchen.uid, category=category.uid, power_w=3000
    )
    assert Fact.POWER not in assumed(here, item)
    assert Fact.HEATING in assumed(here, item)


def test_the_report_of_an_older_visit_prints_as_it_was_judged(tmp_path: Path) -> None:
    with open_register(older_register(THIRD, tmp_path), clock=ticking_clock(1_796_000_000_000)) as register:
        text = report_of(register, tmp_path / "old.pdf")
    assert "0.28 Ω" in text
    assert "≤ 0.295 Ω" in text
    assert "assumed" not in text


def test_the_report_says_what_was_assumed(here: WorkedSite, tmp_path: Path) -> None:
    here.record(pump(here), combined(earth="0.08"))
    text = report_of(here.register, tmp_path / "new.pdf")
    assert "assumed, not read from the item:" in text
    assert "cord length" in text


def report_of(register: Register, path: Path) -> str:
    write_visit_report(register, visit=register.find(Visit)[0].uid, out=path, today=TODAY)
    with pypdfium2.PdfDocument(path) as document:
        return " ".join(page.get_textpage().get_text_range() for page in document)


def test_what_is_measured_is_as_sure_as_what_is_read_and_is_kept_with_the_inspection(here: WorkedSite) -> None:
    item = pump(here)
    unread = change_record(here.register, WHO, replace(here.again(item), assumed=("cord-length",)))
    assert here.record(unread, combined(earth="0.28")).inspection.outcome is Outcome.INCOMPLETE
    measured = change_record(here.register, WHO, here.again(item), measured=(Fact.CORD_LENGTH,))
    assert (measured.measured, measured.assumed) == (("cord-length",), ())
    saved = here.record(here.again(item), combined(earth="0.28"))
    assert saved.inspection.outcome is Outcome.PASS
    assert measured_in(saved.inspection.item_facts) == ("cord-length",)


def test_a_measured_length_that_is_changed_is_read_unless_it_was_measured_anew(here: WorkedSite) -> None:
    item = change_record(here.register, WHO, pump(here), measured=(Fact.CORD_LENGTH,))
    noted = change_record(here.register, WHO, replace(item, notes="by the pond"))
    assert noted.measured == ("cord-length",)
    anew = change_record(here.register, WHO, replace(noted, cord_length_m=Decimal("9.5")), measured=(Fact.CORD_LENGTH,))
    assert measured_of(anew) == (Fact.CORD_LENGTH,)
    read = change_record(here.register, WHO, replace(anew, cord_length_m=Decimal(9)))
    assert (read.measured, Fact.CORD_LENGTH in assumed(here, read)) == ((), False)
    gone = change_record(here.register, WHO, replace(anew, cord_length_m=None))
    assert measured_of(gone) == ()


def test_what_is_said_to_be_assumed_and_measured_is_assumed(here: WorkedSite) -> None:
    both = replace(pump(here), assumed=("cord-length",), measured=("cord-length",))
    assert measured_of(both) == ()
    assert assumed_of(both, None) == (Fact.CORD_LENGTH,)


def test_an_earth_that_a_category_states_is_assumed_and_asks_for_its_line(here: WorkedSite) -> None:
    kind = add_category(
        here.register,
        WHO,
        code="FEP",
        name="Power supply",
        appliance_class=ApplianceClass.CLASS_II,
        equipment_type=EquipmentType.IT,
        functional_earth=True,
    )
    item = add_appliance(here.register, WHO, site=here.site.uid, location=here.kitchen.uid, category=kind.uid)
    assert {Fact.FUNCTIONAL_EARTH} == {
        fact for fact in assumed(here, item) if fact in {Fact.FUNCTIONAL_EARTH, Fact.UNEARTHED_METAL}
    }
    assert Check.FUNCTIONAL_EARTH_INSULATION in open_bench(here.register, item.uid, today=TODAY).rules.required
    read = change_record(here.register, WHO, replace(here.again(item), functional_earth=False))
    assert Check.FUNCTIONAL_EARTH_INSULATION not in open_bench(here.register, read.uid, today=TODAY).rules.required
