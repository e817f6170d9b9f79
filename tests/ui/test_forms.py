"""Forms: what is typed is read exactly or refused beside its field, and nothing typed is lost."""

from collections.abc import Callable
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest
from textual.pilot import Pilot
from textual.widgets import Static

from appreg.core.records.appliances import ApplianceClass, EquipmentType, RcdKind
from appreg.core.records.checks import Check
from appreg.core.records.job_records import Job
from appreg.core.records.kept_records import Appliance, Category, Client, Instrument, Person, Site, Visit
from appreg.core.rules.check_limits import limit_of
from appreg.core.rules.item_facts import facts_of
from appreg.core.rules.limits import Limit
from appreg.core.rules.rule_book_loading import load_rule_book
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.tasks.inspecting.keep_job import add_job
from appreg.ui.app import AppregApp
from appreg.ui.screens.forms.appliance_form import ApplianceForm
from appreg.ui.screens.forms.category_form import CategoryForm
from appreg.ui.screens.forms.choice_field import ChoiceField
from appreg.ui.screens.forms.form import Desk, Form
from appreg.ui.screens.forms.form_fields import TypedForm
from appreg.ui.screens.forms.form_screen import FormScreen
from appreg.ui.screens.forms.people_forms import ClientForm, InstrumentForm, PersonForm
from appreg.ui.screens.forms.site_forms import SiteForm
from appreg.ui.screens.forms.visit_form import VisitForm
from tests.ui.list_register import TODAY, WHO, tagged

Apps = Callable[[], AppregApp]
_NAMED = {" ": "space", ".": "full_stop", ",": "comma", "-": "minus"}


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*(_NAMED.get(key, key) for key in keys))
    for _ in range(2):
        await pilot.pause()


def desk(app: AppregApp) -> Desk:
    return Desk(app.register, WHO, TODAY)


async def fill(app: AppregApp, form: Form[Any], **answers: str) -> object:
    """Open a form, put answers into its fields, save, and return what came back (None while it is open)."""
    came_back: list[object] = []
    app.push_screen(FormScreen(form), came_back.append)
    await app._animator.wait_until_complete()
    pilot = Pilot(app)
    await pilot.pause()
    for name, answer in answers.items():
        editor = app.screen.query_one(f"#{name}")
        if isinstance(editor, ChoiceField):
            editor.choose(answer)
        else:
            editor.value = answer  # type: ignore[attr-defined]
    await press(pilot, "ctrl+s")
    return came_back[0] if came_back else None


async def test_a_person_and_an_instrument_are_kept_as_typed(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)):
        person = await fill(app, PersonForm(desk(app)), name="Ida Fenn", initials="IF", qualifications="level 3")
        tool = await fill(app, InstrumentForm(desk(app)), name="Tester", serial="7-1", calibration_due="24 Mar 2027")
    assert isinstance(person, Person)
    assert app.register.get(Person, person.uid) == person
    assert isinstance(tool, Instrument)
    assert tool.calibration_due == date(2027, 3, 24)


async def test_a_category_is_kept_with_exact_figures(app_factory: Apps) -> None:
    app = app_factory()
    answers = {
        "name": "Kiln", "code": "kil", "appliance_class": "1", "equipment_type": "stationary", "cord_csa_mm2": "2.5",
        "cord_length_m": "1.8 m", "fuse_a": "13 A", "power_w": "2.9 kW", "heating": "yes",
    }  # fmt: skip
    async with app.run_test(size=(80, 24)):
        kiln = await fill(app, CategoryForm(desk(app)), **answers)
    assert isinstance(kiln, Category)
    assert (kiln.code, kiln.power_w, kiln.cord_csa_mm2, kiln.heating) == ("KIL", 2900, Decimal("2.5"), True)


async def test_every_field_of_an_item_can_be_given_and_is_shown_again(app_factory: Apps) -> None:
    app = app_factory()
    site = app.register.find(Site, prefix="KL")[0]
    answers = {
        "name": "Wheel lead", "tag": "KL-900", "make": "Quarry", "model": "M", "serial": "S1", "appliance_class": "1",
        "equipment_type": "extension-lead", "power_w": "2 kW", "rated_volts": "110", "phases": "3", "cord_csa_mm2": "1.5",
        "cord_length_m": "10", "fuse_a": "13", "moulded_plug": "yes", "tinned": "yes", "rcd": "general",
        "rcd_rating_ma": "30 mA", "rcd_delay_ms": "0", "feeds": str(tagged(app.register, "KL-004").uid),
        "longer_interval_reason": "seldom used", "notes": "blue", "battery": "yes", "double_leakage": "yes",
        "unearthed_metal": "yes", "functional_earth": "yes", "length_measured": "yes",
    }  # fmt: skip
    async with app.run_test(size=(80, 24)):
        kept = await fill(app, ApplianceForm(desk(app), site), **answers)
        assert isinstance(kept, Appliance)
        again = await fill(app, ApplianceForm(desk(app), site, kept))
    assert again == kept
    assert (kept.rcd, kept.rcd_rating_ma, kept.phases, kept.rated_volts) == (RcdKind.GENERAL, Decimal(30), 3, 110)
    assert kept.equipment_type is EquipmentType.EXTENSION_LEAD
    assert kept.appliance_class is ApplianceClass.CLASS_I
    assert kept.tinned
    assert kept.moulded_plug
    assert kept.unearthed_metal
    assert kept.functional_earth
    assert kept.measured == ("cord-length",)


async def test_what_decides_a_limit_can_be_given_of_an_item(app_factory: Apps) -> None:
    # AS/NZS 3760: 0.01 MΩ for mineral-insulated elements (memory); EN 50699: steps hold up to 16 A (second-hand).
    app = app_factory()
    site = app.register.find(Site, prefix="KL")[0]
    answers = {
        "name": "Griddle", "appliance_class": "1", "equipment_type": "stationary", "heating": "yes",
        "mineral_insulated": "yes", "rated_current_a": "32 A", "cord_csa_mm2": "1.5", "cord_length_m": "4",
    }  # fmt: skip
    async with app.run_test(size=(80, 24)):
        kept = await fill(app, ApplianceForm(desk(app), site), **answers)
    assert isinstance(kept, Appliance)
    facts = facts_of(kept)
    insulation, earth = (
        limit_of(check, facts, load_rule_book(book), None)
        for check, book in ((Check.INSULATION, "anz"), (Check.EARTH_CONTINUITY, "eu"))
    )
    assert isinstance(insulation, Limit)
    assert isinstance(earth, Limit)
    assert (insulation.low, earth.high) == (Decimal("0.01"), Decimal("0.1532"))


@pytest.mark.parametrize(
    ("field", "typed", "said"),
    [
        ("fuse_a", "1,500", "! Fuse, A: “1,500” may have a decimal comma"),
        ("power_w", "much", "! Power: “much” is not a number"),
        ("rcd_rating_ma", "x", "! RCD rating, mA: “x” is not a number"),
        ("tag", "KL-002", "! appliance tag: KL-002 is on another item"),
        ("cord_csa_mm2", "0", "cord csa: 0 cannot be right"),
    ],
)
async def test_a_refusal_stands_beneath_its_field_and_what_is_typed_stays(
    app_factory: Apps, field: str, typed: str, said: str
) -> None:
    app = app_factory()
    site = app.register.find(Site, prefix="KL")[0]
    async with app.run_test(size=(120, 40)):
        kept = await fill(app, ApplianceForm(desk(app), site), name="Wheel", **{field: typed})
        assert kept is None
        assert said in screen_text(app)
        assert app.focused is not None
        assert app.focused.id == field
        assert typed in screen_text(app)
    assert not app.register.find(Appliance, serial="S1")


async def test_a_length_said_to_be_measured_is_asked_for_in_its_field(app_factory: Apps) -> None:
    app = app_factory()
    site = app.register.find(Site, prefix="KL")[0]
    async with app.run_test(size=(120, 40)):
        assert await fill(app, ApplianceForm(desk(app), site), name="Wheel", length_measured="yes") is None
        assert "Cord length measured: no length is typed" in screen_text(app)
        assert app.focused is not None
        assert app.focused.id == "cord_length_m"


@pytest.mark.parametrize(
    ("sentence", "field", "row"),
    [
        ("Name: it is a colon that stands there.", "address", "address"),
        ("No field is named at all.", "notes", "notes"),
        ("Address: it has no field.", "", ""),
        ("client notes: a field that the form has not.", "prefix", ""),
    ],
)
async def test_a_refusal_goes_by_the_field_it_names_and_not_by_its_words(
    app_factory: Apps, monkeypatch: pytest.MonkeyPatch, sentence: str, field: str, row: str
) -> None:
    def refuse(_form: ClientForm, _typed: TypedForm) -> Client:
        raise InputRefused(sentence, field=field)

    monkeypatch.setattr(ClientForm, "keep", refuse)
    app = app_factory()
    async with app.run_test(size=(80, 24)):
        await fill(app, ClientForm(desk(app)))
        line = app.screen.query_one(f"#row-{row} .refusal" if row else "#refusal", Static)
        assert sentence in str(line.render())
        assert app.focused is not None
        assert app.focused.id == (row or "name")


async def test_a_date_that_does_not_exist_is_refused(app_factory: Apps) -> None:
    app = app_factory()
    site = app.register.find(Site, prefix="KL")[0]
    async with app.run_test(size=(80, 24)):
        assert await fill(app, VisitForm(desk(app), site), date="30 Feb 2026") is None
        assert "is not a date" in screen_text(app)


async def test_a_visit_later_than_tomorrow_is_refused_and_one_of_tomorrow_kept(app_factory: Apps) -> None:
    app = app_factory()
    site = app.register.find(Site, prefix="KL")[0]
    person = app.register.find(Person)[0].uid
    tomorrow, after = ((TODAY + timedelta(days=days)).isoformat() for days in (1, 2))
    async with app.run_test(size=(80, 30)):
        before = len(app.register.find(Visit))
        assert await fill(app, VisitForm(desk(app), site), person=person, date=after) is None
        assert "lies ahead; give the day" in screen_text(app)
        await press(Pilot(app), "escape", "escape")
        visit = await fill(app, VisitForm(desk(app), site), person=person, date=tomorrow)
        assert isinstance(visit, Visit)
        assert await fill(app, VisitForm(desk(app), site, visit), date="2031-01-01") is None
        assert await fill(app, VisitForm(desk(app), site, visit), notes="as it stood") is not None
    assert len(app.register.find(Visit)) == before + 1


async def test_a_visit_keeps_the_check_of_the_day_and_a_colour_that_nobody_proposes(app_factory: Apps) -> None:
    app = app_factory()
    site = app.register.find(Site, prefix="KL")[0]
    async with app.run_test(size=(80, 30)):
        person = await fill(app, PersonForm(desk(app)), name="Ida Fenn", initials="IF", firm="Fenn & Marsh")
        assert isinstance(person, Person)
        plain = await fill(app, VisitForm(desk(app), site), person=person.uid)
        visit = await fill(
            app,
            VisitForm(desk(app), site),
            person=person.uid,
            instrument_check="[red] 1.00 Ω read 1.01",
            period_colour="[red]",
            additional_protection="yes",
        )
        (offered,) = (each for each in VisitForm(desk(app), site).fields() if each.name == "period_colour")
        assert (offered.value, offered.choices) == ("", None)
    assert isinstance(visit, Visit)
    assert isinstance(plain, Visit)
    kept = app.register.get(Visit, visit.uid)
    assert (kept.instrument_check, kept.period_colour) == ("[red] 1.00 Ω read 1.01", "[red]")
    assert plain.period_colour == ""
    assert (plain.additional_protection, kept.additional_protection) == (False, True)
    assert app.register.get(Person, person.uid).firm == "Fenn & Marsh"


async def test_a_visit_is_begun_as_part_of_a_job_and_taken_out_of_it_again(app_factory: Apps) -> None:
    app = app_factory()
    site = app.register.find(Site, prefix="KL")[0]
    job = add_job(app.register, "Ida", site=site.uid, name="[red] Order 7")
    person = app.register.find(Person)[0].uid
    async with app.run_test(size=(80, 40)) as pilot:
        plain: Any = await fill(app, VisitForm(desk(app), site), person=person)
        visit: Any = await fill(app, VisitForm(desk(app), site), person=person, job=job.uid)
        assert (plain.job, visit.job) == (None, job.uid)
        again: Any = await fill(app, VisitForm(desk(app), site, visit), notes="second day")
        assert again.job == job.uid
        out: Any = await fill(app, VisitForm(desk(app), site, again), job="")
        assert out.job is None
        app.push_screen(FormScreen(VisitForm(desk(app), site)))
        await press(pilot)
        app.screen.query_one("#job").focus()
        await press(pilot, "insert", *"Order 8", "ctrl+s")
        field = app.screen.query_one("#job", ChoiceField)
        assert field.value == next(each.uid for each in app.register.find(Job) if each.name == "Order 8")


async def test_an_escape_sequence_in_a_name_is_refused(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)):
        assert await fill(app, ClientForm(desk(app)), name="a\x1b[2Jb") is None
        assert "Name: an escape character" in screen_text(app)
        assert "\x1b" not in screen_text(app)


async def test_leaving_a_form_with_something_typed_asks_for_the_key_twice(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(FormScreen(ClientForm(desk(app))))
        await press(pilot, *"Quay", "escape")
        assert isinstance(app.screen, FormScreen)
        assert "Not saved yet" in screen_text(app)
        await press(pilot, "s", "escape")
        assert isinstance(app.screen, FormScreen)
        await press(pilot, "escape")
        assert not isinstance(app.screen, FormScreen)
    assert [client.name for client in app.register.find(Client)] == ["Mill Bridge Trust"]


async def test_an_untouched_form_is_left_with_one_key(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(FormScreen(ClientForm(desk(app), app.register.find(Client)[0])))
        await press(pilot, "escape")
        assert not isinstance(app.screen, FormScreen)


async def test_a_letter_jumps_to_an_answer_and_enter_goes_on(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(FormScreen(CategoryForm(desk(app))))
        await press(pilot, *"Kiln", "enter", *"KIL", "enter", "down", "enter", "s")
        assert app.screen.query_one("#appliance_class", ChoiceField).value == "2"
        assert app.screen.query_one("#equipment_type", ChoiceField).value == "stationary"
        assert app.focused is app.screen.query_one("#equipment_type")
        await press(pilot, "up", "space")
        assert app.screen.query_one("#equipment_type", ChoiceField).value == "stationary"


async def test_a_click_chooses_an_answer(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(FormScreen(CategoryForm(desk(app))))
        await press(pilot, "tab", "tab")
        await pilot.click("#appliance_class", offset=(3, 2))
        await pilot.pause()
        assert app.screen.query_one("#appliance_class", ChoiceField).value == "3"


async def test_the_last_field_saves_on_enter(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(FormScreen(ClientForm(desk(app))))
        await press(pilot, *"Quay", "enter", "enter", "enter", "enter", "enter")
        assert not isinstance(app.screen, FormScreen)
    assert {client.name for client in app.register.find(Client)} == {"Mill Bridge Trust", "Quay"}


@pytest.mark.parametrize("name", ["[red]x[/red]", "x [/] y", "[@click=app.quit]x[/]", "a\x1b[2J", "\u202eabc", "=1+1"])
async def test_a_name_that_already_stands_in_the_register_is_only_shown(app_factory: Apps, name: str) -> None:
    app = app_factory()
    with app.register.change(WHO) as change:
        site = app.register.find(Site, prefix="KL")[0]
        client = Client(uid=Uid("0" * 26), name=name)
        change.put(client)
    async with app.run_test(size=(120, 40)) as pilot:
        app.push_screen(FormScreen(SiteForm(desk(app), site)))
        await press(pilot, "tab")
        shown = screen_text(app)
        assert "\x1b" not in shown
        assert "\u202e" not in shown
        assert name.replace("\x1b", "␛").replace("\u202e", "⟨202E⟩") in shown


async def test_a_half_filled_form_is_told_when_the_program_is_told_to_end(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        await pilot.pause()
        screen = FormScreen(ClientForm(desk(app)))
        await app.push_screen(screen)
        await pilot.pause()
        assert app.keep_typed() == ()
        await press(pilot, *"Mill")
        (told,) = app.keep_typed()
    assert told.endswith("not kept: Name “Mill”.")


async def test_the_last_answer_of_a_choice_adds_a_new_record(app_factory: Apps) -> None:
    app = app_factory()
    async with app.run_test(size=(80, 24)) as pilot:
        app.push_screen(FormScreen(SiteForm(desk(app))))
        await press(pilot, "tab")
        assert "+ a new client" in screen_text(app)
        await press(pilot, "up", "enter")
        assert "New client" in screen_text(app)
        await press(pilot, *"Quay", "enter", "ctrl+s")
        (quay,) = app.register.find(Client, name="Quay")
        assert app.screen.query_one("#client", ChoiceField).value == quay.uid
        await press(pilot, "up", "up")
        assert app.screen.query_one("#client", ChoiceField).value != quay.uid
