"""Keep the inspection of the item on the bench and clear its half-filled bench, both or neither."""

from collections.abc import Collection, Mapping

from appreg.core.appliances import Fact
from appreg.core.checks import Check, Entries
from appreg.core.records import InspectionKind
from appreg.core.uids import Uid
from appreg.register.register_file import Register
from appreg.tasks.keep_bench_draft import drop_bench_draft
from appreg.tasks.record_inspection import SavedInspection, record_inspection


def finish_bench(
    register: Register,
    who: str,
    *,
    appliance: Uid,
    visit: Uid,
    kind: InspectionKind,
    entries: Entries,
    check_remarks: Mapping[Check, str] | None = None,
    attempts: Mapping[Check, tuple[str, ...]] | None = None,
    supersedes: Uid | None = None,
    reason: str = "",
    confirmed: Collection[Fact] = (),
    put_right: str = "",
    remarks: str = "",
) -> SavedInspection:
    """Record the inspection; raises InputRefused where it cannot be kept as asked, and the draft stays."""
    with register.change(who, "inspection"):
        saved = record_inspection(
            register,
            who,
            appliance=appliance,
            visit=visit,
            kind=kind,
            entries=entries,
            check_remarks=check_remarks,
            attempts=attempts,
            supersedes=supersedes,
            reason=reason,
            confirmed=confirmed,
            put_right=put_right,
            remarks=remarks,
        )
        drop_bench_draft(register, who, visit=visit, appliance=appliance)
    return saved
