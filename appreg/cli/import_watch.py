"""`appreg import --watch`: tells of each new table in a folder of downloads; none is taken by itself."""

import os
import shlex
from pathlib import Path
from time import sleep
from typing import TYPE_CHECKING

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.clock import local_today
from appreg.core.values.text import shown
from appreg.errors import InputRefused
from appreg.tasks.importing.watch_downloads import LOOKS_EVERY, DownloadWatch

if TYPE_CHECKING:
    from appreg.tasks.importing.watch_downloads import Download


def watch_folder(folder: Path, console: Console) -> int:
    """Look again and again; ctrl+c is how it ends. Raises InputRefused where it is no folder at the start."""
    if not folder.is_dir():
        raise InputRefused(f"FILE: {folder} is no folder that could be watched; name one.")
    watch = DownloadWatch(folder, os.environ)
    console.line(f"Watching {folder}; ctrl+c ends it. Nothing is imported by itself.")
    try:
        while True:
            _look(watch, console)
            sleep(LOOKS_EVERY)
    except KeyboardInterrupt:
        return ExitCode.FINE


def _look(watch: DownloadWatch, console: Console) -> None:
    try:
        for download in watch.look(local_today()):
            console.line(download.sentence)
            if download.kind is not None:
                console.line(f"  {shown(_command(download))}")
    except InputRefused as refusal:
        console.complain(str(refusal))
    console.flush()


def _command(download: "Download") -> str:
    """What shows its rows."""
    return shlex.join(
        ["appreg", "import", str(download.path), *(["--mapping", download.mapping] if download.mapping else [])]
    )
