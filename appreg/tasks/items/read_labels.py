"""Read what a label's code marks: an item, a location, or a tag that was printed before an item bore it."""

from msgspec import Struct

from appreg.core.records.kept_records import Appliance, AssetTag, Location, Site
from appreg.core.values.label_codes import LabelCode, code_text, read_label_code
from appreg.core.values.uids import Uid, is_uid
from appreg.errors import NotFound
from appreg.register.history.given_up_tags import tags_given_up
from appreg.register.lists.appliance_lists import appliance_by_tag, keys_marked
from appreg.register.opening.register_file import Register


class MarkedLabel(Struct, frozen=True, kw_only=True):
    """What this register knows of a label; nothing at all: it is another register's."""

    item: Appliance | None = None
    location: Location | None = None
    beforehand: Site | None = None
    """The site whose labels with tags were printed before items bore them; this is one of those."""
    new_tag: AssetTag | None = None
    """The tag of such a label, where no item bears it or ever bore it."""
    doubt: str = ""
    """Why such a label tells no item, though its tag is known."""


def read_label(register: Register, code: LabelCode) -> MarkedLabel:
    """Look up what is marked: items first, then locations, then sites, whose labels were printed beforehand."""
    if item := _labelled(register, code):
        return MarkedLabel(item=item)
    if is_uid(code.mark):
        return MarkedLabel()
    places = [each for each in register.find_readable(Location) if each.uid.endswith(code.mark)]
    if len(places) == 1:
        return MarkedLabel(location=places[0])
    sites = [each for each in register.find_readable(Site) if each.uid.endswith(code.mark)]
    return _beforehand(register, code, sites[0]) if len(sites) == 1 else MarkedLabel()


def label_in(register: Register, text: str) -> MarkedLabel | None:
    """What a scanned or typed text marks; None where it is no label's code."""
    code = read_label_code(text)
    return None if code is None else read_label(register, code)


def _beforehand(register: Register, code: LabelCode, site: Site) -> MarkedLabel:
    """Such a label tells its tag alone: where an item gave that tag up, the label may still be on it."""
    if code.tag in {tag.upper() for tag in tags_given_up(register)}:
        doubt = (
            f"An item gave up the tag {code.tag}, and this label may be on it still: read the item, and label it anew."
        )
        return MarkedLabel(beforehand=site, doubt=doubt)
    if item := appliance_by_tag(register, code.tag):
        return MarkedLabel(item=item, beforehand=site)
    return MarkedLabel(beforehand=site, new_tag=AssetTag(code.tag))


def _labelled(register: Register, code: LabelCode) -> Appliance | None:
    """The item of a label: the one with its tag where the mark agrees, else the one with its mark, whatever its tag is now."""
    if is_uid(code.mark):
        return item_keyed(register, code.mark)
    tagged = appliance_by_tag(register, code.tag)
    if tagged is not None and tagged.uid.endswith(code.mark):
        return tagged
    marked = [register.get(Appliance, uid) for uid in keys_marked(register, code.mark)]
    alike = [each for each in marked if read_label_code(code_text(each.tag, each.uid)) == code]
    found = alike or marked
    return found[0] if len(found) == 1 else None


def item_keyed(register: Register, key: str) -> Appliance | None:
    """The item with a key; None where there is none."""
    try:
        return register.get(Appliance, Uid(key))
    except NotFound:
        return None
