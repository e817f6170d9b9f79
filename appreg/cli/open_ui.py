"""`appreg`: open the register on the screen."""

import argparse
import os
from collections.abc import Sequence
from pathlib import Path
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.garbage import search_as_usual
from appreg.clock import system_clock
from appreg.errors import AppregError

if TYPE_CHECKING:
    from appreg.register.engine.places import Place
    from appreg.tasks.desk.keep_settings import Settings
    from appreg.tasks.keeping.restore_copy import PreparedRestore


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare nothing: the command without a name has no options of its own."""


def run(args: argparse.Namespace, console: Console) -> int:
    """Open the register, creating it on first use."""
    from appreg.cli.screen_terminal import need_terminal  # noqa: PLC0415
    from appreg.tasks.desk.locate_register import register_place  # noqa: PLC0415 - loaded when it runs

    need_terminal(os.environ)
    return open_on_screen(register_place(args.register, os.environ), console)


def open_on_screen(path: "Place", console: Console, *, told: Sequence[str] = ()) -> int:
    """Show the register until the person leaves; `told` is said once the screen stands. Returns the exit code."""
    from appreg.cli.passphrases import readable  # noqa: PLC0415
    from appreg.clock import local_today  # noqa: PLC0415
    from appreg.tasks.desk.choose_typefaces import offer_typefaces  # noqa: PLC0415
    from appreg.tasks.desk.locate_register import open_or_create  # noqa: PLC0415
    from appreg.tasks.desk.name_operator import operator_name  # noqa: PLC0415
    from appreg.tasks.keeping.begin_work import begin_work  # noqa: PLC0415
    from appreg.tasks.keeping.keep_chains import OwnChains, note_made_here  # noqa: PLC0415
    from appreg.tasks.records.seed_categories import (  # noqa: PLC0415
        seed_later_categories,
        seed_new_register,
        told_of_later,
    )

    settings, kept_in, slip = _settings_found()
    slips = [slip]
    if settings.plain_colours:
        os.environ.setdefault("TEXTUAL_COLOR_SYSTEM", "standard")
    from appreg.ui.app import AppregApp  # noqa: PLC0415 - Textual costs every other command dearly
    from appreg.ui.shell.themes import has_sixteen_only  # noqa: PLC0415

    console.flush()
    offer_typefaces(os.environ)
    who = operator_name(settings.who, os.environ)
    made_here = isinstance(path, Path) and not os.path.lexists(path)
    with readable(path) as file, open_or_create(file) as register:
        if made_here:
            note_made_here(register, os.environ)
        register.writing_place = OwnChains(os.environ)
        if not register.read_only:
            seed_new_register(register, who)
            slips.append(told_of_later(seed_later_categories(register)))
        said = begin_work(register, environ=os.environ, now=system_clock(), writes=True)
        app = AppregApp(
            register,
            today=local_today,
            who=who,
            settings=settings,
            settings_file=kept_in,
            told=(*told, *said, *filter(None, slips)),
            sixteen_only=has_sixteen_only(),
        )
        search_as_usual()
        app.run()
        if app.terminal_gone:
            console.gone()
        from appreg.tasks.keeping.end_work import end_work  # noqa: PLC0415 - checks and copies cost the first frame

        with console.progress("keeping a copy") as progress:
            said = end_work(register, settings=app.settings, environ=os.environ, now=system_clock(), progress=progress)
    for sentence in (*app.unkept, *said):
        console.complain(sentence)
    if app.restore_wanted is not None:
        _put_restored(app.restore_wanted, console)
    if app.fault is not None:
        raise app.fault
    return app.return_code or ExitCode.FINE


def _settings_found() -> "tuple[Settings, Path | None, str]":
    """The settings, the file they are kept in, and what is wrong with that: then there is none, and all is as usual."""
    from appreg.tasks.desk.keep_settings import Settings, load_settings, settings_path  # noqa: PLC0415

    place = settings_path(os.environ)
    try:
        return load_settings(place), place, ""
    except AppregError as refusal:
        # Nobody is kept from work by a slip in a file, and the file is left as it is.
        return Settings(), None, f"{refusal} Until then everything is as usual, and changes hold until you leave."


def _put_restored(prepared: "PreparedRestore", console: Console) -> None:
    """Nothing has the register open any more; say what was done, and how to go on."""
    from appreg.cli.restore import tell_restored  # noqa: PLC0415 - only after a restore
    from appreg.tasks.keeping.restore_copy import put_restored  # noqa: PLC0415

    tell_restored(put_restored(prepared, environ=os.environ, now=system_clock()), console)
