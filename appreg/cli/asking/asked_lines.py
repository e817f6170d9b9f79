"""The lines of an inspection, asked one after another until the outcome."""

from collections.abc import Iterator

from appreg.cli.asking.asked_commands import LineCommands
from appreg.cli.asking.asked_words import HELP, command_in, without_keys
from appreg.cli.asking.line_bench import LineBench
from appreg.cli.asking.talk import Talk
from appreg.core.records.checks import NO_TRIP, Check
from appreg.core.rules.assumptions import words_of
from appreg.core.rules.visual_list import KIND
from appreg.core.values.outcomes import CheckResult
from appreg.errors import InputRefused
from appreg.ui.screens.bench.bench_entries import LineId, Mark
from appreg.ui.screens.bench.bench_lines import BenchLine, LineShape, line_of, visual_line
from appreg.ui.screens.bench.bench_view import LineView
from appreg.ui.screens.bench.bench_words import caution_for, fuse_found

_GOOD = frozenset({"ok", "y", "yes"})
_BAD = frozenset({"bad", "x", "n", "no"})


class AskedLines:
    """Walks down the lines of one item; what cannot be read is asked for again."""

    def __init__(self, bench: LineBench, talk: Talk) -> None:
        """Ask about what stands on that bench."""
        self._bench = bench
        self._talk = talk
        self._commands = LineCommands(bench, talk)
        self._insulation_said = False
        self._caution = ""

    def walk(self, at: int = 0) -> None:
        """Ask from a line on, until the last is left; raises Left."""
        while at < len(lines := self._bench.lines()):
            by = self._asked(lines[at])
            at = self.before(at) if by < 0 else min(at + by, len(self._bench.lines()))

    def before(self, at: int) -> int:
        """The place of the last open line before another: what is closed asks nothing."""
        lines = self._bench.lines()[:at]
        return next((place for place in reversed(range(len(lines))) if not self._bench.view(lines[place]).closed), 0)

    def start_at(self, line: LineId) -> int:
        """The place of a line, the first where there is none such."""
        return next((at for at, each in enumerate(self._bench.lines()) if each.id == line), 0)

    def _asked(self, line: BenchLine) -> int:
        """Ask one line; returns how many lines to go on, 0 to ask it again."""
        view = self._bench.view(line)
        self._say_caution(line)
        if view.closed:
            self._talk.say(f"{view.title.strip()}: {without_keys(view.limit) or 'closed'}")
            return 1
        typed = self._talk.ask(self._question(line, view))
        word, rest = command_in(typed)
        if word == "help":
            self._talk.say(*(f"  {each or '(nothing)'}: {what}" for each, what in HELP))
            return 0
        try:
            if word:
                return self._commands.do(word, rest, line)
            return self._answered(line, typed)
        except InputRefused as refusal:
            self._talk.say(str(refusal))
            return 0

    def _question(self, line: BenchLine, view: LineView) -> str:
        stands = f", now {view.text}" if view.text else ""
        if line.shape is LineShape.LIST:
            self._talk.say("Look it over:", *self._list())
            return f"{view.title}: ok, or the numbers of what is bad"
        if line.shape is LineShape.TICK:
            return f"{view.title}: ok or bad{stands}"
        limit = f", {view.limit}" if view.limit else ""
        if view.note and not view.text:
            self._talk.say(f"{view.title.strip()}{limit}: {without_keys(view.note)}")
        return f"{view.title.strip()}{limit}{stands}"

    def _list(self) -> Iterator[str]:
        marks, remarks = self._bench.entries.marks, self._bench.entries.remarks
        for number, seen in enumerate(self._bench.item.visual_lines, 1):
            line = visual_line(seen.id)
            mark = f" ({marks[line]}{f': {remarks[line]}' if line in remarks else ''})" if line in marks else ""
            yield f"  {number} {seen.title}{fuse_found(self._bench.item, line)}: {seen.look_for}{mark}"

    def _answered(self, line: BenchLine, typed: str) -> int:
        if not typed:
            return self._left(line)
        if line.shape is LineShape.LIST:
            return self._looked(typed)
        if line.shape is LineShape.TICK:
            return self._ticked(line, typed)
        return self._read(line, typed)

    def _left(self, line: BenchLine) -> int:
        """Nothing was typed: what stands there stays, unless it cannot be read."""
        problem = self._bench.judged.problems.get(line.id)
        self._talk.say(problem or "")
        self._bench.change(self._bench.entries.standing(line.id))
        return 0 if problem else 1

    def _looked(self, typed: str) -> int:
        seen = self._bench.item.visual_lines
        if typed.casefold() != "ok":  # a yes may be meant for another question
            numbers = typed.replace(",", " ").split()
            if not all(each.isdecimal() and 1 <= int(each) <= len(seen) for each in numbers):
                raise InputRefused(f"“{typed[:40]}” is no answer; type ok, or numbers from 1 to {len(seen)}.")
            bad = [seen[number - 1] for number in dict.fromkeys(map(int, numbers))]
            found = [visual_line(each.id) for each in bad if each.id != KIND]
            # Marked before anything more is asked: what was found stands, wherever it is left.
            self._bench.change(self._bench.entries.marking(found, Mark.BAD))
            for each in bad:
                self._found_bad(visual_line(each.id), each.title)
            # With its class denied it is another item to look at, and that it is what it seems is no more said.
            if any(each.id == KIND for each in bad) or not self._talk.agrees("Is everything else good?"):
                return 0
        self._bench.change(self._bench.entries.marking_rest(visual_line(each.id) for each in seen))
        self._tell(self._bench.lines()[0])
        return 1

    def _ticked(self, line: BenchLine, typed: str) -> int:
        word = typed.casefold()
        if word in _GOOD:
            self._bench.change(self._bench.entries.marking([line.id], Mark.OK).remarking(line.id, ""))
        elif word in _BAD:
            self._found_bad(line.id, line.title.strip())
        else:
            raise InputRefused(f"“{typed[:40]}” is no answer; type ok or bad.")
        self._tell(line)
        return 1

    def _found_bad(self, line: LineId, title: str) -> None:
        """Fail a line with what is wrong, and ask what was put right on the spot."""
        if line == visual_line(KIND):
            self._bench.deny_class()
            self._talk.say("Its class is not known now: it is judged as Class I.")
            return
        self._bench.change(self._bench.entries.marking([line], Mark.BAD))
        remark = self._talk.words(f"What is wrong with {title}?", "remark")
        self._bench.change(self._bench.entries.remarking(line, remark))
        if done := self._talk.words("What was put right on the spot? (empty: nothing)", "what was put right"):
            self._bench.change(self._bench.entries.mending(line, done, self._bench.now))

    def _read(self, line: BenchLine, typed: str) -> int:
        text = NO_TRIP if line.check is Check.RCD_HALF and typed.casefold() in _GOOD else typed
        self._bench.change(self._bench.entries.typing(line.id, text, self._bench.now, anew=True))
        problem = self._bench.judged.problems.get(line.id)
        if problem:
            self._talk.say(problem)
            return 0
        self._bench.change(self._bench.entries.standing(line.id))
        if line.shape is LineShape.READING:
            self._confirmed(line)
            self._tell(line)
        return 1

    def _confirmed(self, line: BenchLine) -> None:
        """Ask what the verdict waits for: a doubted reading, or what nobody has read from the item."""
        bench = self._bench
        for doubt in bench.judged.doubts(line.check):
            if self._talk.agrees(f"{doubt.words}. Was it read so?"):
                bench.change(bench.entries.confirming(line_of(doubt.check), doubt.words))
        finding = bench.judged.findings.get(line.check)
        assumed = bench.assumed_at(line.check)
        if finding is not None and finding.result is CheckResult.INCONCLUSIVE and finding.assumed and assumed:
            words = words_of(bench.item.rules.facts, assumed)
            if self._talk.agrees(f"It rests on what nobody has read from the item: {words}. Is it so?"):
                bench.confirm(assumed)

    def _tell(self, line: BenchLine) -> None:
        """Say what the line came to."""
        view = self._bench.view(line)
        note = without_keys(view.note)
        came_to = f"{view.text} {view.word}".strip()
        self._talk.say(f"{view.title.strip()}: {came_to}{f'. {note}' if note else ''}")

    def _say_caution(self, line: BenchLine) -> None:
        """Say the caution that matters at this line, once as long as it is the same."""
        judged = self._bench.judged
        first = line.check is Check.INSULATION and not self._insulation_said and judged.closing is None
        self._insulation_said = self._insulation_said or first
        mains = self._bench.item.rules.book.find("inspection.energised")
        energising = f"Caution {mains.condition}." if mains and line.check in mains.words else ""
        caution = without_keys(caution_for(judged, first_insulation=first, energising=energising))
        if caution != self._caution:
            self._caution = caution
            self._talk.say(caution)
