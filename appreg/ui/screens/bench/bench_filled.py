"""What an item comes onto the bench with: what was left half-filled, or what an inspection of this visit kept."""

from msgspec import Struct

from appreg.core.records.kept_records import InspectionKind
from appreg.core.records.work_records import BenchDraft
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.register.opening.register_file import Register
from appreg.tasks.inspecting.keep_bench_draft import bench_as_kept
from appreg.tasks.inspecting.open_bench import Recorded
from appreg.tasks.inspecting.record_repair import open_actions
from appreg.ui.screens.bench.bench_entries import BenchEntries, entries_from_json


class Filled(Struct, frozen=True, kw_only=True):
    """What stands on the lines of an item as it is opened."""

    entries: BenchEntries
    as_kept: BenchEntries | None = None
    """The same, where an inspection of this visit kept it so."""
    refused: str = ""
    """Why what was there cannot be read back, in a sentence."""


def filled(
    register: Register, appliance: Uid, kind: InspectionKind, *, draft: BenchDraft | None, kept: Recorded | None
) -> Filled:
    """Fill an item from its half-filled bench, else from what was kept on this visit, else with nothing.

    A repair recorded since it failed has every check taken anew.
    """
    empty = BenchEntries(kind=kind)
    try:
        if draft is not None:
            return Filled(entries=entries_from_json(draft.body))
        if kept is None or _is_repaired(register, appliance) or not (body := bench_as_kept(register, kept.uid)):
            return Filled(entries=empty)
        entries = entries_from_json(body).carrying()
        return Filled(entries=entries, as_kept=entries)
    except InputRefused as refusal:
        return Filled(entries=empty, refused=str(refusal))


def _is_repaired(register: Register, appliance: Uid) -> bool:
    return any(action.repair for action in open_actions(register, appliance))
