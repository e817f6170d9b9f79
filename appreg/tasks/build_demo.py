"""Build the demo register from the sample sites, through the tasks a person would use."""

import random
import secrets
from datetime import date
from pathlib import Path
from typing import Final

from appreg.clock import Clock, system_clock
from appreg.core.lean_dataclasses import dataclass
from appreg.core.records import Appliance, Client, Inspection, QueuedLabel, Site
from appreg.errors import AppregError, InputRefused
from appreg.exchange.file_problems import refuse_problems
from appreg.exchange.sample_folder import read_sample_site
from appreg.exchange.sample_records import SampleSite
from appreg.register.register_file import Register, open_register
from appreg.tasks.list_sites import list_sites, sum_of
from appreg.tasks.load_sample_site import load_sample_site
from appreg.tasks.locate_samples import sample_folders
from appreg.tasks.seed_categories import seed_categories

WHO: Final = "appreg demo"
_SEED: Final = 20_261_124
_BESIDE: Final = ("-wal", "-shm")
"""Files that SQLite keeps beside a database while it is open."""


@dataclass(frozen=True, slots=True, kw_only=True)
class DemoSummary:
    """What the demo register holds."""

    path: Path
    sites: int
    items: int
    inspections: int
    failed: int
    overdue: int
    never: int
    waiting_labels: int


def build_demo(path: Path, *, clock: Clock | None = None, today: date, replace: bool = False) -> DemoSummary:
    """Write a new demo register; with a clock given the same one every time.

    A file already there is replaced where it holds nothing but sample sites, or `replace` says so;
    raises InputRefused for any other, and where the sample sites cannot be read.
    """
    samples = read_samples()
    if path.exists() and not replace and not _holds_samples_only(path, samples):
        raise InputRefused(f"{path} is there already and holds more than the demo; name a new file with --register.")
    new = path.with_name(path.name + ".new")
    _remove(new)
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        summary = _built(new, path, samples, clock, today)
        _remove(path)
        new.replace(path)
    except OSError as problem:
        raise InputRefused(f"{path} cannot be written ({problem.strerror}); name another with --register.") from problem
    finally:
        _remove(new)
    return summary


def read_samples() -> tuple[SampleSite, ...]:
    """The sample sites by name of their folder; raises InputRefused naming the first thing wrong in their files."""
    samples = []
    for folder in sample_folders():
        sample, problems = read_sample_site(folder)
        refuse_problems(problems)
        if sample is not None:
            samples.append(sample)
    return tuple(samples)


def _built(new: Path, path: Path, samples: tuple[SampleSite, ...], clock: Clock | None, today: date) -> DemoSummary:
    # A fixed clock asks for the same register every time; a real one for keys that no other has.
    entropy = random.Random(_SEED).getrandbits if clock else secrets.randbits  # noqa: S311 - keys, not secrets
    with open_register(new, clock=clock or system_clock, entropy=entropy) as register:
        seed_categories(register, WHO)
        for sample in samples:
            load_sample_site(register, WHO, sample)
        register.tune()
        return _summary(register, path, today)


def _summary(register: Register, path: Path, today: date) -> DemoSummary:
    lines = list_sites(register, today=today)
    counts = sum_of(line.counts for line in lines if line.counts is not None)
    return DemoSummary(
        path=path,
        sites=len(lines),
        items=counts.items,
        inspections=len(register.find(Inspection)),
        failed=counts.failed,
        overdue=counts.overdue,
        never=counts.never,
        waiting_labels=len(register.find(QueuedLabel, printed_on=None)),
    )


def _holds_samples_only(path: Path, samples: tuple[SampleSite, ...]) -> bool:
    try:
        with open_register(path, create=False) as register:
            sites = {(each.name, each.prefix) for each in register.find(Site)}
            clients = {each.name for each in register.find(Client)}
            items = register.find(Appliance)
    except AppregError:
        return False
    known = {(each.place.name, each.place.prefix) for each in samples}
    return bool(items) and sites <= known and clients <= {each.client.name for each in samples}


def _remove(path: Path) -> None:
    for each in (path, *(path.with_name(path.name + end) for end in _BESIDE)):
        each.unlink(missing_ok=True)
