"""The words that are commands where an answer is asked for, and sentences of the Bench with these in place of its keys."""

from typing import Final

from appreg.cli.asking.talk import STOP
from appreg.ui.shell.key_words import key_of, named_keys

HELP: Final = (
    ("", "leave the line as it stands and go on"),
    ("ok, bad", "answer a line without a figure; on the list: ok, or the numbers of what is bad"),
    ("?", "why it says what it says"),
    ("<", "back to the line before"),
    ("again", "keep this reading with its time and take another; the last one counts"),
    ("confirm", "it is so on the item, or the doubted reading was read so"),
    ("plate class|cord|fuse|power|tag …", "what is read from the item: plate cord 1.0 x 3 measured"),
    ("turn", "the next test voltage, leakage method or test current"),
    ("instead", "leakage in place of insulation, or the other way; again takes it away"),
    ("unsuitable", "500 V d.c. must not be applied to it; again takes that back"),
    ("mended …", "what was put right on the spot; what was found stays on record"),
    ("remark …", "a remark beside the line"),
    ("out …", "leave the check out with this reason, where the rule book lets it be; alone opens it again"),
    ("anew", "empty every line"),
    ("undo", "take back what was kept of the item on this visit"),
    ("not inspected", "say why it cannot be inspected on this visit; it stays due"),
    ("repair", "record what was done about its failure, and who was told"),
    ("end", "go to the outcome"),
    (STOP, "leave it half-filled, for later or for the Bench"),
)
"""What can be typed in place of an answer, and what it does."""
COMMANDS: Final = frozenset(
    {
        *("?", "<", "again", "confirm", "plate", "turn", "instead", "unsuitable", "mended", "remark", "out", "anew"),
        *("undo", "not", "repair", "end", "help"),
    }
)
_FOR_KEYS: Final = {
    "bench.unsuitable": "“unsuitable”",
    "bench.leakage": "“instead”",
    "bench.confirm": "“confirm”",
    "bench.repeat": "“again”",
    "bench.fail": "“bad”",
    "bench.anew": "“anew”",
    "bench.repair": "“repair”",
    "bench.undo": "“undo”",
    "bench.leave_out": "“not inspected”",
}


def command_in(typed: str) -> tuple[str, str]:
    """A command and what follows it; an empty one where an answer was typed."""
    word, _, rest = typed.partition(" ")
    return (word.casefold(), rest.strip()) if word.casefold() in COMMANDS else ("", typed)


def without_keys(sentence: str) -> str:
    """A sentence of the Bench with words that can be typed here in place of its keys."""
    for name, usual in named_keys(sentence):
        sentence = sentence.replace(key_of(name, usual), _FOR_KEYS.get(name, usual))
    return sentence
