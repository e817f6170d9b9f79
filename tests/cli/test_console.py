"""What the console writes lines up and acts on no terminal."""

import json
from io import BytesIO, StringIO, TextIOWrapper

import pytest
from hypothesis import given
from hypothesis import strategies as st
from wcwidth import wcswidth, wcwidth

from appreg.cli.console import Console
from appreg.core.values.text import columns_of, is_hidden, shown
from tests.hostile_names import HOSTILE_NAMES


def written(*rows: tuple[str, ...]) -> list[str]:
    out = StringIO()
    Console(out, StringIO()).table(("tag", "item", "site"), rows)
    return out.getvalue().splitlines()


@pytest.mark.parametrize(
    "name", ["水壶", "ｋｅｔｔｌｅ", "Kettle 漢字", "é", "e\u0301clair", "한국어", "🔌 lead", "นี่", "Ω"]
)
def test_columns_stand_below_their_heads_whatever_the_letters_width(name: str) -> None:
    heads, row, plain = written(("KL-001", name, "Row"), ("KL-002", "Angle grinder", "Row"))
    assert wcswidth(row.removesuffix("Row")) == wcswidth(plain.removesuffix("Row")) == heads.index("site")


@pytest.mark.parametrize("name", HOSTILE_NAMES)
def test_hostile_names_act_on_nothing_and_are_as_wide_as_a_reference_library_has_them(name: str) -> None:
    text = shown(name)
    # Terminals differ on joined signs: some draw them as one, some side by side.
    assert columns_of(text) in {wcswidth(text), sum(max(0, wcwidth(character)) for character in text)}
    assert not any(map(is_hidden, written(("KL-001", name, "Row"))[1]))


def test_json_is_read_back_as_it_was_and_acts_on_nothing() -> None:
    out = StringIO()
    value: dict[str, object] = {name: [name, at] for at, name in enumerate(HOSTILE_NAMES)}
    Console(out, StringIO()).json(value)
    assert json.loads(out.getvalue()) == value
    assert not any(map(is_hidden, out.getvalue().replace("\n", "")))


_WORDS = st.text(st.characters(categories=("L", "N", "P", "S")) | st.sampled_from(" \n\t\x01"))
_LEAVES = st.none() | st.booleans() | st.integers() | st.floats(allow_nan=False, allow_infinity=False) | _WORDS


@given(
    st.dictionaries(
        _WORDS, st.recursive(_LEAVES, lambda inner: st.lists(inner) | st.dictionaries(_WORDS, inner), max_leaves=8)
    )
)
def test_json_is_laid_out_as_the_standard_library_lays_it_out(answer: dict[str, object]) -> None:
    out = StringIO()
    Console(out, StringIO()).json(answer)
    assert out.getvalue() == json.dumps(answer, ensure_ascii=False, indent=2) + "\n"


@pytest.mark.parametrize("encoding", ["ascii", "latin-1", "cp1252", "utf-8"])
def test_json_is_json_whatever_letters_the_stream_takes(encoding: str) -> None:
    held = BytesIO()
    console = Console(TextIOWrapper(held, encoding=encoding), StringIO())
    value: dict[str, object] = {"name": "Küche 漢 Ω", "half": "\udcff"}
    console.json(value)
    console.flush()
    assert json.loads(held.getvalue().decode(encoding)) == value
