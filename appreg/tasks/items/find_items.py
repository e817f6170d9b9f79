"""Find items by the code on a label, a tag, or words."""

from datetime import date
from functools import partial

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, AssetTag, Location, Site
from appreg.core.records.list_queries import parse_query
from appreg.core.values.asset_tags import LONGEST_TAG
from appreg.core.values.text import is_hidden
from appreg.core.values.uids import Uid, is_uid
from appreg.errors import NotFound
from appreg.paper.codes.qr_codes import PREFIX, uid_in
from appreg.register.lists.appliance_lists import appliance_by_tag
from appreg.register.lists.search import loosely_tagged, search
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import read_on


class FoundItem(Struct, frozen=True, kw_only=True):
    """One item that answers."""

    appliance: Appliance
    site: Site
    location: Location


def find_items(
    register: Register, text: str, *, today: date, within_days: int = 30, limit: int = 200
) -> tuple[FoundItem, ...]:
    """The items that answer to a label's code, a key, a tag in any case, or to a query; the likeliest first."""
    typed = _seen(text)
    exact = item_named(register, typed)
    if exact:
        items = [exact]
    elif _is_code(typed):
        items = []
    else:
        items = search(register, parse_query(typed, today=today, within_days=within_days), limit=limit)
    rules = RuleFinder(register)
    found = (read_on(register, item.tag, partial(_found, rules, item)) for item in items)
    return tuple(each for each in found if each is not None)


def _found(rules: RuleFinder, item: Appliance) -> FoundItem:
    return FoundItem(appliance=item, site=rules.site(item.site), location=rules.location(item.location))


def tag_on_label(text: str) -> AssetTag | None:
    """The tag that a scanned or typed text stands for, in capitals; None where none can be so long."""
    tag = _without_prefix(_seen(text)).upper()
    return AssetTag(tag) if 0 < len(tag) <= LONGEST_TAG else None


def _seen(text: str) -> str:
    """What cannot be seen was not meant: readers of codes send control characters of their own."""
    return "".join(character for character in text if not is_hidden(character)).strip()


def _is_code(text: str) -> bool:
    return text.upper().startswith(PREFIX)


def _without_prefix(text: str) -> str:
    return text[len(PREFIX) :].strip() if _is_code(text) else text


def item_meant(register: Register, text: str) -> Appliance:
    """The item that a person names: by code, key or tag, or by a tag without separators and noughts that one item has.

    Raises NotFound; a reader of codes is answered by item_named alone, for what it reads is exact.
    """
    item = item_named(register, text)
    if item is not None:
        return item
    alike = loosely_tagged(register, text)
    if len(alike) == 1:
        return alike[0]
    if alike:
        tags = ", ".join(each.tag for each in alike)
        raise NotFound(f"{text.strip()} may be {tags}; write the tag as it stands on the item.")
    raise NotFound(f"No item is tagged {text.strip()}; look for it with `appreg find`.")


def item_named(register: Register, text: str) -> Appliance | None:
    """The one item with this label's code, key or tag; None where there is none."""
    wanted = text.strip()
    uid = uid_in(wanted)
    if uid is None and is_uid(wanted.upper()):
        uid = Uid(wanted.upper())
    if uid is not None:
        try:
            return register.get(Appliance, uid)
        except NotFound:
            return None
    tag = _without_prefix(wanted).upper()
    return appliance_by_tag(register, tag) if tag else None
