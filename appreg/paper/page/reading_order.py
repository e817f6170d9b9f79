"""The order in which a document is read aloud, and what each part of it is: its tags (ISO 32000-1, 14.7 and 14.8)."""

from collections.abc import Iterator
from typing import TYPE_CHECKING

from fpdf.structure_tree import StructureTreeBuilder
from fpdf.syntax import PDFObject

from appreg.paper.page.part_roles import Role

if TYPE_CHECKING:
    from fpdf import FPDF
    from fpdf.encryption import StandardSecurityHandler


class _Part(PDFObject):
    """One part: it holds others, or one piece of one page."""

    __slots__ = ("_id", "instead", "kids", "order", "page", "parent", "piece", "role")

    def __init__(self, order: "ReadingOrder", role: str, parent: PDFObject) -> None:
        super().__init__()
        self.order = order
        self.role = role
        self.parent = parent
        self.kids: list[_Part] = []
        self.page = 0
        self.piece = 0
        self.instead = ""
        """What is read instead of a figure."""

    def serialize(
        self, obj_dict: dict[str, object] | None = None, _security_handler: "StandardSecurityHandler | None" = None
    ) -> str:
        """Its dictionary; the library would look for each entry by its name, which takes most of the time."""
        del obj_dict
        scope = "/A <</O /Table /Scope /Column>> " if self.role == Role.HEAD else ""
        if self.instead:
            scope += f"/Alt <FEFF{self.instead.encode('utf-16-be', 'replace').hex()}> "
        holds = f"/Pg {self.order.page_id(self.page)} 0 R /K {self.piece}" if self.page else f"/K [{_refs(self.kids)}]"
        return f"{self.id} 0 obj\n<</S /{self.role} /P {self.parent.id} 0 R {scope}{holds}>>\nendobj"


class _Root(PDFObject):
    """What the catalog names: the document, and which part each piece of a page belongs to."""

    def __init__(self, order: "ReadingOrder") -> None:
        super().__init__()
        self._order = order

    def serialize(
        self, obj_dict: dict[str, object] | None = None, _security_handler: "StandardSecurityHandler | None" = None
    ) -> str:
        """Its dictionary."""
        del obj_dict
        pages = self._order.pages
        numbers = "\n".join(f"{page - 1} [{_refs(parts)}]" for page, parts in sorted(pages.items()))
        tree = f"/ParentTree <</Nums [{numbers}]>> /ParentTreeNextKey {max(pages)}"
        return f"{self.id} 0 obj\n<</Type /StructTreeRoot /K {self._order.document.id} 0 R {tree}>>\nendobj"


class ReadingOrder(StructureTreeBuilder):
    """The parts of a document, in the order of their drawing; the library asks it for objects where it would ask its own."""

    def __init__(self, pdf: "FPDF") -> None:
        super().__init__()
        self._pdf = pdf
        self._root = _Root(self)
        self.document = _Part(self, "Document", self._root)
        self._open = [self.document]
        self.pages: dict[int, list[_Part]] = {}
        """By page, the part that each piece belongs to."""
        self.given_up = False

    def open(self, role: Role) -> None:
        """Begin a part within the one that is open."""
        part = _Part(self, role, self._open[-1])
        self._open[-1].kids.append(part)
        self._open.append(part)

    def close(self) -> None:
        """End the part that is open."""
        self._open.pop()

    def piece(self, role: Role, page: int, instead: str = "") -> int:
        """The number of a new piece of a page, a part of its own; `instead` is what is read of a figure."""
        part = _Part(self, role, self._open[-1])
        self._open[-1].kids.append(part)
        own = self.pages.setdefault(page, [])
        if not own:
            self._pdf.pages[page].struct_parents = page - 1
        part.page, part.piece, part.instead = page, len(own), instead
        own.append(part)
        return part.piece

    def give_up(self) -> None:
        """Forget it all: the document is too long to be tagged."""
        for page in self.pages:
            self._pdf.pages[page].struct_parents = None
        self.pages, self.document.kids, self.given_up = {}, [], True

    def page_id(self, page: int) -> int:
        """The number of a page's object."""
        return self._pdf.pages[page].id

    def empty(self) -> bool:
        """Tell whether nothing is tagged."""
        return not self.pages

    def __iter__(self) -> Iterator[PDFObject]:
        """Every object, the root first."""
        yield self._root
        waiting = [self.document]
        while waiting:
            part = waiting.pop()
            yield part
            waiting += reversed(part.kids)


def _refs(parts: list[_Part]) -> str:
    return " ".join(f"{part.id} 0 R" for part in parts)
