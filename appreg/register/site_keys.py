"""What people call the sites by, without reading the rest of them."""

from typing import Final, NamedTuple

from appreg.core.uids import Uid
from appreg.register.register_file import Register

_ALL: Final = "SELECT uid, name, prefix FROM site ORDER BY uid"


class SiteKey(NamedTuple):
    """What a site can be named by."""

    uid: Uid
    name: str
    prefix: str
    """Of its tags."""


def site_keys(register: Register) -> list[SiteKey]:
    """Those of all sites, oldest key first; of hundreds of sites, whole records would take longer than what is asked of one."""
    return [SiteKey(Uid(uid), name, prefix) for uid, name, prefix in register.rows(_ALL)]
