"""Show one item: what it is, its rules, and all that was recorded of it."""

from collections.abc import Sequence
from datetime import date

from msgspec import Struct

from appreg.core.records.appliances import Fact, ServiceState
from appreg.core.records.kept_records import Appliance, Category, Client, Location, Site, StatedInspection
from appreg.core.records.provenance import assumed_of
from appreg.core.records.work_records import IntervalOverride
from appreg.core.rules.interval_tables import IntervalAnswer
from appreg.core.values.uids import Uid
from appreg.register.lists.inspection_lists import findings_of, inspections_of, stated_of
from appreg.register.opening.register_file import Register
from appreg.register.schema.record_codec import RecordDamaged
from appreg.schedule.blocks import Block
from appreg.schedule.due_states import DueState, due_state, nothing_due, waited_dates
from appreg.tasks.desk.find_rules import rules_of
from appreg.tasks.desk.read_on import DAMAGED
from appreg.tasks.inspecting.open_bench import PastInspection, history_of_item
from appreg.tasks.items.find_items import item_meant
from appreg.tasks.items.list_blocked import blocks_of
from appreg.tasks.keeping.tell_left import left_words
from appreg.tasks.keeping.tell_open import contested_words
from appreg.tasks.planning.override_interval import overrides_reaching
from appreg.tasks.standing.settle_standing import failure_kept_words, read_standing


class ItemPage(Struct, frozen=True, kw_only=True):
    """All that is known of one item."""

    appliance: Appliance
    site: Site
    location: Location
    client: Client
    category: Category | None
    environment: str
    answer: IntervalAnswer
    visual_state: DueState
    test_state: DueState
    overrides: tuple[IntervalOverride, ...]
    """The intervals set by hand that hold for it."""
    blocks: tuple[Block, ...]
    """What must be done before it may be issued or used."""
    history: tuple[PastInspection, ...]
    """Newest first; what cannot be read is left out."""
    stated: tuple[StatedInspection, ...] = ()
    """What somebody else states of it without readings, newest first."""
    contested: str = ""
    """What two places left different of it, in words."""
    left: str = ""
    """That it left the site, as whoever handed that over says, in words."""
    failure_kept: str = ""
    """Why a pass from another place does not end its failure, in words."""
    damaged: bool = False
    """Something of the item or of its inspections cannot be read: nothing said of it is sure, least of all a pass."""

    @property
    def from_elsewhere(self) -> tuple[str, ...]:
        """What a merge or a hand-over left to be told of it, a sentence each."""
        told = [f"{self.failure_kept[:1].upper()}{self.failure_kept[1:]}."] if self.failure_kept else []
        told += [f"{self.contested}: to be settled."] if self.contested else []
        return (*told, *([f"It {self.left}."] if self.left else []))

    @property
    def nothing_due(self) -> str:
        """Why no inspection of it is waited for, whatever dates it was given; empty where they hold."""
        return nothing_due(self.appliance.state)

    @property
    def assumed(self) -> tuple[Fact, ...]:
        """The facts that its category gave and nobody has read from the item."""
        return assumed_of(self.appliance, self.category)

    @property
    def latest(self) -> PastInspection | None:
        """The inspection that the item's latest result rests on."""
        return next((each for each in self.history if each.inspection.uid == self.appliance.last_inspection), None)


def show_item(register: Register, tag: str, *, today: date, within_days: int = 30) -> ItemPage:
    """The page of an item by its tag in any case, its key or its label's code; raises NotFound."""
    item = item_meant(register, tag)
    history = history_of_item(register, item.uid)
    rules = rules_of(register, item)
    inspected = item.last_date is not None

    def state(due: date | None, *, asked_for: bool) -> DueState:
        if not inspected and not asked_for:
            return DueState.NOT_NEEDED
        return due_state(due, inspected=inspected, today=today, within_days=within_days)

    visual, test = waited_dates(item)

    return ItemPage(
        appliance=item,
        site=rules.site,
        location=rules.location,
        client=register.get(Client, rules.site.client),
        category=register.get(Category, item.category) if item.category else None,
        environment=rules.environment,
        answer=rules.answer,
        visual_state=state(visual, asked_for=rules.answer.visual is not None),
        test_state=state(test, asked_for=rules.answer.test is not None),
        overrides=overrides_reaching(register, item),
        blocks=blocks_of(register, item) if item.state is ServiceState.IN_SERVICE else (),
        history=history,
        stated=stated_of(register, item.uid),
        contested=contested_words(register, item.uid),
        left=left_words(register, item),
        failure_kept=_failure_kept(register, item.uid),
        damaged=_is_damaged(register, item, history),
    )


def _failure_kept(register: Register, item: Uid) -> str:
    """In words; what cannot be read is told elsewhere."""
    try:
        return failure_kept_words(read_standing(register, item))
    except RecordDamaged:
        return ""


def _is_damaged(register: Register, item: Appliance, history: Sequence[PastInspection]) -> bool:
    """Tell whether the item and its inspections say different things, or some of them nothing."""
    try:
        shown = read_standing(register, item.uid).shown
        every = inspections_of(register, item.uid)
        for each in every:
            findings_of(register, each.uid)
    except RecordDamaged:
        return True
    latest = next((past for past in history if past.inspection.uid == item.last_inspection), None)
    outcome = latest.inspection.outcome if latest else shown[1]
    return outcome is not item.last_outcome or any(past.person.name == DAMAGED for past in history)
