"""Find items by the code on a label, a tag, or words."""

from datetime import date
from functools import partial

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, AssetTag, Location, Site
from appreg.core.records.list_queries import parse_query
from appreg.core.values.asset_tags import LONGEST_TAG
from appreg.core.values.label_codes import OLD_PREFIX, read_label_code
from appreg.core.values.text import is_hidden
from appreg.core.values.uids import is_uid
from appreg.errors import NotFound
from appreg.register.lists.appliance_lists import appliance_by_tag, appliances_of
from appreg.register.lists.search import loosely_tagged, search
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.find_rules import RuleFinder
from appreg.tasks.desk.read_on import read_on
from appreg.tasks.items.read_labels import item_keyed, label_in


class FoundItem(Struct, frozen=True, kw_only=True):
    """One item that answers."""

    appliance: Appliance
    site: Site
    location: Location


def find_items(
    register: Register, text: str, *, today: date, within_days: int = 30, limit: int = 200
) -> tuple[FoundItem, ...]:
    """The items that answer to a label's code, a key, a tag in any case, or to a query; the likeliest first.

    The label of a location is answered by what is there.
    """
    typed = _seen(text)
    exact = item_named(register, typed)
    if exact:
        items = [exact]
    elif _is_code(typed):
        place = location_on_label(register, typed)
        items = appliances_of(register, location=place.uid, readable=True)[:limit] if place is not None else []
    else:
        items = search(register, parse_query(typed, today=today, within_days=within_days), limit=limit)
    rules = RuleFinder(register)
    found = (read_on(register, item.tag, partial(_found, rules, item)) for item in items)
    return tuple(each for each in found if each is not None)


def _found(rules: RuleFinder, item: Appliance) -> FoundItem:
    return FoundItem(appliance=item, site=rules.site(item.site), location=rules.location(item.location))


def tag_on_label(register: Register, text: str) -> AssetTag | None:
    """The tag that a scanned or typed text stands for, in capitals; None where none can be so long.

    The code on a label stands for its item alone: where that is not here, its tag is another register's. One that was
    printed before an item bore its tag stands for the tag, until an item has borne it.
    """
    label = label_in(register, _seen(text))
    if label is not None:
        return label.new_tag
    tag = _without_prefix(_seen(text)).upper()
    return AssetTag(tag) if 0 < len(tag) <= LONGEST_TAG else None


def location_on_label(register: Register, text: str) -> Location | None:
    """The location whose label was scanned; None for any other text."""
    label = label_in(register, _seen(text))
    return None if label is None else label.location


def _seen(text: str) -> str:
    """What cannot be seen was not meant: readers of codes send control characters of their own."""
    return "".join(character for character in text if not is_hidden(character)).strip()


def _is_code(text: str) -> bool:
    return text.upper().startswith(OLD_PREFIX) or read_label_code(text) is not None


def _without_prefix(text: str) -> str:
    return text[len(OLD_PREFIX) :].strip() if text.upper().startswith(OLD_PREFIX) else text


def item_meant(register: Register, text: str) -> Appliance:
    """The item that a person names: by code, key or tag, or by a tag without separators and noughts that one item has.

    Raises NotFound; a reader of codes is answered by item_named alone, for what it reads is exact.
    """
    item = item_named(register, text)
    if item is not None:
        return item
    if said := said_of_label(register, text):
        raise NotFound(said)
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
    label = label_in(register, wanted)
    if label is not None:
        return label.item
    if is_uid(wanted.upper()):
        return item_keyed(register, wanted.upper())
    tag = _without_prefix(wanted).upper()
    return appliance_by_tag(register, tag) if tag else None


def said_of_label(register: Register, text: str) -> str:
    """What to say of a label's code that no item here answers to; empty for any other text."""
    typed = _seen(text)
    code, label = read_label_code(typed), label_in(register, typed)
    if code is None or label is None or label.item is not None:
        return ""
    if label.location is not None:
        site = register.get(Site, label.location.site)
        here = bool(appliances_of(register, location=label.location.uid, readable=True))
        return (
            f"This is the label of a location, {label.location.name} at {site.name}, and of no item"
            f"{'' if here else '; nothing is there'}."
        )
    if label.beforehand is not None:
        printed = (
            f"The label of {code.tag} was printed beforehand for {label.beforehand.name}, and no item bears it yet."
        )
        return label.doubt or f"{printed} Give it to a new one on a walk-round there."
    named = f"The label of {code.tag}" if code.tag else "This label"
    return f"{named} was printed from another register: no item here has its code. Open that register, or label the item anew."
