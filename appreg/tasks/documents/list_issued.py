"""List the documents that were issued, with the site that each tells of."""

from msgspec import Struct

from appreg.core.records.issued_documents import IssuedDocument
from appreg.core.records.kept_records import Site
from appreg.core.records.seals import DocumentSeal, document_seal, seal_at
from appreg.core.values.uids import Uid
from appreg.register.opening.register_file import Register


class ListedDocument(Struct, frozen=True, kw_only=True):
    """An issued document as lists have it."""

    document: IssuedDocument
    site: Site
    seal: DocumentSeal
    """As it stands on the document."""
    latest: bool
    """No later issue of it was made."""


def list_issued(register: Register, *, site: Uid | None = None) -> list[ListedDocument]:
    """Every issue of every document, of one site where it is named, the latest first."""
    found = register.find(IssuedDocument, site=site) if site is not None else register.find(IssuedDocument)
    newest = {each.number: 0 for each in found}
    for each in found:
        newest[each.number] = max(newest[each.number], each.issue)
    sites = {uid: register.get(Site, uid) for uid in dict.fromkeys(each.site for each in found)}
    return [
        ListedDocument(
            document=each,
            site=sites[each.site],
            seal=document_seal(register.origin, seal_at(each.position, each.head)),
            latest=each.issue == newest[each.number],
        )
        for each in sorted(found, key=lambda each: each.position, reverse=True)
    ]
