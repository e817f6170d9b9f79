"""The form of a declared document asks what says something of what is at hand, and takes what is typed."""

from pathlib import Path

from appreg.tasks.documents.name_paper import paper_words
from appreg.tasks.documents.paper_kinds import Asked, paper_named
from appreg.tasks.records.add_location import add_location
from appreg.ui.screens.asking.paper_form import PaperForm
from appreg.ui.screens.forms.form import Desk
from appreg.ui.screens.forms.form_fields import FormField, TypedForm
from tests.tasks.worked_site import TODAY, WHO, WorkedSite, worked_site


def form_of(here: WorkedSite, name: str, asked: Asked) -> PaperForm:
    return PaperForm(Desk(here.register, WHO, TODAY), paper_named(name), asked, stem=name, suffix=".pdf")


def asked_in(form: PaperForm, folder: Path, **typed: str) -> Asked:
    fields = {each.name: each for each in form.fields()}
    values = {name: typed.get(name, field.value) for name, field in fields.items()} | {"file": str(folder / "x.pdf")}
    form.keep(TypedForm(values, {name: field.label for name, field in fields.items()}))
    return form.asked


def choices(field: FormField) -> list[str]:
    return [each.value for each in field.choices or ()]


def test_a_sheet_of_a_site_asks_for_a_location_and_one_of_an_item_for_further_items(tmp_path: Path) -> None:
    with worked_site(tmp_path) as here:
        add_location(here.register, WHO, site=here.site.uid, name="[red]")
        kettle = here.kettle()
        of_site = form_of(here, "recording", Asked(site=here.site.uid))
        fields = {each.name: each for each in of_site.fields()}
        assert set(fields) == {"room", "spare", "file"}
        assert choices(fields["room"]) == ["", "[red]", "Kitchen"]
        assert asked_in(of_site, tmp_path, room="Kitchen", spare="4") == Asked(
            site=here.site.uid, room="Kitchen", spare=4
        )
        of_item = form_of(here, "slip", Asked(item=kettle.uid))
        assert [each.name for each in of_item.fields()] == ["also", "size", "file"]
        assert asked_in(of_item, tmp_path, also="HR-002", size="a4") == Asked(item=kettle.uid, also="HR-002", size="a4")


def test_a_list_of_a_location_is_of_one_that_the_site_has(tmp_path: Path) -> None:
    with worked_site(tmp_path) as here:
        (room, _) = form_of(here, "room", Asked(site=here.site.uid)).fields()
        assert (choices(room), room.value) == (["Kitchen"], "Kitchen")


def test_several_chosen_items_are_named_by_how_many(tmp_path: Path) -> None:
    with worked_site(tmp_path) as here:
        one, two = here.kettle(), here.kettle()
        asked = Asked(item=one.uid, further=(two.uid,))
        assert (
            paper_words(here.register, paper_named("slip"), asked) == "the issue and return slip of HR-001 and 1 more"
        )
        assert paper_words(here.register, paper_named("notice"), asked) == "the notice of failure of HR-001"
