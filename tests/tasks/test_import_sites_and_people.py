"""Lists of sites, with clients and locations, and of people."""

from pathlib import Path

from appreg.core.records.kept_records import Client, Location, Person, Site
from appreg.exchange.import_fields import ImportKind
from appreg.register.checking.checking import problems
from appreg.tasks.importing.row_plans import RowState
from appreg.tasks.records.undo_step import undo_step
from tests.tasks.import_lists import planned, taken
from tests.tasks.worked_site import WHO, WorkedSite

SITES = """name,client,environment,location,responsible
Oak School,Town Trust,public,Hall,Ida
Oak School,Town Trust,public,Kitchen,Ida
Harbour Row,Row Lettings,low-risk,Kitchen,
Nowhere,Town Trust,on the moon,Hall,
"""


def test_sites_come_in_with_their_clients_and_locations_and_once(here: WorkedSite, tmp_path: Path) -> None:
    plan = planned(here, tmp_path, SITES, ImportKind.SITES, site=None)
    new, same, unreadable = RowState.NEW, RowState.SAME, RowState.UNREADABLE
    assert [row.state for row in plan.rows] == [new, new, same, unreadable]
    assert plan.made == {"client": ("Town Trust",), "location": ("Hall (Oak School)", "Kitchen (Oak School)")}
    assert len(here.register.find(Site)) == 1
    done = taken(here, plan)
    (site,) = here.register.find(Site, name="Oak School")
    assert (site.prefix, site.responsible, here.register.get(Client, site.client).name) == ("OS", "Ida", "Town Trust")
    assert [each.name for each in here.register.find(Location, site=site.uid)] == ["Hall", "Kitchen"]
    again = planned(here, tmp_path, SITES, ImportKind.SITES, site=None)
    assert [row.state for row in again.rows] == [same, same, same, unreadable]
    assert not list(problems(here.register))
    assert done.step is not None
    undo_step(here.register, WHO, done.step)
    assert [each.name for each in here.register.find(Site)] == ["Harbour Row"]
    assert [each.name for each in here.register.find(Client)] == ["Row Lettings"]


def test_a_list_does_not_change_the_rules_of_a_site(here: WorkedSite, tmp_path: Path) -> None:
    text = "name,environment,district\nHarbour Row,public,North\n"
    plan = planned(here, tmp_path, text, ImportKind.SITES, site=None)
    assert [row.state for row in plan.rows] == [RowState.CONFLICT]
    text = "name,district\nHarbour Row,North\n"
    taken(here, planned(here, tmp_path, text, ImportKind.SITES, site=None))
    assert here.register.get(Site, here.site.uid).district == "North"


def test_a_site_of_a_known_name_with_another_prefix_is_asked_about(here: WorkedSite, tmp_path: Path) -> None:
    text = "name,prefix,client,environment\nHarbour Row,QQ,Row Lettings,low-risk\nQuay,hr,Row Lettings,low-risk\n"
    plan = planned(here, tmp_path, text, ImportKind.SITES, site=None)
    assert [row.state for row in plan.rows] == [RowState.UNREADABLE, RowState.CHANGED]


def test_people_are_known_by_their_names(here: WorkedSite, tmp_path: Path) -> None:
    text = "name,initials,firm\nwren a,WA,Bell Works\nIda Holm,,Bell Works\nIda Holm,IH,Other\n"
    plan = planned(here, tmp_path, text, ImportKind.PEOPLE, site=None)
    assert [row.state for row in plan.rows] == [RowState.CHANGED, RowState.NEW, RowState.CONFLICT]
    taken(here, plan)
    assert [(each.name, each.initials, each.firm) for each in here.register.find(Person)] == [
        ("wren a", "WA", "Bell Works"),
        ("Ida Holm", "IH", "Bell Works"),
    ]
    assert [row.state for row in planned(here, tmp_path, text, ImportKind.PEOPLE, site=None).rows][:2] == [
        RowState.SAME,
        RowState.SAME,
    ]


def test_a_site_of_which_no_kind_of_place_is_told_is_not_made(here: WorkedSite, tmp_path: Path) -> None:
    plan = planned(here, tmp_path, "name,prefix,client\nQuay,QU,Row Lettings\n", ImportKind.SITES)
    (problem,) = plan.rows[0].problems
    assert problem.sentence.startswith("environment: nothing says what kind of place it is; choose one of low-risk, ")
