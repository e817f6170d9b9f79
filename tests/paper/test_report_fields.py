import pytest
from msgspec.structs import replace

from appreg.core.rules.interval_tables import RecordField
from appreg.errors import Incomplete
from appreg.paper.documents.report_content import ReportDocument
from appreg.paper.documents.report_fields import missing_fields, refuse_if_missing
from tests.paper.paper_samples import CLIENT, KETTLE, PERSON, REPORT, SITE, TOASTER, of_visit

ALL = replace(REPORT, required=tuple(RecordField), profile_title="Scotland, private landlord")
CLEAN = replace(ALL, items=(KETTLE,), defects="None found.", remedial_action="None needed.")


NAMELESS = replace(ALL, items=(replace(KETTLE, appliance=replace(KETTLE.appliance, name=" ")), TOASTER))


@pytest.mark.parametrize(
    ("document", "words"),
    [
        (replace(ALL, site=replace(SITE, address="  ")), "the address of the premises inspected"),
        (replace(ALL, client=replace(CLIENT, name="")), "the landlord's or agent's name"),
        (replace(ALL, client=replace(CLIENT, address="")), "the landlord's or agent's address"),
        (of_visit(ALL, person=replace(PERSON, name="")), "the name of the inspector"),
        (of_visit(ALL, person=replace(PERSON, address="")), "the address of the inspector"),
        (of_visit(ALL, person=replace(PERSON, qualifications="")), "the qualifications of the inspector"),
        (NAMELESS, "the description of each appliance (absent for HR-001)"),
        (replace(ALL, items=(replace(TOASTER, location=""),)), "the location of each appliance (absent for HR-002)"),
        (replace(CLEAN, defects=""), "a statement of the defects found, if only that there are none"),
        (replace(CLEAN, remedial_action=""), "a statement of the remedial action taken, if only that there is none"),
        (
            replace(ALL, items=(replace(TOASTER, remedial_action=""),)),
            "a statement of the remedial action taken, if only that there is none",
        ),
    ],
)
def test_each_absent_statutory_field_is_named(document: ReportDocument, words: str) -> None:
    assert missing_fields(document) == (words,)
    with pytest.raises(Incomplete, match="Scotland, private landlord asks for "):
        refuse_if_missing(document)


def test_a_complete_report_lacks_nothing() -> None:
    assert missing_fields(ALL) == ()
    assert missing_fields(CLEAN) == ()


def test_an_agent_with_an_address_stands_for_the_landlord() -> None:
    agent = replace(CLIENT, name="", address="", agent_name="Ellery Homes", agent_address="11 Market Place")
    assert missing_fields(replace(ALL, client=agent)) == ()
    assert missing_fields(replace(ALL, client=replace(agent, agent_address=""))) == (
        "the landlord's or agent's name",
        "the landlord's or agent's address",
    )


def test_all_absent_fields_are_named_together() -> None:
    bare = of_visit(replace(ALL, site=replace(SITE, address="")), person=replace(PERSON, qualifications=""))
    with pytest.raises(Incomplete, match="premises inspected; the qualifications of the inspector; add it"):
        refuse_if_missing(bare)


def test_a_report_of_nothing_inspected_cannot_describe_appliances() -> None:
    assert "no item was inspected" in missing_fields(replace(CLEAN, items=()))[0]


def test_where_no_duty_asks_nothing_is_missing() -> None:
    assert (
        missing_fields(of_visit(replace(REPORT, site=replace(SITE, address="")), person=replace(PERSON, address="")))
        == ()
    )
