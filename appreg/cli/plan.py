"""`appreg plan`: the fewest visits that keep nothing overdue, for one site, several on one trip, or each by itself."""

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from msgspec.structs import replace

from appreg.cli.console import Console
from appreg.cli.exit_codes import ExitCode
from appreg.cli.opening import end_writing, opened, site_named
from appreg.cli.operator_name import operator_name
from appreg.cli.plan_output import estate_as_json, tell_estate, tell_live, tell_what_if, what_if_as_json
from appreg.cli.typed_options import FORCE_HELP, day, output_file, percent, whole_number
from appreg.clock import local_today, system_clock
from appreg.errors import InputRefused, UsageRefused
from appreg.files import refuse_place

if TYPE_CHECKING:
    from appreg.core.values.uids import Uid
    from appreg.register.opening.register_file import Register
    from appreg.schedule.visiting_days import Closure
    from appreg.tasks.planning.live_plan import LivePlan
    from appreg.tasks.planning.plan_visits import EstatePlan, PlanWishes, TripPlan
    from appreg.tasks.planning.what_stays import Supposition


def add_options(parser: argparse.ArgumentParser) -> None:
    """Declare the options."""
    parser.add_argument(
        "--site",
        action="append",
        metavar="SITE",
        help="name, prefix or key; several are visited on one trip; without it every site is planned by itself",
    )
    parser.add_argument(
        "--crew",
        action="append",
        default=[],
        metavar="NAME",
        help="a crew that goes out in its own hours; may be given again; every site is then planned by itself",
    )
    parser.add_argument("--from", dest="start", type=day, metavar="DATE", help="first day (default: today)")
    parser.add_argument("--years", type=whole_number, default=3, metavar="N", help="how far ahead (default: 3)")
    parser.add_argument(
        "--tolerance",
        type=percent,
        default=25,
        metavar="PERCENT",
        help="how early an inspection may be made, of its interval (default: 25)",
    )
    parser.add_argument(
        "--days", default="", metavar="RULE", help="days to go, as RFC 5545 has it (default: Monday to Friday)"
    )
    parser.add_argument(
        "--closed",
        action="append",
        default=[],
        metavar="FROM..TO",
        help="days on which nobody is let in; may be given again",
    )
    parser.add_argument("--holidays", type=Path, metavar="FILE", help="holidays: a date a line, or an .ics calendar")
    parser.add_argument(
        "--capacity", type=whole_number, metavar="MINUTES", help="working time of a day, for all sites together"
    )
    parser.add_argument("--minutes", type=Path, metavar="FILE", help="your own minutes for each check (TOML)")
    parser.add_argument("--if-environment", metavar="ID", help="what if: another environment")
    parser.add_argument("--if-table", metavar="ID", help="what if: another interval table")
    parser.add_argument("--if-tolerance", type=percent, metavar="PERCENT", help="what if: another tolerance")
    parser.add_argument("--if-visual", metavar="PERIOD", help="what if: visual inspections every so often, say P6M")
    parser.add_argument("--if-test", metavar="PERIOD", help="what if: inspections and tests every so often, say P2Y")
    parser.add_argument(
        "--if-location",
        action="append",
        default=[],
        metavar="NAME",
        help="what if: only at this location of the site; may be given again",
    )
    parser.add_argument("--keep", metavar="NAME", help="keep the plan under a name, to go on with on the screen")
    parser.add_argument("--kept", metavar="NAME", help="tell a plan that is kept, as it stands today, and make none")
    form = parser.add_mutually_exclusive_group()
    form.add_argument("--json", action="store_true", help="write JSON")
    form.add_argument(
        "--ics", type=output_file, metavar="FILE", help="write a calendar (iCalendar) with what is overdue"
    )
    parser.add_argument("--force", action="store_true", help=FORCE_HELP)


def run(args: argparse.Namespace, console: Console) -> int:
    """Plan; nothing is saved in the register but a plan that is to be kept, and what a calendar was told."""
    if args.ics:
        refuse_place(args.ics, replace=args.force)
    elif args.force:
        raise UsageRefused("--force belongs to --ics; nothing else is written.")
    with opened(args, console, writes=bool(args.ics or args.keep)) as register:
        if args.kept:
            _tell_kept(register, args, console)
            return ExitCode.FINE
        trips = _trips(register, args)
        supposition = _supposition(register, args)
        if supposition is None:
            _plan(register, trips, args, console)
            if (args.ics or args.keep) and register.was_changed:
                end_writing(register, console)
        else:
            _suppose(register, trips, supposition, args, console)
    return ExitCode.FINE


def _plan(
    register: "Register", trips: "tuple[tuple[Uid, ...], ...]", args: argparse.Namespace, console: Console
) -> None:
    from appreg.tasks.planning.plan_visits import plan_visits  # noqa: PLC0415 - a help text needs no register

    with console.progress("planning") as progress:
        wishes = _wishes(register, args)
        estate = plan_visits(register, trips=trips, wishes=wishes, progress=progress)
    live = _as_live(register, estate, wishes)
    if args.keep:
        _keep(register, estate, wishes, args)
    if args.json:
        console.json(estate_as_json(estate, live))
        return
    if args.ics:
        _write_calendar(register, estate.trips, args, console)
    tell_estate(estate, live, console)


def _as_live(register: "Register", estate: "EstatePlan", wishes: "PlanWishes") -> "LivePlan | None":
    """The plan as days out; None where several sites are visited on one trip."""
    from appreg.tasks.planning.live_plan import live_estate  # noqa: PLC0415

    if any(len(trip.sites) > 1 for trip in estate.trips):
        return None
    return live_estate(register, estate, wishes, today=min(wishes.start, local_today()))


def _keep(register: "Register", estate: "EstatePlan", wishes: "PlanWishes", args: argparse.Namespace) -> None:
    from appreg.tasks.planning.keep_plan import days_of, keep_plan  # noqa: PLC0415

    sites = tuple(trip.sites[0].uid for trip in estate.trips) if args.site else ()
    keep_plan(
        register,
        operator_name(),
        name=args.keep,
        on=local_today(),
        wishes=replace(wishes, sites=sites),
        visits=days_of(estate),
    )


def _tell_kept(register: "Register", args: argparse.Namespace, console: Console) -> None:
    from appreg.tasks.planning.keep_plan import kept_plans, load_plan  # noqa: PLC0415
    from appreg.tasks.planning.live_plan import gather_ground, live_plan  # noqa: PLC0415

    if args.json or args.keep:
        raise UsageRefused(
            "--kept tells a plan in lines, or writes its calendar with --ics; leave --json and --keep out."
        )
    plans = kept_plans(register)
    named = next((each for each in plans if each.name.casefold() == args.kept.strip().casefold()), None)
    if named is None:
        known = ", ".join(each.name for each in plans) or "none yet"
        raise InputRefused(f"--kept: there is no plan {args.kept}; the register keeps {known}.", field="kept")
    loaded = load_plan(register, named.uid)
    with console.progress("reading") as progress:
        ground = gather_ground(register, loaded.wishes, today=local_today(), progress=progress)
        live = live_plan(register, ground, kept=loaded)
    if args.ics:
        _write_calendar(register, live.trips, args, console)
        if register.was_changed:
            end_writing(register, console)
    tell_live(live, console)


def _write_calendar(
    register: "Register", trips: "tuple[TripPlan, ...]", args: argparse.Namespace, console: Console
) -> None:
    from datetime import UTC, datetime  # noqa: PLC0415

    from appreg.tasks.planning.write_calendar import write_calendar  # noqa: PLC0415

    written = datetime.fromtimestamp(system_clock() / 1000, tz=UTC)
    done = write_calendar(
        register,
        operator_name(),
        trips=trips,
        out=args.ics,
        replace=args.force,
        today=local_today(),
        written=written,
    )
    console.line(done.words())


def _suppose(
    register: "Register",
    trips: "tuple[tuple[Uid, ...], ...]",
    supposition: "Supposition",
    args: argparse.Namespace,
    console: Console,
) -> None:
    from appreg.tasks.planning.what_if import what_if  # noqa: PLC0415

    if not args.site:
        raise UsageRefused("Say which site the what-if is about, with --site.")
    if args.ics:
        raise UsageRefused("--ics writes a plan, not a what-if; leave the --if options out.")
    compared = what_if(
        register,
        trips=trips,
        wishes=_wishes(register, args),
        supposition=supposition,
        today=args.start or local_today(),
    )
    if args.json:
        console.json(what_if_as_json(compared))
    else:
        tell_what_if(compared, console)


def _trips(register: "Register", args: argparse.Namespace) -> "tuple[tuple[Uid, ...], ...]":
    from appreg.tasks.planning.plan_visits import every_site_by_itself  # noqa: PLC0415

    if not args.site:
        return every_site_by_itself(register)
    sites = tuple(site_named(register, named).uid for named in args.site)
    return tuple((uid,) for uid in dict.fromkeys(sites)) if args.crew or args.keep else (sites,)


def _wishes(register: "Register", args: argparse.Namespace) -> "PlanWishes":
    from appreg.cli.named_records import crew_named  # noqa: PLC0415
    from appreg.core.rules.check_minutes import usual_minutes  # noqa: PLC0415
    from appreg.exchange.holiday_file import read_holidays  # noqa: PLC0415
    from appreg.exchange.minutes_file import read_minutes  # noqa: PLC0415
    from appreg.tasks.planning.plan_visits import PlanWishes  # noqa: PLC0415

    closed = (shut for text in args.closed for shut in _closures(text))
    return PlanWishes(
        start=args.start or local_today(),
        years=args.years,
        tolerance_percent=args.tolerance,
        days=args.days,
        closures=(*closed, *(read_holidays(args.holidays) if args.holidays else ())),
        capacity_minutes=args.capacity,
        crews=tuple(crew_named(register, named).uid for named in args.crew),
        minutes=read_minutes(args.minutes) if args.minutes else usual_minutes(),
    )


def _closures(text: str) -> "tuple[Closure, ...]":
    from appreg.schedule.typed_closures import closures_typed  # noqa: PLC0415

    closures = closures_typed(text, field="--closed", today=local_today())
    if not closures:
        raise InputRefused("--closed: no day is typed; give one, or a range as in 2026-12-24/2027-01-03.")
    return closures


def _supposition(register: "Register", args: argparse.Namespace) -> "Supposition | None":
    from appreg.cli.named_records import location_named  # noqa: PLC0415
    from appreg.core.records.work_records import IntervalKind  # noqa: PLC0415
    from appreg.tasks.planning.what_stays import Supposition  # noqa: PLC0415

    intervals = {IntervalKind.VISUAL: args.if_visual, IntervalKind.TEST: args.if_test}
    supposition = Supposition(
        environment=args.if_environment,
        interval_table=args.if_table,
        tolerance_percent=args.if_tolerance,
        intervals={kind: period for kind, period in intervals.items() if period},
    )
    if supposition == Supposition():
        if args.if_location:
            raise UsageRefused("--if-location says where, but nothing is supposed; give another --if option too.")
        return None
    if not args.if_location:
        return supposition
    if len(args.site or ()) != 1:
        raise UsageRefused("--if-location belongs to one site; name it with --site.")
    site = site_named(register, args.site[0])
    return replace(
        supposition, locations=tuple(location_named(register, site, named).uid for named in args.if_location)
    )
