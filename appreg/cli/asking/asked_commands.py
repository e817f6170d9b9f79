"""What the words do that are typed in place of an answer."""

from appreg.cli.asking.asked_records import AskedRecords
from appreg.cli.asking.asked_words import without_keys
from appreg.cli.asking.line_bench import LineBench
from appreg.cli.asking.talk import Talk
from appreg.core.records.kept_records import InspectionKind
from appreg.core.values.text import clean
from appreg.errors import InputRefused
from appreg.tasks.inspecting.item_as_read import item_as_read
from appreg.ui.screens.bench.bench_entries import Mark
from appreg.ui.screens.bench.bench_judging import why_not_left_out
from appreg.ui.screens.bench.bench_known import mark_words
from appreg.ui.screens.bench.bench_lines import TITLES, BenchLine, LineShape, instead_of, line_of
from appreg.ui.screens.forms.walked_fields import walked_fields

_PLATE = ("class", "cord", "fuse", "power", "tag")
_PAST_THE_END = 1000


class LineCommands:
    """Carries out one command at one line; each returns how many lines to go on."""

    def __init__(self, bench: LineBench, talk: Talk) -> None:
        """Serve one item."""
        self._bench = bench
        self._talk = talk
        self._records = AskedRecords(bench, talk)

    def do(self, word: str, rest: str, line: BenchLine) -> int:
        """Do what a word says; raises InputRefused where it cannot be done here."""
        moves = {"<": -1, "end": _PAST_THE_END}
        if word in moves:
            return moves[word]
        steps = {
            "?": self._why,
            "again": self._again,
            "confirm": self._confirm,
            "plate": self._plate,
            "turn": self._turn,
            "instead": self._instead,
            "unsuitable": self._unsuitable,
            "mended": self._mended,
            "remark": self._remark,
            "out": self._out,
            "anew": self._anew,
            "undo": self._undo,
            "not": self._not_inspected,
            "repair": self._repair,
        }
        steps[word](rest, line)
        return 0

    def _why(self, _rest: str, line: BenchLine) -> None:
        from appreg.ui.screens.bench.why_screen import why_rows  # noqa: PLC0415 - its room is the screen's

        self._talk.say(*(f"  {asked}: {without_keys(answer)}" for asked, answer in why_rows(line, self._bench.judged)))

    def _again(self, _rest: str, line: BenchLine) -> None:
        repeated = self._bench.entries.repeating(line.id)
        if repeated == self._bench.entries:
            raise InputRefused("No reading stands here yet.")
        self._bench.change(repeated)
        self._talk.say("Kept with its time; take another.")

    def _confirm(self, _rest: str, line: BenchLine) -> None:
        self._talk.say(self._bench.confirm_at(line.check))

    def _plate(self, rest: str, _line: BenchLine) -> None:
        name, _, value = rest.partition(" ")
        if name not in _PLATE or not value.strip():
            raise InputRefused(f"plate: say which, one of {', '.join(_PLATE)}, and what is read: plate cord 1.0 x 3.")
        typed = {**dict.fromkeys((*_PLATE, "type"), ""), name: value}
        given = walked_fields(typed)
        item, measured = item_as_read(self._bench.item.appliance, self._bench.item.category, given, tag=typed["tag"])
        self._bench.learn(item, measured)
        self._talk.say(f"{name}: read as {value.strip()}.")

    def _turn(self, _rest: str, line: BenchLine) -> None:
        other = self._bench.entries.turning(line.check, phases=self._bench.item.appliance.phases)
        if other is None:
            raise InputRefused("This is measured in one way only.")
        self._bench.change(other)

    def _instead(self, _rest: str, line: BenchLine) -> None:
        bench = self._bench
        if bench.entries.kind is InspectionKind.VISUAL:
            raise InputRefused("Nothing is measured at a look.")
        other = instead_of(bench.item, line.check)
        if other in {*bench.entries.begun, *bench.item.to_repeat}:
            raise InputRefused(f"{TITLES[other]} was begun, or has failed before, and stays asked for.")
        bench.change(bench.entries.toggling(line_of(other)))
        asked = line_of(other) in bench.entries.added
        self._talk.say(f"{TITLES[other]} is {'asked for too' if asked else 'asked for no more'}.")

    def _unsuitable(self, _rest: str, _line: BenchLine) -> None:
        self._bench.turn_unsuitable()
        self._talk.say(f"{mark_words(self._bench.item.appliance).removesuffix('.')}.")

    def _mended(self, rest: str, line: BenchLine) -> None:
        done = clean(rest, field="what was put right")
        if line.shape is not LineShape.TICK:
            raise InputRefused(
                "mended: on the list type the number of what is bad; of a reading take another with again."
            )
        if self._bench.entries.marks.get(line.id) is not Mark.BAD or not done:
            raise InputRefused("mended: say first what was found, with bad, then what was done.")
        self._bench.change(self._bench.entries.mending(line.id, done, self._bench.now))
        self._talk.say(f"Put right on the spot: {done}.")

    def _remark(self, rest: str, line: BenchLine) -> None:
        self._bench.change(self._bench.entries.remarking(line.id, clean(rest, field="remark")))

    def _out(self, rest: str, line: BenchLine) -> None:
        bench, target, reason = self._bench, line_of(line.check), clean(rest, field="reason")
        if reason and (refused := why_not_left_out(line.check, bench.item, bench.judged)):
            raise InputRefused(f"{TITLES[line.check]}: {refused}.")
        if not reason and target not in bench.entries.left_out:
            raise InputRefused("out: no reason is given; write it like out cannot be run here.")
        bench.change(bench.entries.leaving_out(target, reason))
        said = f"left out: {reason}; the pass is limited by it, and every paper says so" if reason else "open again"
        self._talk.say(f"{TITLES[line.check]} is {said}.")

    def _undo(self, _rest: str, _line: BenchLine) -> None:
        self._records.take_back()

    def _not_inspected(self, rest: str, _line: BenchLine) -> None:
        if rest.casefold() != "inspected":
            raise InputRefused("not: type not inspected; why is asked for then.")
        self._records.leave_out()

    def _repair(self, rest: str, _line: BenchLine) -> None:
        if rest:
            raise InputRefused("repair: type it alone; what was done, and when, is asked for then.")
        self._records.repair()

    def _anew(self, _rest: str, _line: BenchLine) -> None:
        self._bench.change(self._bench.entries.anew())
        self._talk.say("Every line is empty.")
