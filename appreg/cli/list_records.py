"""`appreg list`: items, sites, visits, jobs, user checks, issued documents or what was printed, in the columns asked for."""

import argparse
from collections.abc import Callable, Mapping, Sequence
from typing import TYPE_CHECKING, Any, Final, TypeVar

from appreg.cli.chosen_columns import (
    MORE_OF_ITEMS,
    USUAL_OF_ITEMS,
    add_forms,
    chosen_columns,
    in_order,
    refuse_forms,
    write_lines,
)
from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import opened, site_uid
from appreg.cli.query_words import QUERY_HELP, as_query
from appreg.cli.typed_options import whole_number
from appreg.clock import local_today
from appreg.errors import UsageRefused

if TYPE_CHECKING:
    from appreg.cli.shapes.item_shapes import ItemsAnswer, UserChecksAnswer
    from appreg.cli.shapes.list_shapes import (
        IssuedAnswer,
        IssuedShape,
        JobsAnswer,
        PrintedAnswer,
        SitesAnswer,
        SiteShape,
        VisitsAnswer,
        VisitShape,
    )
    from appreg.core.values.uids import Uid
    from appreg.register.opening.register_file import Register
    from appreg.tasks.documents.list_issued import ListedDocument
    from appreg.tasks.inspecting.list_visits import ListedVisit
    from appreg.tasks.items.list_user_checks import RoomCheckLine
    from appreg.tasks.records.list_sites import SiteLine

Line = Mapping[str, object]
Listed = TypeVar("Listed")

_USUAL: Final = {
    "items": USUAL_OF_ITEMS,
    "sites": (
        "site",
        "prefix",
        "items",
        "overdue_items",
        "overdue_inspections",
        "overdue_share",
        "oldest_overdue",
        "due_soon_items",
        "failed_items",
        "never_inspected_items",
        "withdrawn_items",
        "responsible",
        "client",
    ),
    "visits": ("date", "site", "person", "instrument", "passed", "failed", "incomplete", "not_inspected"),
    "jobs": ("job", "site", "visits", "items", "passed", "failed", "incomplete", "wiring_report"),
    "checks": ("site", "location", "tag", "item", "every", "because"),
    "issued": ("number", "issue", "on", "kind", "site", "scope", "by", "seal"),
    "printed": ("number", "on", "at", "what", "site", "printer", "queued_as", "copies", "pages", "by"),
}
"""The columns of each list where none are chosen."""
_MORE: Final = {
    "items": MORE_OF_ITEMS,
    "sites": (
        "uid",
        "address",
        "rule_book",
        "interval_table",
        "environment",
        "landlord_profile",
        "responsible_contact",
        "in_service_items",
        "due_soon_inspections",
        "damaged_items",
    ),
    "visits": ("uid", "fixed_wiring_reference", "notes"),
    "jobs": ("uid", "extent", "limitations", "wiring_on", "wiring_next", "wiring_rcd", "signatory", "notes"),
    "checks": ("uid",),
    "issued": ("uid", "file_hash", "latest"),
    "printed": ("uid", "kind", "document", "sheets", "media", "file_hash"),
}
_STATES: Final = (
    "in-service",
    "withdrawn",
    "missing",
    "disposed",
    "overdue",
    "due-soon",
    "never-inspected",
    "failed",
)


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument("what", choices=[*_USUAL], help="what to list; checks: what users check, by room")
    parser.add_argument(
        "words",
        metavar="WORD",
        nargs="*",
        help=f"only what answers; of items: {QUERY_HELP}; of the others words, and their columns as keys",
    )
    parser.add_argument("--site", metavar="SITE", help="one site alone: its name, prefix or key")
    parser.add_argument("--state", choices=_STATES, help="items: only those in this state")
    parser.add_argument(
        "--within", type=whole_number, metavar="DAYS", default=30, help="how far ahead is soon (default: 30)"
    )
    every = "; ".join(f"{what}: {', '.join((*_USUAL[what], *_MORE[what]))}" for what in _USUAL)
    parser.add_argument("--columns", metavar="NAMES", help=f"the columns of the table and of CSV, by commas. {every}")
    parser.add_argument("--sort", metavar="COLUMN", help="the column to sort by (default: the list's own order)")
    parser.add_argument("--reverse", action="store_true", help="with --sort: the greatest first")
    add_forms(parser)


def run(args: argparse.Namespace, console: Console) -> int:
    """List; exit code 0 also where the list is empty."""
    refuse_forms(args)
    what: str = args.what
    columns = chosen_columns(what, args.columns, usual=_USUAL[what], more=_MORE[what])
    if args.sort and args.json:
        raise UsageRefused("--sort is for tables and CSV: what reads JSON sorts for itself.")
    ordered_by = chosen_columns(what, args.sort, usual=(*_USUAL[what], *_MORE[what]))[0] if args.sort else ""
    if args.state and args.what != "items":
        raise UsageRefused(f"--state belongs to items, not to {args.what}.")
    with opened(args, console) as register:
        site = site_uid(register, args.site)
        answer, lines = _asked(register, site, args)
    if ordered_by:
        lines = in_order(lines, ordered_by, reverse=args.reverse)
    if args.json:
        console.json(answer)
    else:
        write_lines(args, what, columns, lines, console)
    return ExitCode.FINE


def _asked(
    register: "Register", site: "Uid | None", args: argparse.Namespace
) -> tuple[Mapping[str, object], Sequence[Line]]:
    """The answer as JSON has it, and its lines as a table has them."""
    if args.what == "sites":
        sites = _sites(register, site, args)
        return sites, [_site_cells(each) for each in sites["sites"]]
    if args.what == "jobs":
        jobs = _jobs(register, site, args)
        return jobs, [{**each, "visits": ", ".join(each["visits"])} for each in jobs["jobs"]]
    asked: Mapping[str, Callable[..., Mapping[str, Any]]] = {
        "items": _items,
        "visits": _visits,
        "checks": _checks,
        "issued": _issued,
        "printed": _printed,
    }
    answer = asked[args.what](register, site, args)
    return answer, answer[args.what]


def _items(register: "Register", site: "Uid | None", args: argparse.Namespace) -> "ItemsAnswer":
    from appreg.cli.item_output import items_answer  # noqa: PLC0415 - a help text needs no register
    from appreg.core.records.item_states import ItemState  # noqa: PLC0415
    from appreg.tasks.items.list_items import list_items  # noqa: PLC0415

    found = list_items(
        register,
        today=local_today(),
        within_days=args.within,
        site=site,
        state=ItemState(args.state) if args.state else None,
        text=as_query(args.words),
    )
    return items_answer(register, found)


def _sites(register: "Register", site: "Uid | None", args: argparse.Namespace) -> "SitesAnswer":
    from appreg.tasks.records.list_sites import list_sites  # noqa: PLC0415 - a help text needs no register

    lines = list_sites(register, today=local_today(), within_days=args.within)
    shown = _answering(
        [line for line in lines if site in {None, line.site.uid}],
        args.words,
        lambda line: {
            "site": (line.site.name,),
            "prefix": (line.site.prefix,),
            "address": (line.site.address,),
            "client": (line.client.name,),
            "responsible": (line.site.responsible, line.site.responsible_contact),
        },
    )
    return {
        "format": "appreg.sites",
        "version": 2,
        "sites": [_site_as_json(line) for line in shown],
        "damaged": list(register.damage.sentences),
    }


def _visits(register: "Register", site: "Uid | None", args: argparse.Namespace) -> "VisitsAnswer":
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.inspecting.list_visits import list_visits  # noqa: PLC0415

    def texts(each: "ListedVisit") -> Mapping[str, tuple[str, ...]]:
        day = each.visit.date
        return {
            "date": (day.isoformat(), date_words(day)),
            "site": (each.site.name, each.site.prefix),
            "person": (each.person.name, each.person.initials),
            "notes": (each.visit.notes,),
        }

    shown = _answering(list_visits(register, site=site), args.words, texts)
    return {
        "format": "appreg.visits",
        "version": 1,
        "visits": [_visit_as_json(each) for each in shown],
        "damaged": list(register.damage.sentences),
    }


def _jobs(register: "Register", site: "Uid | None", args: argparse.Namespace) -> "JobsAnswer":
    from appreg.cli.job_output import job_of_work_as_json, job_texts  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.inspecting.list_jobs import list_jobs  # noqa: PLC0415

    shown = _answering(list_jobs(register, site=site), args.words, job_texts)
    return {
        "format": "appreg.jobs",
        "version": 1,
        "jobs": [job_of_work_as_json(each) for each in shown],
        "damaged": list(register.damage.sentences),
    }


def _checks(register: "Register", site: "Uid | None", args: argparse.Namespace) -> "UserChecksAnswer":
    from appreg.cli.json_values import placed_item  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.items.list_user_checks import list_room_checks  # noqa: PLC0415

    def texts(line: "RoomCheckLine") -> Mapping[str, tuple[str, ...]]:
        return {
            "site": (line.site.name, line.site.prefix),
            "location": (line.location.name,),
            "tag": (line.appliance.tag,),
            "item": (line.appliance.name,),
            "every": (line.every,),
        }

    shown = _answering(list_room_checks(register, site=site), args.words, texts)
    return {
        "format": "appreg.user-checks",
        "version": 1,
        "checks": [
            {**placed_item(line.appliance, line.site, line.location), "every": line.every, "because": line.because}
            for line in shown
        ],
        "damaged": list(register.damage.sentences),
    }


def _issued(register: "Register", site: "Uid | None", args: argparse.Namespace) -> "IssuedAnswer":
    from appreg.core.values.dates_in_words import date_words  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.documents.list_issued import list_issued  # noqa: PLC0415

    def texts(each: "ListedDocument") -> Mapping[str, tuple[str, ...]]:
        document = each.document
        return {
            "number": (str(document.number),),
            "on": (document.on.isoformat(), date_words(document.on)),
            "kind": (document.kind,),
            "site": (each.site.name, each.site.prefix),
            "scope": (document.scope,),
            "by": (document.author,),
            "seal": (str(each.seal),),
        }

    shown = _answering(list_issued(register, site=site), args.words, texts)
    return {
        "format": "appreg.issued",
        "version": 1,
        "issued": [_issued_as_json(each) for each in shown],
        "damaged": list(register.damage.sentences),
    }


def _printed(register: "Register", site: "Uid | None", args: argparse.Namespace) -> "PrintedAnswer":
    from appreg.cli.printed_output import printed_as_json, printed_texts  # noqa: PLC0415 - a help text needs no register
    from appreg.tasks.documents.list_printed import list_printed  # noqa: PLC0415

    shown = _answering(list_printed(register, site=site), args.words, printed_texts)
    return {
        "format": "appreg.printed",
        "version": 1,
        "printed": [printed_as_json(each) for each in shown],
        "damaged": list(register.damage.sentences),
    }


def _answering(
    lines: Sequence[Listed], words: Sequence[str], texts: Callable[[Listed], Mapping[str, tuple[str, ...]]]
) -> list[Listed]:
    """The lines that answer to words, by their texts, each of which is a key."""
    from appreg.core.records.list_queries import parse_query  # noqa: PLC0415 - a help text needs none
    from appreg.core.records.searched_rows import SearchedRow, answering  # noqa: PLC0415

    if not lines:
        return []
    query = parse_query(as_query(words), today=local_today(), keys=tuple(texts(lines[0])), items=False)
    return answering(lines, query, lambda line: SearchedRow(texts=texts(line)))


def _site_as_json(line: "SiteLine") -> "SiteShape":
    from appreg.register.lists.due_lists import Counts  # noqa: PLC0415 - a help text needs no register

    site, counts = line.site, line.counts or Counts()
    return {
        "uid": site.uid,
        "site": site.name,
        "prefix": site.prefix,
        "client": line.client.name,
        "address": site.address,
        "rule_book": site.rule_book,
        "interval_table": site.interval_table,
        "environment": site.environment,
        "landlord_profile": site.landlord_profile,
        "responsible": site.responsible,
        "responsible_contact": site.responsible_contact,
        "counts": {
            "items": {
                "all": counts.items,
                "in_service": counts.in_service,
                "overdue": counts.overdue,
                "due_soon": counts.soon,
                "failed": counts.failed,
                "never_inspected": counts.never,
                "withdrawn": counts.withdrawn,
                "damaged": counts.damaged,
            },
            "inspections": {"overdue": counts.overdue_inspections, "due_soon": counts.soon_inspections},
        },
        "overdue_share": counts.overdue_share,
        "oldest_overdue": counts.oldest_overdue.isoformat() if counts.oldest_overdue else None,
    }


def _site_cells(site: "SiteShape") -> Line:
    """A site's cells by column; each count's name says what it counts."""
    of_items, of_inspections = site["counts"]["items"], site["counts"]["inspections"]
    return {
        **site,
        "items": of_items["all"],
        **{f"{name}_items": count for name, count in of_items.items() if name != "all"},
        **{f"{name}_inspections": count for name, count in of_inspections.items()},
    }


def _visit_as_json(each: "ListedVisit") -> "VisitShape":
    from appreg.core.values.outcomes import Outcome  # noqa: PLC0415 - a help text needs no register

    visit = each.visit
    return {
        "uid": visit.uid,
        "date": visit.date.isoformat(),
        "site": each.site.name,
        "person": each.person.name,
        "instrument": each.instrument.serial if each.instrument else None,
        "passed": each.outcomes.get(Outcome.PASS, 0),
        "failed": each.outcomes.get(Outcome.FAIL, 0),
        "incomplete": each.outcomes.get(Outcome.INCOMPLETE, 0),
        "not_inspected": each.not_inspected,
        "fixed_wiring_reference": visit.fixed_wiring_reference,
        "notes": visit.notes,
    }


def _issued_as_json(each: "ListedDocument") -> "IssuedShape":
    document = each.document
    return {
        "uid": document.uid,
        "number": document.number,
        "issue": document.issue,
        "on": document.on.isoformat(),
        "kind": document.kind.value,
        "site": each.site.name,
        "scope": document.scope,
        "by": document.author,
        "seal": str(each.seal),
        "file_hash": document.file_hash,
        "latest": each.latest,
    }
