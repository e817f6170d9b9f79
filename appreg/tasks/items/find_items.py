"""Find items by the code on a label, a tag, or words."""

from datetime import date
from functools import partial

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, AssetTag, Location, Site
from appreg.core.records.list_queries import parse_query
from appreg.core.values.asset_tags import LONGEST_TAG
from appreg.core.values.label_codes import OLD_PREFIX, LabelCode, code_text, read_label_code
from appreg.core.values.text import is_hidden
from appreg.core.values.uids import Uid, is_uid
from appreg.errors import NotFound
from appreg.register.lists.appliance_lists import appliance_by_tag, keys_marked
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
    """The tag that a scanned or typed text stands for, in capitals; None where none can be so long.

    The code on a label stands for its item alone: where that is not here, its tag is another register's.
    """
    if read_label_code(_seen(text)) is not None:
        return None
    tag = _without_prefix(_seen(text)).upper()
    return AssetTag(tag) if 0 < len(tag) <= LONGEST_TAG else None


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
    if foreign := foreign_label(register, text):
        raise NotFound(foreign)
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
    code = read_label_code(wanted)
    if code is not None:
        return _labelled(register, code)
    if is_uid(wanted.upper()):
        return _keyed(register, wanted.upper())
    tag = _without_prefix(wanted).upper()
    return appliance_by_tag(register, tag) if tag else None


def foreign_label(register: Register, text: str) -> str:
    """What to say of a label's code that no item here answers to; empty for any other text."""
    typed = _seen(text)
    code = read_label_code(typed)
    if code is None or item_named(register, typed) is not None:
        return ""
    named = f"The label of {code.tag}" if code.tag else "This label"
    return f"{named} was printed from another register: no item here has its code. Open that register, or label the item anew."


def _labelled(register: Register, code: LabelCode) -> Appliance | None:
    """The item of a label: the one with its tag where the mark agrees, else the one with its mark, whatever its tag is now."""
    if is_uid(code.mark):
        return _keyed(register, code.mark)
    tagged = appliance_by_tag(register, code.tag)
    if tagged is not None and tagged.uid.endswith(code.mark):
        return tagged
    marked = [register.get(Appliance, uid) for uid in keys_marked(register, code.mark)]
    alike = [each for each in marked if read_label_code(code_text(each.tag, each.uid)) == code]
    found = alike or marked
    return found[0] if len(found) == 1 else None


def _keyed(register: Register, key: str) -> Appliance | None:
    try:
        return register.get(Appliance, Uid(key))
    except NotFound:
        return None
