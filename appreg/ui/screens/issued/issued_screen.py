"""Issued documents of a site: what was handed over, when and by whom; print one again as it was."""

from pathlib import Path
from typing import ClassVar, Final

from textual import on

from appreg.core.records.kept_records import Site
from appreg.core.values.dates_in_words import date_words
from appreg.core.values.uids import Uid
from appreg.paper.documents.document_outcome import glyph_sentence
from appreg.progress import Progress
from appreg.register.opening.register_file import Register
from appreg.tasks.documents.issue_document import IssuedPaper, print_again
from appreg.tasks.documents.list_issued import ListedDocument, list_issued
from appreg.tasks.documents.print_drawn import Drawn
from appreg.ui.lists.list_screen import ListScreen
from appreg.ui.lists.row_sources import MemoryRows
from appreg.ui.lists.table_columns import FieldColumn, date_column
from appreg.ui.lists.virtual_table import VirtualTable
from appreg.ui.screens.asking.ask_for_file import ask_for_file
from appreg.ui.screens.asking.file_form import FileForm
from appreg.ui.screens.asking.print_on_paper import print_on_paper
from appreg.ui.screens.long_work.long_work_screen import Done, LongWorkScreen
from appreg.ui.screens.sites.site_actions import SiteActions
from appreg.ui.shell.commands import Command
from appreg.ui.shell.key_words import key_of

ISSUED_COLUMNS: Final[tuple[FieldColumn[ListedDocument], ...]] = (
    FieldColumn(
        key="number",
        title="document",
        min_width=8,
        text=lambda line: f"{line.document.number}.{line.document.issue}",
        order=lambda line: (line.document.number, line.document.issue),
    ),
    date_column("on", "issued on", lambda line: line.document.on),
    FieldColumn(key="kind", title="kind", min_width=8, text=lambda line: line.document.kind.value),
    FieldColumn(key="scope", title="of", min_width=20, max_width=50, text=lambda line: line.document.scope),
    FieldColumn(key="by", title="by", min_width=8, max_width=20, priority=1, text=lambda line: line.document.author),
    FieldColumn(
        key="latest",
        title="later issue",
        min_width=11,
        priority=2,
        text=lambda line: "" if line.latest else "there is one",
    ),
    FieldColumn(key="seal", title="seal", min_width=36, priority=3, text=lambda line: str(line.seal)),
)
_EMPTY: Final = "no document was issued of this site yet"
_OTHERWISE: Final = (
    "It tells what it told then, but another version of appreg drew it than issued it: its bytes are not the same."
)


class IssuedScreen(ListScreen[None], SiteActions[None]):
    """The documents that were issued of one site, the latest first."""

    TITLE_IN_HELP = "Issued documents"
    FOLLOWS = True
    DECLARED: ClassVar[tuple[Command, ...]] = (
        Command(
            action="print_again",
            key="p",
            label="print again",
            help="Write the document under the cursor as it was when it was issued, whatever has changed since.",
            at_cursor=True,
        ),
    )

    def __init__(self, *, site: Uid) -> None:
        super().__init__()
        self._site = site
        self._rows: MemoryRows[ListedDocument] = MemoryRows(ISSUED_COLUMNS, (), key=_key)

    def make_list(self) -> VirtualTable:
        """The documents."""
        return VirtualTable(ISSUED_COLUMNS, empty=_EMPTY, unit="documents")

    def load(self) -> None:
        """Read the documents."""
        self._rows = MemoryRows(ISSUED_COLUMNS, list_issued(self.shell.register, site=self._site), key=_key)
        self.pane.show(self._rows)
        self.show_place(f"Issued documents · {self.site_to_act_on().name}")

    def site_to_act_on(self) -> Site:
        """The site."""
        return self.shell.register.get(Site, self._site)

    @on(VirtualTable.Opened)
    def _opened(self) -> None:
        self.action_print_again()

    def action_print_again(self) -> None:
        """Ask where the document is written, and write it as it was."""
        line = self._rows.item(self.table.cursor_key or "")
        if line is None:
            self.say_why_no_row(
                f"Nothing was issued here yet: {key_of('visits.issue_report', 'i')} on a visit issues its report."
            )
            return
        document, register = line.document, self.shell.register
        form = FileForm(
            self.desk,
            title="Print again",
            stem=f"document-{document.number}-issue-{document.issue}",
            said=(f"{document.called.capitalize()}, of {date_words(document.on)}: {document.scope}.",),
        )

        def draw(own: Register, file: Path, progress: Progress | None, *, replace: bool = False) -> IssuedPaper:
            return print_again(
                own, number=document.number, issue=document.issue, out=file, replace=replace, progress=progress
            )

        def write_to(file: Path, replace: bool) -> None:
            def write(progress: Progress) -> IssuedPaper:
                with register.reopen() as own:
                    return draw(own, file, progress, replace=replace)

            self.app.push_screen(LongWorkScreen(f"Writing {file.name}", write), lambda done: self._said(file, done))

        def on_paper() -> None:
            print_on_paper(
                self,
                lambda own, file, told: Drawn(summary=draw(own, file, told).summary, document=document.uid),
                what=f"{document.called}, {document.scope}",
                site=document.site,
            )

        ask_for_file(self, form, then=write_to, on_paper=on_paper)

    def _said(self, file: Path, done: Done[IssuedPaper] | None) -> None:
        if done is not None:
            printed = done.value
            said = "" if printed.same else f" {_OTHERWISE}"
            self.shell.say(f"Written: {file}.{said} {glyph_sentence(printed.summary.missing_glyphs)}".rstrip(". "))


def _key(line: ListedDocument) -> str:
    return line.document.uid
