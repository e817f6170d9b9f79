"""Reading the tests, with what each assertion is made into, shared among the processes that run them.

Every process collects all tests in the same order; where nothing compiled is left from before, each would compile every
file at about the moment at which the others do.
"""

import os
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path

import pytest
from _pytest.assertion import rewrite


@pytest.hookimpl(tryfirst=True)
def pytest_collection(session: pytest.Session) -> None:
    """Compile the share of this process; those of the others are found compiled by then, but for a few."""
    worker, of = os.environ.get("PYTEST_XDIST_WORKER"), os.environ.get("PYTEST_XDIST_WORKER_COUNT")
    if worker and of and not sys.dont_write_bytecode:
        files = sorted(files_below(session.config.args))
        compile_for(session.config, files[int(worker.removeprefix("gw")) :: int(of)])


def files_below(words: Iterable[str]) -> Iterator[Path]:
    """The files of tests in the folders named."""
    for word in words:
        if Path(word).is_dir():
            yield from Path(word).resolve().rglob("test_*.py")


def compile_for(config: pytest.Config, files: Iterable[Path]) -> None:
    """Compile what is not compiled yet to where pytest looks for it."""
    state = config.stash[rewrite.assertstate_key]
    for file in files:
        compiled = rewrite.get_cache_dir(file) / f"{file.stem}{rewrite.PYC_TAIL}"
        if rewrite._read_pyc(file, compiled) is None and rewrite.try_makedirs(compiled.parent):
            about, code = rewrite._rewrite_test(file, config)
            rewrite._write_pyc(state, code, about, compiled)
