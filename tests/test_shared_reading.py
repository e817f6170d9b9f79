"""Tests that are compiled by one process are those that pytest itself would compile."""

import importlib.util
import sys
from pathlib import Path

import pytest
from _pytest.assertion import rewrite

from tests.shared_reading import compile_for, files_below


def test_a_test_is_compiled_once_to_where_pytest_looks_and_tells_what_its_assertion_compared(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, pytestconfig: pytest.Config
) -> None:
    monkeypatch.setattr(sys, "pycache_prefix", str(tmp_path / "compiled"))
    monkeypatch.setattr(sys, "dont_write_bytecode", False)
    folder = tmp_path / "tests"
    folder.mkdir()
    file = folder / "test_one.py"
    file.write_text("def test_one():\n    assert 1 + 1 == len('abc')\n")
    assert [*files_below([str(folder), "no-such-folder"])] == [file]

    compile_for(pytestconfig, [file])
    monkeypatch.setattr(rewrite, "_rewrite_test", None)
    compile_for(pytestconfig, [file])

    spec = importlib.util.spec_from_file_location("test_one_read", file)
    assert spec is not None
    module = importlib.util.module_from_spec(spec)
    rewrite.AssertionRewritingHook(pytestconfig).exec_module(module)
    with pytest.raises(AssertionError, match=r"assert \(1 \+ 1\) == 3"):
        module.test_one()
