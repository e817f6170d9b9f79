"""Any cell of a register damaged: every command and screen still answers, in sentences, and calls nothing well."""

import asyncio
import logging
import shutil
import time
from typing import Final

from tests.campaign.trial import Trial
from tests.damaged_registers import (
    FAULT,
    VALUES,
    Cell,
    build_whole,
    cells_of,
    damaged_copy,
    open_every_screen,
    reading_commands,
    told_by,
)

_CODES: Final = frozenset({0, 1, 2, 3})
_LONGEST: Final = 5.0
"""Seconds that a command may take."""
_SCREENS_EVERY: Final = 12
"""Rounds from one walk through the screens to the next: they take a hundred times as long as the commands."""


def run(trial: Trial) -> None:
    """Damage one cell after another at random, and read the register in every way."""
    logging.disable(logging.CRITICAL)
    whole = build_whole(trial.folder / "whole.sqlite")
    cells = cells_of(whole)
    while trial.goes_on():
        cell, value = trial.random.choice(cells), trial.random.choice(VALUES)
        copy = trial.folder / f"damaged-{trial.rounds}.sqlite"
        try:
            if damaged_copy(whole, copy, cell, value):
                trial.count("cells damaged")
                _read(trial, cell, value)
        finally:
            for left in trial.folder.glob("damaged-*"):
                if left.is_dir():
                    shutil.rmtree(left)
                else:
                    left.unlink()


def _read(trial: Trial, cell: Cell, value: str | int) -> None:
    copy = trial.folder / f"damaged-{trial.rounds}.sqlite"
    for words in reading_commands(trial.folder):
        started = time.monotonic()
        told = told_by(words, copy)
        took = time.monotonic() - started
        trial.count("commands")
        for name in ("labels", "register", "report"):
            (trial.folder / f"{name}.pdf").unlink(missing_ok=True)
        if FAULT in told.err or told.code not in _CODES:
            trial.fault(f"{cell} {value!r}: {' '.join(words)} ended with {told.code}: {told.err[:300]}")
        if took > _LONGEST:
            trial.fault(f"{cell} {value!r}: {' '.join(words)} took {took:.1f} s")
    if trial.rounds % _SCREENS_EVERY == 0:
        trial.count("walks through the screens")
        try:
            asyncio.run(open_every_screen(copy))
        except Exception as fault:  # noqa: BLE001 - whatever it is, it is what the trial looks for
            trial.fault(f"{cell} {value!r}: a screen raised {type(fault).__name__}: {str(fault)[:300]}")
