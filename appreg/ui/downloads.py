"""Tables that come into the folder of downloads: told as they come, and opened where a person chooses one."""

import os
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.core.values.counted_words import counted
from appreg.errors import InputRefused
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.key_words import key_of

if TYPE_CHECKING:
    from appreg.tasks.importing.watch_downloads import Download, DownloadWatch
    from appreg.ui.app import AppregApp

LOOKS_EVERY: Final = 2.0
"""Seconds between two looks at the folder."""
_MOST_TOLD: Final = 3
"""New tables that are told one by one; more of them are only counted."""


class OfferedDownloads:
    """Looks at the folder that is set, in a thread, and holds what has come since the program was opened."""

    def __init__(self, app: "AppregApp") -> None:
        self._app = app
        self._folder = ""
        self._watch: DownloadWatch | None = None
        self._is_looking = False
        self._offered: dict[Path, Download] = {}

    def look(self) -> None:
        """Look once, unless a look is under way or no folder is set."""
        folder = self._app.settings.downloads
        if not folder:
            self._folder, self._watch = "", None
            return
        if folder != self._folder:
            from appreg.tasks.importing.watch_downloads import watch_of  # noqa: PLC0415 - only where a folder is set

            self._folder, self._watch, self._offered = folder, watch_of(folder, os.environ), {}
        if self._watch is not None and not self._is_looking:
            self._is_looking = True
            looking = partial(self._read, self._watch)
            self._app.run_worker(looking, thread=True, group="downloads", exit_on_error=False)

    def _read(self, watch: "DownloadWatch") -> None:
        found: tuple[Download, ...] = ()
        fault = ""
        try:
            found = watch.look(self._app.today)
        except InputRefused as refusal:
            fault = str(refusal)
        finally:
            self._is_looking = False
        if found or fault:
            self._app.call_from_thread(self._offer, found, fault)

    def _offer(self, found: "tuple[Download, ...]", fault: str) -> None:
        if fault:
            self._app.warn(fault)
        self._offered |= {each.path: each for each in found if not each.fault}
        how = f"{key_of('app.palette', '^p')}, “downloads”, opens it."
        for download in found[:_MOST_TOLD]:
            self._app.say(f"{download.sentence} {how}" if download.kind is not None else download.sentence)
        if len(found) > _MOST_TOLD:
            self._app.say(f"{counted(len(found) - _MOST_TOLD, 'more file')} in downloads.")

    def choose(self) -> None:
        """Ask which of them is opened; nothing of it is in the register by that."""
        from appreg.ui.screens.asking.pick_screen import Answer, PickScreen  # noqa: PLC0415 - only when asked

        app = self._app
        self.look()
        if not app.settings.downloads:
            settings = key_of("app.go('settings')", "F9")
            app.say(f"No folder is watched: {settings}, “downloads”, names one.")
        elif not self._offered:
            app.say(f"No table has come into {app.settings.downloads} since the program was opened.")
        else:
            answers = [Answer(str(path), told.sentence) for path, told in reversed(self._offered.items())]
            app.push_screen(PickScreen("Which download?", answers), self._open)

    def _open(self, chosen: str | None) -> None:
        from appreg.ui.screens.imports.import_work import open_table  # noqa: PLC0415 - only when one is chosen

        screen = self._app.screen
        if chosen is not None and isinstance(screen, CommandScreen):
            open_table(screen, Path(chosen))
