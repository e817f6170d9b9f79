"""Opening the register for commands that read it."""

import argparse
import os
from collections.abc import Iterator
from contextlib import contextmanager
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.passphrases import readable
from appreg.clock import system_clock
from appreg.core.values.uids import Uid
from appreg.errors import InputRefused
from appreg.tasks.desk.choose_typefaces import offer_typefaces
from appreg.tasks.desk.locate_register import open_existing, register_place
from appreg.tasks.keeping.begin_work import Search, begin_work
from appreg.tasks.keeping.remember_seals import remember

if TYPE_CHECKING:
    from appreg.core.records.kept_records import Site
    from appreg.register.engine.places import Place
    from appreg.register.lists.appliance_lists import SiteKey
    from appreg.register.opening.register_file import Register


@contextmanager
def opened(
    args: argparse.Namespace,
    console: Console,
    *,
    place: "Place | None" = None,
    writes: bool = False,
    search: Search = Search.QUICK,
) -> "Iterator[Register]":
    """Open the register the options name, saying first what has to be said of it; it is never made here.

    `place`: another one. `writes` and `search` as begin_work has them.
    """
    offer_typefaces(os.environ)
    named = place or register_place(args.register, os.environ)
    with readable(named) as file, open_existing(file) as register:
        for sentence in begin_work(register, environ=os.environ, now=system_clock(), writes=writes, search=search):
            console.complain(sentence)
        register.damage.heard = console.complain_of_damage
        try:
            yield register
        finally:
            if register.was_changed:
                remember(register, os.environ)


def end_writing(register: "Register", console: Console) -> None:
    """End a command that wrote: a copy is kept where the last one is older than a day; what went wrong is said."""
    from appreg.tasks.keeping.end_work import end_command  # noqa: PLC0415 - only after writing

    with console.progress("keeping a copy") as progress:
        said = end_command(register, environ=os.environ, now=system_clock(), progress=progress)
    for sentence in said:
        console.complain(sentence)


def site_named(register: "Register", named: str) -> "Site":
    """The site with this name, prefix or key; raises InputRefused naming the sites there are."""
    from appreg.core.records.kept_records import Site  # noqa: PLC0415 - only where a site is named

    return register.get(Site, _key_named(register, named).uid)


def _key_named(register: "Register", named: str) -> "SiteKey":
    from appreg.register.lists.appliance_lists import site_keys  # noqa: PLC0415 - only where a site is named

    wanted = named.strip().casefold()
    sites = site_keys(register)
    for key in (_prefix, _uid, _name):
        found = [site for site in sites if key(site) == wanted]
        if len(found) == 1:
            return found[0]
        if found:
            raise InputRefused(f"--site: {len(found)} sites are named {named}; give the prefix of its tags instead.")
    known = ", ".join(f"{site.name} ({site.prefix})" for site in sites) or "none yet"
    raise InputRefused(f"--site: there is no site {named}; the register has {known}.")


def site_uid(register: "Register", named: str | None) -> Uid | None:
    """The key of the site named, or None where none is."""
    return _key_named(register, named).uid if named is not None else None


def _prefix(site: "SiteKey") -> str:
    return site.prefix.casefold()


def _uid(site: "SiteKey") -> str:
    return site.uid.casefold()


def _name(site: "SiteKey") -> str:
    return site.name.casefold()
