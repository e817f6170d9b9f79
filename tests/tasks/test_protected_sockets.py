"""A visit that found the sockets behind RCDs of 30 mA: long leads need none of their own, on the Bench, kept and on paper."""

from decimal import Decimal
from pathlib import Path

import pypdfium2
import pytest
from msgspec.structs import replace

from appreg.core.records.appliances import ApplianceClass, EquipmentType
from appreg.core.records.checks import Entries
from appreg.core.records.kept_records import Inspection
from appreg.tasks.documents.write_visit_report import write_visit_report
from appreg.tasks.inspecting.open_bench import open_bench
from appreg.tasks.records.add_appliance import add_appliance
from appreg.tasks.records.change_record import change_record
from tests.tasks.worked_site import TODAY, WHO, worked_site


@pytest.mark.parametrize("protected", [False, True])
def test_a_long_lead_is_told_of_unless_the_visit_found_the_sockets_protected(
    tmp_path: Path, *, protected: bool
) -> None:
    with worked_site(tmp_path) as site:
        lead = add_appliance(
            site.register,
            WHO,
            site=site.site.uid,
            location=site.kitchen.uid,
            name="Extension lead",
            appliance_class=ApplianceClass.CLASS_I,
            equipment_type=EquipmentType.EXTENSION_LEAD,
            cord_csa_mm2=Decimal("1.5"),
            cord_length_m=Decimal(20),
        )
        visit = replace(site.visit(), additional_protection=protected)
        change_record(site.register, WHO, visit)
        saved = site.record(lead, Entries(visual=True), visit)
        facts = open_bench(site.register, lead.uid, today=TODAY, visit=visit.uid).rules.facts
        assert facts.additional_protection is protected
        kept = site.register.get(Inspection, saved.inspection.uid)
        assert any("over the recommended" in line for line in kept.advice) is not protected
        report = tmp_path / "report.pdf"
        write_visit_report(site.register, visit=visit.uid, out=report, today=TODAY)
    with pypdfium2.PdfDocument(report) as pdf:
        text = " ".join(page.get_textpage().get_text_bounded() for page in pdf)
    assert ("behind residual current devices of" in " ".join(text.split())) is protected
