"""Words on the command line, any there are: each answered in a sentence, in time, with an exit code that is documented."""

from typing import Final

from appreg.cli.words_parser import command_in
from tests.campaign.called_commands import call, faults_of, surroundings
from tests.campaign.command_grammar import Grammar
from tests.campaign.small_world import small_world
from tests.campaign.trial import Trial

_READING: Final = frozenset({"due", "find", "show", "judge", "interval", "evidence"})
"""Commands that leave every file as it is."""
_STREAMS: Final = ("good",) * 12 + ("ascii", "full", "closed")


def run(trial: Trial) -> None:
    """Call command after command."""
    world = small_world(trial.folder / "here")
    grammar = Grammar(trial.random)
    with surroundings(world.folder, world.environ):
        while trial.goes_on():
            words = grammar.words()
            out, err = trial.random.choice(_STREAMS), trial.random.choice(_STREAMS)
            called = call(words, out=out, err=err)
            trial.count(f"exit code {called.code}")
            for fault in faults_of(words, called):
                if not (err != "good" and fault == "refused without a word"):
                    trial.fault(f"{fault}: {words!r}, streams {out} and {err}")
            if command_in(words) not in _READING or "--register" in words:
                world.restore()
