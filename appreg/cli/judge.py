"""The command `judge`: readings against a rule book, without a register."""

import argparse
from collections.abc import Iterator
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.json_values import limit_as_json
from appreg.cli.judged_item import EARTH_CURRENTS, entries_from, facts_from, refuse_what_no_rule_covers
from appreg.cli.rule_options import add_book_options, add_kind_options, book_named
from appreg.core.judging.instrument_accuracy import parse_accuracy
from appreg.core.judging.methods import how_measured, method_text, method_words
from appreg.core.judging.verdicts import Judgement, judge
from appreg.core.records.appliances import Connection, Fact, ItemFacts, Owner, RcdKind
from appreg.core.records.checks import LeakageMethod
from appreg.core.records.findings import Finding
from appreg.core.rules.limits import terse
from appreg.core.rules.rule_book import RuleBook
from appreg.core.rules.second_lines import LINE_OF
from appreg.core.values.outcomes import CheckResult, Outcome
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from appreg.cli.shapes.inspection_shapes import FindingShape, JudgementAnswer

_CODES: Final = {
    Outcome.PASS: ExitCode.FINE,
    Outcome.FAIL: ExitCode.FOUND_WRONG,
    Outcome.INCOMPLETE: ExitCode.INCOMPLETE,
}
_CAUTION: Final = "For competent persons; local rules and the documents themselves come first."
_SIGNS: Final = {"<=": "≤", ">=": "≥"}

_TEXTS: Final = (
    ("--power-kw", "KW", "rated input power"),
    ("--rated-current", "A", "rated current"),
    ("--cord-csa", "MM2", "cross-section of the protective conductor, mm²"),
    ("--cord-length", "M", "length of the cord"),
    ("--flat-limit", "OHM", "the flat earth limit chosen where the cord is not known"),
    ("--fuse", "A", "the fuse found in the plug"),
    ("--visual", "ok|bad", "visual inspection"),
    (
        "--earth",
        "READING",
        "earth continuity, Ω: 0.08, <0.05, 85 mΩ, OL; several as 0.08/0.11, here and below: the worst decides",
    ),
    ("--conductor-temperature", "C", "refer the earth reading to 20 °C"),
    ("--polarity", "ok|bad", "polarity of a lead"),
    ("--insulation", "READING", "insulation resistance, MΩ: 19.99, >299"),
    ("--insulation-volts", "V", "test voltage d.c., of every insulation reading; the rule book's own if absent"),
    ("--leakage", "READING", "leakage current, mA"),
    *(
        (
            f"--{check}",
            "READING",
            f"{'insulation resistance, MΩ' if check is line.insulation else 'current, mA'}: {line.words}",
        )
        for check, line in LINE_OF.items()
    ),
    ("--applied-volts", "V", "substitute method: the voltage applied"),
    ("--rated-volts", "V", "substitute method: the rated voltage of the item"),
    ("--functional", "ok|bad", "functional check"),
    ("--rcd-button", "ok|bad", "the RCD trips at its test button"),
    ("--rcd-rating", "MA", "rated residual current of the RCD"),
    ("--rcd-delay", "MS", "rated delay of a delayed RCD"),
    ("--microwave", "READING", "microwave leakage, mW/cm²"),
    ("--load", "KVA", "what it drew while it worked; kept beside the functional check, it decides nothing"),
    ("--measured", "FACTS", "facts that were measured on the item, such as cord-length; as sure as what is read"),
    ("--assumed", "FACTS", f"facts that nobody has read from the item, such as cord-length,class: {', '.join(Fact)}"),
    ("--accuracy", "TEXT", "of the instrument, with --guarded: 'earth-continuity: 2 %% + 5 × 0.01; insulation: 30 %%'"),
)
_FLAGS: Final = (
    ("--heating", "the item heats or cooks"),
    ("--mineral-insulated", "its elements are mineral-insulated"),
    ("--microwave-oven", "a microwave oven, measured or not"),
    ("--tinned", "tinned copper conductors"),
    ("--moulded-plug", "the plug is moulded onto the cord"),
    ("--unsuitable-500v", "500 V d.c. must not be applied"),
    ("--double-leakage", "the condition for doubling the leakage limit is met"),
    ("--unearthed-metal", "Class I with touchable metal that is not earthed: it needs a line of its own"),
    ("--functional-earth", "Class II with a functional earth: it needs a line of its own"),
    ("--additional-protection", "the sockets it is used on are behind RCDs of 30 mA or less"),
    ("--lines-linked", "insulation of a three-phase item, its lines linked and measured together"),
    ("--item-is-rcd", "the item is itself a residual current device"),
    ("--two-pole-symmetric", "substitute method: a two-pole symmetric circuit"),
    ("--already-referred", "substitute method: the instrument shows it referred to rated voltage"),
    ("--guarded", "pass only what clears its limit by the instrument's uncertainty"),
    ("--json", "write JSON"),
)


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    add_book_options(parser)
    add_kind_options(parser)
    for option, metavar, text in _TEXTS:
        parser.add_argument(option, metavar=metavar, help=text)
    parser.add_argument("--leakage-method", choices=[*LeakageMethod], help="the usual one for the class if absent")
    parser.add_argument("--earth-current", choices=[*EARTH_CURRENTS], help="the test current of the earth reading")
    parser.add_argument("--rcd", choices=[*RcdKind], help="the kind of RCD in the lead or plug")
    parser.add_argument(
        "--connection",
        choices=[*Connection],
        help="how it is connected; a plug if absent, of three phases an industrial connector or, fixed, hard-wired",
    )
    parser.add_argument("--phases", choices=["1", "3"], default="1", help="how many it has")
    parser.add_argument("--owner", choices=[*Owner], help="whose it is, where it is let with a home")
    parser.add_argument(
        "--rcd-trip",
        action="append",
        metavar="TIMES=MS",
        help="a trip time such as 1x=28 or 0.5x=none, both half-waves as 1x=28/24; may be repeated",
    )
    parser.add_argument(
        "--left-out",
        action="append",
        metavar="CHECK=REASON",
        help="a check that does not apply or cannot be done, with the reason; may be repeated",
    )
    for option, text in _FLAGS:
        parser.add_argument(option, action="store_true", help=text)


def run(args: argparse.Namespace, console: Console) -> int:
    """Judge; the exit code is 0 for a pass, 1 for a failure, 3 where the set is incomplete."""
    book = book_named(args.rule_book, args.overlay)
    facts, entries = facts_from(args), entries_from(args)
    refuse_what_no_rule_covers(facts, entries, book)
    if args.accuracy and not (args.guarded or book.guards_acceptance):
        raise UsageRefused("--accuracy guards acceptance: give --guarded too, or a rule book that asks for it.")
    stated = parse_accuracy(args.accuracy or "")
    judgement = judge(facts, entries, book, stated=stated, guarded=args.guarded)
    if args.json:
        console.json(_as_json(judgement, facts, book))
    else:
        for line in _lines(judgement, facts, book):
            console.line(line)
    return _CODES[judgement.outcome]


def _as_json(judgement: Judgement, facts: ItemFacts, book: RuleBook) -> "JudgementAnswer":
    return {
        "format": "appreg.judgement",
        "version": 1,
        "outcome": judgement.outcome,
        "findings": [
            _finding_json(finding, _method(finding, judgement, facts, book)) for finding in judgement.findings
        ],
        "missing": list(judgement.missing),
        "advice": list(judgement.advice),
        "left_out": {check.value: reason for check, reason in judgement.left_out.items()},
        "doubts": [doubt.words for doubt in judgement.doubts],
        "measured": list(facts.measured),
        "unconfirmed": list(judgement.unconfirmed),
        "rule_book": book.id,
        "rule_book_version": book.version,
    }


def _finding_json(finding: Finding, method: str) -> "FindingShape":
    alone = [finding.reading] if finding.unit and finding.reading else []
    return {
        "check": finding.check,
        "reading": finding.reading,
        "readings": list(finding.readings) or alone,
        "unit": str(finding.unit),
        "limit": limit_as_json(finding.limit_low, finding.limit_high, str(finding.unit)),
        "finding": finding.result,
        "arithmetic": finding.arithmetic,
        "source": finding.source,
        "basis": str(finding.basis),
        "method": method,
        "left_out": finding.left_out or None,
        "assumed": list(finding.assumed),
        "remark": "",
        "attempts": [],
    }


def _method(finding: Finding, judgement: Judgement, facts: ItemFacts, book: RuleBook) -> str:
    """How a check was measured, in words; empty where it was not done."""
    if finding.result is CheckResult.NOT_DONE:
        return ""
    return method_words(method_text(how_measured(finding.check, facts, judgement.entries, book)))


def _lines(judgement: Judgement, facts: ItemFacts, book: RuleBook) -> Iterator[str]:
    rows = [
        (finding.check.value, _reading_shown(finding), _limit_shown(finding), _came_to(finding))
        for finding in judgement.findings
    ]
    widths = [max(map(len, column)) for column in zip(*rows, strict=True)]
    for row, finding in zip(rows, judgement.findings, strict=True):
        yield "  ".join(cell.ljust(width) for cell, width in zip(row, widths, strict=True)).rstrip()
        cited = f"{finding.source} ({finding.basis})" if finding.basis else finding.source
        yield " " * (widths[0] + 2) + " · ".join(
            part for part in (finding.arithmetic, _method(finding, judgement, facts, book), cited) if part
        )
    missing, left_out = ", ".join(judgement.missing), ", ".join(judgement.left_out)
    without = f"{f': missing {missing}' if missing else ''}{f', limited: without {left_out}' if left_out else ''}"
    rules = ", ".join(part for part in (book.version, book.reservation) if part)
    yield f"{judgement.outcome.value.upper()}{without} · rule book {rules}"
    yield from (doubt.words for doubt in judgement.doubts)
    for sentence in judgement.advice:
        yield f"advice: {sentence}"
    yield _CAUTION


def _came_to(finding: Finding) -> str:
    return "left-out" if finding.left_out else finding.result.value


def _reading_shown(finding: Finding) -> str:
    typed = "/".join(finding.readings) or finding.reading
    return f"{typed} {finding.unit}" if typed[-1:].isdigit() else typed or "-"


def _limit_shown(finding: Finding) -> str:
    ends = [terse(round(end, 4)) for end in (finding.limit_low, finding.limit_high) if end is not None]
    if not ends:
        return ""
    return f"{_SIGNS.get(finding.comparison, '')} {' to '.join(ends)} {finding.unit}".strip()
