"""What a cord set feeds, as the rows of a list name it: by the tag of an item that is kept, or that the list brings."""

from collections.abc import Sequence

from appreg.core.records.kept_records import Appliance
from appreg.core.values.searched_words import small_ascii
from appreg.core.values.uids import Uid
from appreg.exchange.column_mapping import ColumnMapping
from appreg.register.lists.known_items import items_tagged
from appreg.register.opening.register_file import Register
from appreg.tasks.importing.row_plans import RowProblem

_FIELD = "feeds"


class FedItems:
    """Remembers the items that a list brings, where it has a column for what is fed."""

    def __init__(self, register: Register, mapping: ColumnMapping) -> None:
        self._register = register
        self._is_asked = mapping.column_of(_FIELD) is not None or _FIELD in mapping.constants
        self._brought: dict[str, tuple[Uid, Uid]] = {}
        """By tag the key and the site of a new item."""
        self._tags: dict[Uid, str] = {}

    def note(self, tag: str, uid: Uid, site: Uid) -> None:
        """Note a new item of the list."""
        if self._is_asked:
            self._brought[small_ascii(tag)] = uid, site

    def named(self, text: str, own: Uid, site: Uid) -> tuple[dict[str, Uid], tuple[RowProblem, ...]]:
        """What a cord set feeds as its field, or why nothing is taken; neither where the row says nothing."""
        tag = text.strip()
        if not tag:
            return {}, ()
        borne = items_tagged(self._register, {tag}).get(small_ascii(tag), ())
        if len(borne) > 1:
            return {}, (RowProblem(_FIELD, f"{len(borne)} items bear {tag}", "choose it on the item"),)
        uid, where = self._brought.get(small_ascii(tag)) or _kept(borne)
        if uid is None:
            return {}, (RowProblem(_FIELD, f"no item bears {tag}", "correct the tag, or import the list once more"),)
        if uid == own:
            return {}, (RowProblem(_FIELD, f"{tag} cannot feed itself", "write what its cord is plugged into"),)
        if where != site:
            return {}, (RowProblem(_FIELD, f"{tag} is on an item of another site", "choose it on the item"),)
        self._tags[uid] = tag
        return {_FIELD: uid}, ()

    def tag_of(self, uid: Uid) -> str:
        """The tag of an item that is fed."""
        return self._tags.get(uid) or self._register.get(Appliance, uid).tag


def _kept(borne: Sequence[Appliance]) -> tuple[Uid | None, Uid | None]:
    return (borne[0].uid, borne[0].site) if borne else (None, None)
