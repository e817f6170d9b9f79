"""Build the demo register from the sample sites, through the tasks a person would use."""

import random
import secrets
from datetime import date
from functools import partial
from pathlib import Path
from typing import Final

from msgspec import Struct

from appreg.clock import Clock, system_clock
from appreg.core.records.kept_records import Inspection, QueuedLabel
from appreg.errors import InputRefused, RegisterKept
from appreg.exchange.file_problems import refuse_problems
from appreg.exchange.sample_folder import read_sample_site
from appreg.exchange.sample_records import SampleSite
from appreg.register.engine.places import Place
from appreg.register.history.journal import authors_of
from appreg.register.journal.journal_chain import AUTHOR
from appreg.register.opening.register_file import Register
from appreg.register.opening.register_making import make_anywhere, replace_register
from appreg.tasks.keeping.load_sample_site import load_sample_site, sample_folders
from appreg.tasks.records.list_sites import list_sites, sum_of
from appreg.tasks.records.seed_categories import seed_categories

WHO: Final = "appreg demo"
_SEED: Final = 20_261_124
_ELSEWHERE: Final = "name a new file with --register"


class DemoSummary(Struct, frozen=True, kw_only=True):
    """What the demo register holds."""

    path: Place
    sites: int
    items: int
    inspections: int
    failed: int
    overdue: int
    """Items."""
    overdue_inspections: int
    never: int
    waiting_labels: int


def build_demo(path: Place, *, clock: Clock | None = None, today: date) -> DemoSummary:
    """Write a new demo register; with a clock given the same one every time.

    A file already there is replaced only where nobody but the demo has written to it and nobody has it open.
    Raises RegisterKept for a demo that somebody works in, InputRefused for any other file, and where the
    sample sites cannot be read.
    """
    samples = read_samples()
    summaries: list[DemoSummary] = []

    def fill(register: Register) -> None:
        summaries.append(_filled(register, path, samples, today))

    # A fixed clock asks for the same register every time; a real one for keys that no other has.
    entropy = random.Random(_SEED).getrandbits if clock else secrets.randbits  # noqa: S311 - keys, not secrets
    if isinstance(path, Path) and (path.is_symlink() or path.exists()):
        _refuse_no_register(path)
        replace_register(
            path, partial(_refuse_work, samples=samples), clock=clock or system_clock, entropy=entropy, fill=fill
        )
    else:
        make_anywhere(path, clock=clock or system_clock, entropy=entropy, fill=fill)
    return summaries[-1]


def read_samples() -> tuple[SampleSite, ...]:
    """The sample sites by name of their folder; raises InputRefused naming the first thing wrong in their files."""
    samples = []
    for folder in sample_folders():
        sample, problems = read_sample_site(folder)
        refuse_problems(problems)
        if sample is not None:
            samples.append(sample)
    return tuple(samples)


def _filled(register: Register, path: Place, samples: tuple[SampleSite, ...], today: date) -> DemoSummary:
    seed_categories(register, WHO)
    for sample in samples:
        load_sample_site(register, WHO, sample)
    register.tune()
    return _summary(register, path, today)


def _summary(register: Register, path: Place, today: date) -> DemoSummary:
    lines = list_sites(register, today=today)
    counts = sum_of(line.counts for line in lines if line.counts is not None)
    return DemoSummary(
        path=path,
        sites=len(lines),
        items=counts.items,
        inspections=len(register.find(Inspection)),
        failed=counts.failed,
        overdue=counts.overdue,
        overdue_inspections=counts.overdue_inspections,
        never=counts.never,
        waiting_labels=len(register.find(QueuedLabel, printed_on=None)),
    )


def _refuse_no_register(path: Path) -> None:
    if path.is_symlink() or not path.is_file():
        raise InputRefused(f"{path} is a link, a folder or a device, and no demo is put there; {_ELSEWHERE}.")


def _refuse_work(register: Register, samples: tuple[SampleSite, ...]) -> None:
    """Raise where anybody has written to the register since the demo was built, which ends under its own name."""
    authors = [each for each in authors_of(register) if each != AUTHOR]
    if WHO not in authors:
        raise InputRefused(f"{register.place} is there already and is no demo; {_ELSEWHERE}.")
    if authors[-1] != WHO or not {WHO, *(each.name for sample in samples for each in sample.people)}.issuperset(
        authors
    ):
        raise RegisterKept(
            f"The demo register {register.place} holds what somebody entered, so it is kept as it is: "
            f"`appreg --register FILE` opens it; for a fresh demo, {_ELSEWHERE}."
        )
