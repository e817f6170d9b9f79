"""A word that no category answers to is asked about once on a walk-round, and may be kept as a category's other name."""

from pathlib import Path

import pytest
from textual.pilot import Pilot

from appreg.core.records.appliances import ApplianceClass, EquipmentType, Fact
from appreg.core.records.kept_records import Appliance, Category, Site
from appreg.core.records.provenance import assumed_of
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register, open_register
from appreg.tasks.records.add_client import add_client
from appreg.tasks.records.add_location import add_location
from appreg.tasks.records.add_site import add_site
from appreg.tasks.records.keep_name import keep_name
from appreg.tasks.records.seed_categories import seed_categories
from appreg.ui.app import AppregApp
from tests.postgres_server import place_for
from tests.ui.list_register import app_on

SIZE = (100, 24)


@pytest.fixture
def register(tmp_path: Path) -> Register:
    register = open_register(place_for(tmp_path / "words.appreg"))
    seed_categories(register, "test")
    client = add_client(register, "test", name="Quay Lets")
    add_site(register, "test", client=client.uid, name="Harbour Row 14", prefix="HR", environment="low-risk")
    add_location(register, "test", site=register.find(Site)[0].uid, name="kitchen")
    return register


def items(register: Register) -> list[Appliance]:
    return sorted(register.find(Appliance), key=lambda item: item.tag)


def coded(register: Register, code: str) -> Category:
    (category,) = register.find(Category, code=code)
    return category


def screen_text(app: AppregApp) -> str:
    return "\n".join(line.text for line in app.screen._compositor.render_strips())


async def press(pilot: Pilot[None], *keys: str) -> None:
    await pilot.press(*("space" if key == " " else key for key in keys))
    for _ in range(3):
        await pilot.pause()


async def test_an_unknown_word_is_asked_about_once_and_its_answer_is_only_assumed_of_the_next(
    register: Register,
) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"zither", "enter", *"2", "enter", *"h", "enter")
        await press(pilot, *"zither", "enter", *"2 Zither", "enter")
    made = items(register)
    assert [item.name for item in made] == ["Zither"] * 4
    for item in made:
        assert (item.appliance_class, item.equipment_type) == (ApplianceClass.CLASS_II, EquipmentType.HAND_HELD)
        assert item.category is None
    assert assumed_of(made[0], None) == ()
    for item in made[1:]:
        assert set(assumed_of(item, None)) == {Fact.CLASS, Fact.TYPE}


async def test_what_is_typed_of_a_known_word_is_read_and_the_rest_assumed(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"zither", "enter", *"2", "enter", *"h", "enter")
        await press(pilot, *"zither", "tab", "1", "enter")
    last = items(register)[-1]
    assert (last.appliance_class, last.equipment_type) == (ApplianceClass.CLASS_I, EquipmentType.HAND_HELD)
    assert set(assumed_of(last, None)) == {Fact.TYPE}


async def test_a_resemblance_is_asked_about_once(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"blue kettle", "enter")
        assert "Taken as Kettle? enter yes" in screen_text(app)
        await press(pilot, "enter")
        await press(pilot, *"blue kettle", "enter", *"3 Blue kettle", "enter")
    assert len(items(register)) == 5
    assert {item.category for item in items(register)} == {coded(register, "KET").uid}


async def test_none_of_these_is_remembered_too(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"blue kettle", "up", "enter", "enter", "enter")
        assert [item.category for item in items(register)] == [None]
        await press(pilot, *"blue kettle", "enter")
    assert [item.category for item in items(register)] == [None, None]


async def test_a_category_chosen_for_a_word_is_kept_as_its_name_where_the_person_says_so(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"Wasserkocher", "down", *"kettle", "enter")
        assert "enter adds it as that, ^s keeps the name" in screen_text(app)
        await press(pilot, "enter", *"wasserkocher", "enter")
        assert [item.category for item in items(register)] == [coded(register, "KET").uid] * 2
        assert [item.name for item in items(register)] == ["Wasserkocher"] * 2
        assert "Wasserkocher" not in coded(register, "KET").synonyms
        await press(pilot, "ctrl+s", "escape", "escape", "escape")
        assert "wasserkocher" in coded(register, "KET").synonyms
        await press(pilot, "a", *"Wasserkocher", "enter")
    assert len(items(register)) == 3
    assert items(register)[-1].category == coded(register, "KET").uid


async def test_the_category_taken_stays_taken_when_its_name_is_kept(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"toaster kettle", "down", "ctrl+s", "enter")
        assert [item.category for item in items(register)] == [coded(register, "KET").uid]
        assert "toaster kettle" in coded(register, "KET").synonyms


async def test_the_same_again_is_of_the_same_category_when_its_name_was_kept_between(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"toaster kettle", "down", "enter", "ctrl+s", "shift+down")
    assert [item.category for item in items(register)] == [coded(register, "KET").uid] * 2


async def test_what_is_in_doubt_is_asked_before_it_is_kept_as_a_name(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"blue kettle", "ctrl+s")
        assert "Taken as Kettle? enter yes" in screen_text(app)
        assert "blue kettle" not in coded(register, "KET").synonyms
        await press(pilot, "ctrl+s")
    assert "blue kettle" in coded(register, "KET").synonyms
    assert items(register) == []


async def test_typing_class_or_type_takes_no_answer_back(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"blue kettle", "up", "enter", "2", "enter", "h", "enter")
    (made,) = items(register)
    assert (made.category, made.appliance_class) == (None, ApplianceClass.CLASS_II)
    assert made.equipment_type is EquipmentType.HAND_HELD


async def test_a_word_that_a_category_answered_before_is_asked_for_its_class_where_none_is_taken_now(
    register: Register,
) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"blue kettle", "enter", "enter", *"blue kettle", "up", "enter")
        assert "No category answers to “blue kettle”: what class?" in screen_text(app)
        assert len(items(register)) == 1


async def test_what_was_answered_of_a_categorys_own_name_holds_too(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"kettle", "up", "enter", "enter", "enter", *"kettle", "enter")
    assert [item.category for item in items(register)] == [None, None]


async def test_another_name_in_the_same_line_is_asked_anew(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"zither", "enter", "shift+tab", "end", "n", "enter")
        assert "No category answers to “zithern”: what class?" in screen_text(app)


async def test_a_category_made_for_a_word_holds_for_it(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"zither", "enter", "enter", "enter", *"zither", "insert")
        await press(pilot, "enter", *"ZIT", "ctrl+s", "enter")
    assert [item.category for item in items(register)] == [None, coded(register, "ZIT").uid]


async def test_metal_of_the_first_item_is_not_assumed_of_one_whose_class_is_typed(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"zither", "enter", *"1 metal", "enter", "h", "enter")
        await press(pilot, *"zither", "enter", *"zither", "tab", "2", "enter")
    first, like, other = items(register)
    assert (first.unearthed_metal, like.unearthed_metal, other.unearthed_metal) == (True, True, False)
    assert set(assumed_of(like, None)) == {Fact.CLASS, Fact.TYPE, Fact.UNEARTHED_METAL}
    assert (other.appliance_class, set(assumed_of(other, None))) == (ApplianceClass.CLASS_II, {Fact.TYPE})


async def test_without_a_category_there_is_nothing_to_keep_and_it_is_said(register: Register) -> None:
    app = app_on(register)
    async with app.run_test(size=SIZE) as pilot:
        await press(pilot, "a", *"zither", "ctrl+s")
        assert "Which category is it?" in screen_text(app)
    assert items(register) == []


def test_a_name_that_is_anothers_is_refused_and_old_names_stay(register: Register) -> None:
    kettle, toaster = coded(register, "KET"), coded(register, "TOA")
    before = kettle.synonyms
    kept = keep_name(register, "test", category=kettle.uid, name="  tea   maker ")
    assert kept.synonyms == (*before, "tea maker")
    assert keep_name(register, "test", category=kettle.uid, name="TEA maker") == kept
    with pytest.raises(InputRefused, match="is Kettle here already"):
        keep_name(register, "test", category=toaster.uid, name="Tea maker")
    with pytest.raises(InputRefused, match="nothing is typed"):
        keep_name(register, "test", category=toaster.uid, name=" ")
