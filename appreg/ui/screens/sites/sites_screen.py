"""Sites: every site with what is overdue, due soon, failed and never inspected."""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date
from functools import partial
from typing import Any, ClassVar, Final

from msgspec.structs import replace
from textual import events, on, work
from textual.containers import Horizontal
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static
from textual.worker import get_current_worker

from appreg.core.records.kept_records import Appliance, Site, Visit
from appreg.core.records.work_records import BenchDraft
from appreg.core.values.counted_words import counted, items_and_inspections
from appreg.core.values.dates_in_words import MONTHS, date_words
from appreg.core.values.text import shown
from appreg.core.values.uids import Uid
from appreg.errors import AppregError
from appreg.register.lists.location_counts import counts_by_location
from appreg.register.opening.register_file import Register
from appreg.tasks.desk.confirm_cautions import NOT_KEPT, cautions_confirmed, confirm_cautions
from appreg.tasks.desk.read_on import read_on
from appreg.tasks.inspecting.keep_bench_draft import drafts_left
from appreg.tasks.keeping.tell_open import may_be_open, open_words
from appreg.tasks.records.list_sites import SiteLine, list_sites, sum_of, takes_long_to_count, uncounted_sites
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.sites.attention import attention_line, shares_of
from appreg.ui.screens.sites.site_actions import CHANGE_SITE, IMPORT_LIST, RECORD_COMMANDS, SITE_COMMANDS, SiteActions
from appreg.ui.screens.sites.site_columns import OVERDUE, SITE_COLUMNS
from appreg.ui.screens.sites.site_locations import location_lines
from appreg.ui.shell.command_screen import CommandScreen
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of
from appreg.ui.shell.places import make_screen
from appreg.ui.widgets.beside import WIDE, Beside


def offer_benches_left(screen: CommandScreen[Any]) -> None:
    """Ask which half-filled bench to take up; leaving the question keeps them all."""
    register = screen.shell.register
    words = {
        draft: read_on(register, "A half-filled bench", partial(_words, register, draft))
        for draft in drafts_left(register)
    }
    drafts = [draft for draft, said in words.items() if said is not None]
    if not drafts:
        return
    from appreg.ui.screens.asking.pick_screen import Answer, PickScreen  # noqa: PLC0415 - seldom needed at the start

    def picked(key: str | None) -> None:
        draft = next((each for each in drafts if each.uid == key), None)
        if draft is not None:
            screen.shell.open_bench(visit=draft.visit, appliance=draft.appliance)

    answers = [Answer(draft.uid, words[draft] or "") for draft in drafts]
    screen.app.push_screen(PickScreen("Left half-filled: take one up? esc leaves them as they are", answers), picked)


def _words(register: Register, draft: BenchDraft) -> str:
    item, visit = register.get(Appliance, draft.appliance), register.get(Visit, draft.visit)
    site = register.get(Site, visit.site)
    return f"{item.tag} {item.name} · visit of {date_words(visit.date)} · {site.name} · kept at {draft.saved_at}"


_EMPTY: Final = f"no site yet: press {key_of('sites.new_site', 'n')} to add the first one"


class SitesScreen(ListScreen[None], SiteActions[None]):
    """All sites, a line each."""

    CSS_PATH = "sites_screen.tcss"
    DATED = True
    FOLLOWS = True
    TITLE_IN_HELP = "Sites"
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="open_site",
            key="enter",
            label="open",
            help="Open the page of the site under the cursor.",
            at_cursor=True,
        ),
        Command(action="new_site", key="n", label="new site", help="Add a site; its client can be added in the form."),
        *SITE_COMMANDS,
        Command(
            action="worst_first",
            key="w",
            label="worst first",
            help="Put the sites with the most items overdue first, and again: all by name.",
        ),
        Command(
            action="compare_scope",
            key="k",
            label="what came back",
            help="Hold the register against a scope of work that was sent out: done, failed, not done, extra.",
            in_footer=False,
        ),
        *CHANGE_SITE,
        IMPORT_LIST,
        *RECORD_COMMANDS,
    )

    @dataclass
    class _Counted(Message):
        lines: tuple[SiteLine, ...]

    @dataclass
    class _Open(Message):
        words: str

    def __init__(self) -> None:
        super().__init__()
        self._lines: tuple[SiteLine, ...] = ()
        self._rows: MemoryRows[SiteLine] = MemoryRows(SITE_COLUMNS, (), key=_key)
        self._beside: SiteLine | None = None
        """Whose locations stand beside the list; a line that was read anew is another."""

    def make_list(self) -> VirtualTable:
        """The sites."""
        return VirtualTable(SITE_COLUMNS, empty=_EMPTY, unit="sites")

    def compose_body(self) -> Iterable[Widget]:
        """The sums, the sites, the one under the cursor in words."""
        yield Static(id="sums", markup=False)
        yield Static(id="to-settle", markup=False)
        with Horizontal(classes="both"):
            yield from super().compose_body()
            yield Beside()
        yield Static(id="in-full", markup=False)

    def on_mount(self) -> None:
        """Show the cautions to whoever has not read them for this register."""
        if not cautions_confirmed(self.shell.register.path, self.shell.who):
            self.app.push_screen(make_screen("caution"), self._cautions_answered)
        else:
            offer_benches_left(self)

    def load(self) -> None:
        """Read the sites; where counting their items takes long, they are shown first and counted in a thread."""
        register, today, within = self.shell.register, self.shell.today, self.shell.settings.due_within_days
        self.table.empty = self.shell.in_present_keys(_EMPTY)
        self.show_place("Sites", f"{self.shell.who} · {register.name}")
        if may_be_open(register):
            self.shell.begin_beside(self._look_what_is_open)
        if takes_long_to_count(register):
            self._show(_with_last_counts(uncounted_sites(register), self._lines), counting=True)
            self.shell.begin_beside(partial(self._count, today, within))
        else:
            self._show(list_sites(register, today=today, within_days=within))

    @work(thread=True, exclusive=True, group="count")
    def _count(self, today: date, within_days: int) -> None:
        worker = get_current_worker()
        try:
            with self.shell.register.reopen() as own:
                lines = list_sites(own, today=today, within_days=within_days)
        except AppregError as refusal:
            self.app.call_from_thread(self.shell.warn, str(refusal))
            return
        if not worker.is_cancelled:
            self.post_message(self._Counted(lines))

    @work(thread=True, exclusive=True, group="to settle")
    def _look_what_is_open(self) -> None:
        worker = get_current_worker()
        try:
            with self.shell.register.reopen() as own:
                words = open_words(own)
        except AppregError as refusal:
            self.app.call_from_thread(self.shell.warn, str(refusal))
            return
        if not worker.is_cancelled:
            self.post_message(self._Open(words))

    @on(_Open)
    def _show_open(self, message: _Open) -> None:
        line = self.query_one("#to-settle", Static)
        line.display = bool(message.words)
        line.update(
            Content(f"{message.words}: {key_of('app.palette', '^p')}, “to be settled”" if message.words else "")
        )

    @on(_Counted)
    def _show_counted(self, message: _Counted) -> None:
        self._show(message.lines)

    def _show(self, lines: tuple[SiteLine, ...], *, counting: bool = False) -> None:
        self._lines = lines
        self._rows = MemoryRows(SITE_COLUMNS, lines, key=_key)
        self.pane.show(self._rows)
        self._spell_out()
        self.query_one("#sums", Static).update(_sums(lines, counting=counting))

    def site_to_act_on(self) -> Site | None:
        """The site under the cursor."""
        line = self._rows.item(self.table.cursor_key or "")
        return line.site if line else None

    def say_no_site(self, none: str) -> None:
        """Sites may be left out by the filter alone."""
        self.say_why_no_row(none)

    def sites_to_act_on(self) -> tuple[Uid, ...]:
        """The chosen sites, or the one under the cursor."""
        lines = (self._rows.item(key) for key in self.table.keys_to_act_on())
        return tuple(line.site.uid for line in lines if line is not None)

    def action_open_site(self) -> None:
        """Open the page of a site."""
        site = self.site_or_say()
        if site is not None:
            self.shell.open_screen("site_page", site=site.uid)

    def action_worst_first(self) -> None:
        """Sort by what is overdue, most first; where that is the order already, by name."""
        worst = self.table.arrangement.column == OVERDUE and self.table.arrangement.descending
        self.table.sort("" if worst else OVERDUE, descending=not worst)

    def action_new_site(self) -> None:
        """Ask for a new site and put the cursor on it."""

        def kept(site: Site | None) -> None:
            if site is not None:
                self.load()
                self.table.move_to(site.uid)
                self.shell.say(f"{site.name} is added; press {key_of('site.walk_round', 'a')} to walk round it.")

        self.ask_for_site_record(None, kept)

    def action_compare_scope(self) -> None:
        """Ask for the file, and show what came of it."""
        from appreg.ui.screens.scope.scope_work import compare_sent_scope  # noqa: PLC0415 - papers cost the first frame

        compare_sent_scope(self)

    def action_import_list(self) -> None:
        """Ask for a table from elsewhere, and show what its columns become."""
        from appreg.ui.screens.imports.import_work import import_list  # noqa: PLC0415 - forms cost the first frame

        import_list(self)

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.action_open_site()

    @on(VirtualTable.Moved)
    @on(VirtualTable.Arranged)
    def _spell_out(self) -> None:
        line = self._rows.item(self.table.cursor_key or "")
        words = "" if line is None else _in_full(line, self.shell.today)
        self.query_one("#in-full", Static).update(Content(shown(words)))
        self._tell_locations(line)

    def _tell_locations(self, line: SiteLine | None) -> None:
        """Beside the list the locations of the site, where there is room."""
        beside, wanted = self.query_one(Beside), line if self.size.width >= WIDE else None
        if wanted is self._beside:
            return
        self._beside = wanted
        if wanted is None:
            beside.tell("", ())
        else:
            register, today = self.shell.register, self.shell.today
            beside.tell(
                f"{wanted.site.name}: its locations",
                location_lines(counts_by_location(register, wanted.site.uid, today=today)),
            )

    def on_resize(self, event: events.Resize) -> None:
        """Read the locations once there is room for them."""
        super().on_resize(event)
        self._tell_locations(self._rows.item(self.table.cursor_key or ""))

    def _cautions_answered(self, read: bool | None) -> None:
        if not read:
            self.app.exit()
            return
        if not confirm_cautions(self.shell.register.path, self.shell.who, self.shell.today):
            self.shell.warn(NOT_KEPT)
        offer_benches_left(self)


def _key(line: SiteLine) -> str:
    return line.site.uid


def _with_last_counts(lines: tuple[SiteLine, ...], last: tuple[SiteLine, ...]) -> tuple[SiteLine, ...]:
    """Sites as they are now, with the counts of a moment ago until they are counted anew."""
    known = {line.site.uid: line for line in last}
    return tuple(
        replace(line, counts=was.counts, months=was.months) if (was := known.get(line.site.uid)) else line
        for line in lines
    )


def _sums(lines: tuple[SiteLine, ...], *, counting: bool) -> Content:
    sites = counted(len(lines), "site")
    known = [line.counts for line in lines if line.counts is not None]
    if counting or len(known) < len(lines):
        return Content(f"{sites} · counting their items …")
    counts = sum_of(known)
    return attention_line(f"{sites}, {counted(counts.items, 'item')}", shares_of(counts))


def _in_full(line: SiteLine, today: date) -> str:
    """What is overdue and since when, the client, who is responsible, what is withdrawn, and the busiest of the months."""
    counts, site = line.counts, line.site
    said = [f"{site.name}: for {line.client.name}"]
    if counts is not None and counts.overdue:
        late = items_and_inspections(counts.overdue, counts.overdue_inspections)
        said = [
            f"{site.name}: overdue {late}, {counts.overdue_share}% of {counted(counts.in_service, 'item')} in service"
        ]
        if counts.oldest_overdue is not None:
            days = counted((today - counts.oldest_overdue).days, "day")
            said.append(f"the oldest since {date_words(counts.oldest_overdue)}, {days}")
        said.append(f"for {line.client.name}")
    if site.responsible:
        said.append(f"responsible {', '.join(part for part in (site.responsible, site.responsible_contact) if part)}")
    if counts is not None and counts.withdrawn:
        said.append(f"withdrawn {counted(counts.withdrawn, 'item')}")
    if any(line.months):
        busiest = line.months.index(max(line.months))
        month = MONTHS[(today.month - 1 + busiest) % len(MONTHS)]
        said.append(f"most in {month}, {counted(line.months[busiest], 'item')}")
    return " · ".join(said)
