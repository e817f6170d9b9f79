"""`appreg import`: lists and results from other programs, planned row by row and taken in only with --apply."""

import argparse
import os
from pathlib import Path
from typing import TYPE_CHECKING, Final

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.typed_options import FORCE_HELP, output_file
from appreg.core.values.counted_words import counted
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from appreg.cli.shapes.import_shapes import ImportAnswer, ImportedRow, MappedColumnShape
    from appreg.exchange.column_mapping import ColumnMapping
    from appreg.exchange.source_file import Source
    from appreg.register.opening.register_file import Register
    from appreg.tasks.importing.apply_import import TakenIn
    from appreg.tasks.importing.keep_mappings import OfferedMapping
    from appreg.tasks.importing.row_plans import ImportOrder, ImportPlan, PlannedRow

_ORDERS: Final = ("day-month-year", "month-day-year", "year-month-day")
_MARKS: Final = {"point": ".", "comma": ","}
_QUESTIONS: Final = 8
_WAYS: Final = {"date order": "--dates says in which order.", "decimal": "--decimal says which mark."}
_BY_SCREEN: Final = (
    "On the screen (import) every question can be answered; k keeps the mapping, and --mapping takes it."
)
_KINDS: Final = ("items", "results", "sites", "people")
_TOLD: Final = 40
"""Rows with problems that are told one by one where nobody asked for a file of them."""
_OF_TABLES: Final = (
    "kind",
    "site",
    "mapping",
    "dates",
    "decimal",
    "problems_to",
    "save_mapping",
    "read_from_items",
    "give_tags",
    "add_people",
    "labels",
    "force",
)
_OF_RESULTS: Final = ("add_people", "labels")


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "file",
        metavar="FILE",
        help="a table, CSV or XLSX; a folder of a site; NAME.jsonl, a whole register; with --watch a folder of downloads",
    )
    parser.add_argument(
        "--watch",
        action="store_true",
        help="tell of each new table in the folder, and its mapping, until stopped with ctrl+c; none is taken",
    )
    _add_how_read(parser)
    _add_what_becomes(parser)
    parser.add_argument("--apply", action="store_true", help="take it in; without it nothing is changed")
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)
    parser.add_argument("--json", action="store_true", help="write JSON")


def _add_how_read(parser: argparse.ArgumentParser) -> None:
    parser.add_argument("--as", dest="kind", choices=_KINDS, help="what its rows are (default: what their heads say)")
    parser.add_argument("--site", metavar="SITE", help="where rows belong that name no site: name, prefix or key")
    parser.add_argument("--mapping", metavar="MAPPING", help="a mapping that is kept, by name, or a file of one")
    parser.add_argument("--save-mapping", metavar="NAME", help="keep the mapping under this name, to be offered again")
    parser.add_argument(
        "--dates",
        metavar="ORDER",
        choices=_ORDERS,
        help=f"the order of days that the table leaves open: {', '.join(_ORDERS)}",
    )
    parser.add_argument(
        "--decimal",
        metavar="MARK",
        choices=_MARKS,
        help="the mark before decimals where the table leaves it open: point, comma",
    )


def _add_what_becomes(parser: argparse.ArgumentParser) -> None:
    parser.add_argument(
        "--read-from-items",
        action="store_true",
        help="somebody read the list from the items: class, cord, fuse … count as read, not as assumed",
    )
    parser.add_argument(
        "--give-tags",
        action="store_true",
        help="items without a tag get the next ones of their site, where none is called so at their location",
    )
    parser.add_argument(
        "--add-people",
        action="store_true",
        help="of results: add the people and instruments that the register does not know, as the file names them",
    )
    parser.add_argument(
        "--labels",
        action="store_true",
        help="of results: let the labels of each item's newest result wait in the tray; what has no readings gets none",
    )
    parser.add_argument(
        "--problems-to",
        type=output_file,
        metavar="FILE",
        help="write the rows that are left out, with what is wrong, to be mended and imported again; CSV, or .xlsx",
    )


def run(args: argparse.Namespace, console: Console) -> int:
    """Tell what it comes to, or take it in; exit code 1 where rows are left out or disagree."""
    from appreg.cli.import_whole import import_register, import_sites  # noqa: PLC0415 - a help text needs no register
    from appreg.exchange.register_lines import LINES_END  # noqa: PLC0415
    from appreg.tasks.desk.named_file import named_file  # noqa: PLC0415

    path = named_file(args.file, field="FILE")
    if args.watch:
        from appreg.cli.import_watch import watch_folder  # noqa: PLC0415 - only where it is asked for

        if args.apply or args.json:
            raise UsageRefused("--watch takes nothing and tells sentences; leave --apply and --json out.")
        _refuse_idle(args, "a folder that is watched")
        return watch_folder(path, console)
    if path.is_dir():
        _refuse_idle(args, "a folder of a site")
        return import_sites(args, console, path)
    if path.suffix.lower() == LINES_END:
        _refuse_idle(args, "a whole register")
        return import_register(args, console, path)
    return _import_table(args, console, path)


def _refuse_idle(args: argparse.Namespace, what: str) -> None:
    for name in _OF_TABLES:
        if getattr(args, name):
            option = "as" if name == "kind" else name.replace("_", "-")
            raise UsageRefused(f"--{option} belongs to tables; {what} says itself what it holds.")


def _refuse_of_results(args: argparse.Namespace, kind: str) -> None:
    for name in _OF_RESULTS:
        if getattr(args, name) and kind != "results":
            raise UsageRefused(f"--{name.replace('_', '-')} belongs to results; this is a table of {kind}.")


def _import_table(args: argparse.Namespace, console: Console, path: Path) -> int:
    from appreg.cli.opening import end_writing, opened, site_uid  # noqa: PLC0415 - a help text needs no register
    from appreg.clock import local_today  # noqa: PLC0415
    from appreg.exchange.source_file import read_source  # noqa: PLC0415
    from appreg.tasks.importing.row_plans import ImportOrder  # noqa: PLC0415
    from appreg.tasks.importing.write_problems import write_problems  # noqa: PLC0415
    from appreg.tasks.keeping.begin_work import Search  # noqa: PLC0415

    with console.progress("reading the file") as progress:
        source = read_source(path, progress=progress)
    offered = _offered(args, source)
    for fault in offered.faults:
        console.complain(fault)
    _refuse_of_results(args, offered.mapping.kind)
    offered = _answered(args, source, offered)
    search = Search.WHOLE if args.apply else Search.QUICK
    with opened(args, console, writes=args.apply, search=search) as register:
        order = ImportOrder(
            source=source,
            mapping=offered.mapping,
            site=site_uid(register, args.site),
            today=local_today(),
            read_from_items=args.read_from_items,
            give_tags=args.give_tags,
            add_people=args.add_people,
            labels=args.labels,
        )
        if args.problems_to:
            with console.progress("looking for problems") as progress:
                write_problems(register, order, args.problems_to, replace=args.force, progress=progress)
        plan, done = _planned_or_done(register, order, args, console)
        if args.save_mapping:
            _keep(offered.mapping, args)
        if done is not None:
            end_writing(register, console)
    if args.json:
        console.json(_answer(plan, offered, done))
    else:
        _tell(console, plan, offered, done, args)
    return ExitCode.FOUND_WRONG if plan.left_out or any(row.disagreements for row in plan.rows) else ExitCode.FINE


def _offered(args: argparse.Namespace, source: "Source") -> "OfferedMapping":
    from appreg.exchange.import_fields import ImportKind  # noqa: PLC0415 - a help text needs none
    from appreg.tasks.importing.keep_mappings import OfferedMapping, mapping_named, offered_mapping  # noqa: PLC0415

    kind = ImportKind(args.kind) if args.kind else None
    if args.mapping is None:
        return offered_mapping(os.environ, source, kind)
    mapping = mapping_named(os.environ, args.mapping)
    if kind is not None and mapping.kind is not kind:
        raise UsageRefused(f"--as {kind}: the mapping {args.mapping} is for {mapping.kind}; leave one of the two out.")
    return OfferedMapping(mapping=mapping, kept_as=mapping.name)


def _answered(args: argparse.Namespace, source: "Source", offered: "OfferedMapping") -> "OfferedMapping":
    """The mapping with what the options say of it; raises UsageRefused where more is open."""
    from msgspec.structs import replace  # noqa: PLC0415 - a help text needs none

    from appreg.exchange.column_mapping import DateOrder  # noqa: PLC0415 - the same
    from appreg.exchange.mapped_rows import read_by  # noqa: PLC0415 - the same
    from appreg.exchange.mapping_told import asked_of_new, with_answers  # noqa: PLC0415 - the same

    mapping = offered.mapping
    if offered.kept_as or args.mapping:
        mapping = replace(mapping, problems=asked_of_new(read_by(source, mapping), mapping))
    order = DateOrder(args.dates) if args.dates else None
    for column in mapping.columns:
        if order and column.date_order not in {None, order}:
            raise UsageRefused(f"--dates: the days of “{column.head}” are {column.date_order}; leave it out.")
    mapping = with_answers(mapping, date_order=order, decimal=_MARKS.get(args.decimal, ""))
    if mapping.problems:
        told = [each.sentence for each in mapping.problems[:_QUESTIONS]]
        asked = dict.fromkeys(each.asks.value for each in mapping.problems)
        raise UsageRefused(" ".join([*told, *dict.fromkeys(_WAYS.get(each, _BY_SCREEN) for each in asked)]))
    return replace(offered, mapping=mapping)


def _keep(mapping: "ColumnMapping", args: argparse.Namespace) -> None:
    from appreg.tasks.importing.keep_mappings import keep_mapping  # noqa: PLC0415 - seldom asked for

    keep_mapping(os.environ, mapping, args.save_mapping, over=args.force)


def _planned_or_done(
    register: "Register", order: "ImportOrder", args: argparse.Namespace, console: Console
) -> tuple["ImportPlan", "TakenIn | None"]:
    from appreg.cli.operator_name import operator_name  # noqa: PLC0415 - a help text needs none
    from appreg.clock import system_clock  # noqa: PLC0415
    from appreg.tasks.desk.keep_settings import load_settings, settings_path  # noqa: PLC0415
    from appreg.tasks.importing.apply_import import apply_order  # noqa: PLC0415
    from appreg.tasks.importing.plan_import import plan_order  # noqa: PLC0415

    if not args.apply:
        with console.progress("reading the list") as progress:
            return plan_order(register, order, progress=progress), None
    settings = load_settings(settings_path(os.environ))
    with console.progress("importing") as progress:
        done = apply_order(register, operator_name(), order, settings=settings, now=system_clock(), progress=progress)
    for sentence in done.said:
        console.complain(sentence)
    return done.plan, done


def _tell(
    console: Console, plan: "ImportPlan", offered: "OfferedMapping", done: "TakenIn | None", args: argparse.Namespace
) -> None:
    _tell_mapping(console, plan, offered)
    told = [row for row in plan.rows if row.problems or row.disagreements]
    for row in told[:_TOLD]:
        console.line(f"line {row.line}, {row.called or 'no name'} ({row.state}): {_sentences(row)}")
    if len(told) > _TOLD:
        console.line(f"… and {counted(len(told) - _TOLD, 'row')} more; --problems-to FILE writes those left out.")
    for kind, names in plan.made.items():
        if names:
            first = ", ".join(names[:_TOLD]) + (" …" if len(names) > _TOLD else "")
            console.line(f"New {kind if len(names) == 1 else f'{kind}s'}: {first}")
    if plan.passed_over:
        console.line(f"Taken for sums or heads, not for rows: {_lines(plan)}.")
    states = ", ".join(f"{count} {state}" for state, count in plan.counts.items() if count)
    console.line(f"{counted(plan.total, 'row')}: {states or 'none'}.")
    if args.problems_to:
        console.line(f"{args.problems_to}: {counted(plan.left_out, 'row')} left out; mend and import them again.")
    if done is None:
        console.line("Nothing was imported yet; add --apply." if plan.taken else "There is nothing to import.")
    elif done.step is None:
        console.line("Nothing was changed: the register says all of it already.")
    else:
        console.line(f"Imported: {counted(plan.taken, 'row')}." + (f" Kept before: {done.copy}" if done.copy else ""))


def _lines(plan: "ImportPlan") -> str:
    return f"line{'s' if len(plan.passed_over) > 1 else ''} {', '.join(map(str, plan.passed_over))}"


def _tell_mapping(console: Console, plan: "ImportPlan", offered: "OfferedMapping") -> None:
    mapping, source = offered.mapping, plan.order.source
    found = f"{source.encoding}, delimiter {source.delimiter!r}" if source.encoding else f"sheet {source.sheet}"
    by = f"by the mapping “{offered.kept_as}”" if offered.kept_as else "as guessed"
    console.line(f"{source.name} ({source.form}, {found}) as {mapping.kind}, {by}:")
    for remark in source.remarks:
        console.line(remark)
    for column in mapping.columns:
        words = mapping.fields[column.field].words if column.field else "not taken"
        console.line(f"  {column.head or f'column {column.position}'} → {words}")


def _sentences(row: "PlannedRow") -> str:
    return " ".join([*(each.sentence for each in row.problems), *row.disagreements])


def _answer(plan: "ImportPlan", offered: "OfferedMapping", done: "TakenIn | None") -> "ImportAnswer":
    from appreg.tasks.importing.row_plans import RowState  # noqa: PLC0415 - a help text needs none

    mapping, source = offered.mapping, plan.order.source
    columns: list[MappedColumnShape] = [
        {"head": each.head, "position": each.position, "field": each.field or None, "reason": each.reason}
        for each in mapping.columns
    ]
    return {
        "format": "appreg.import",
        "version": 1,
        "file": str(source.path),
        "form": source.form,
        "encoding": source.encoding or None,
        "delimiter": source.delimiter or None,
        "sheet": source.sheet or None,
        "kind": mapping.kind,
        "mapping": offered.kept_as or None,
        "columns": columns,
        "counts": {
            "new": plan.counts[RowState.NEW],
            "changed": plan.counts[RowState.CHANGED],
            "same": plan.counts[RowState.SAME],
            "in_conflict": plan.counts[RowState.CONFLICT],
            "unreadable": plan.counts[RowState.UNREADABLE],
        },
        "passed_over": list(plan.passed_over),
        "made": {kind: list(names) for kind, names in plan.made.items()},
        "rows": [_row(row) for row in plan.rows],
        "applied": done is not None,
        "change": done.step.change if done is not None and done.step is not None else None,
        "copy": str(done.copy) if done is not None and done.copy else None,
    }


def _row(row: "PlannedRow") -> "ImportedRow":
    return {
        "line": row.line,
        "state": row.state,
        "called": row.called,
        "changes": [{"field": each.field, "before": each.before or None, "after": each.after} for each in row.changes],
        "problems": [
            {"column": each.column or None, "what": each.what, "todo": each.todo, "sentence": each.sentence}
            for each in row.problems
        ],
        "disagreements": list(row.disagreements),
    }
