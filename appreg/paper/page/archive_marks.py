"""What makes a PDF file one for archives, PDF/A-2u (ISO 19005-2): its description as XMP, and which greys its greys are."""

from datetime import datetime
from typing import TYPE_CHECKING, Final
from xml.sax.saxutils import escape

if TYPE_CHECKING:
    from fpdf import FPDF

VERSION: Final = "1.7"
"""The PDF that part 2 of the standard builds on."""
LANGUAGE: Final = "en-GB"
"""Of all that the program itself says on paper."""
_PRODUCER: Final = "appreg"
_NAMES: Final = {
    "rdf": "http://www.w3.org/1999/02/22-rdf-syntax-ns#",
    "dc": "http://purl.org/dc/elements/1.1/",
    "xmp": "http://ns.adobe.com/xap/1.0/",
    "pdf": "http://ns.adobe.com/pdf/1.3/",
    "pdfaid": "http://www.aiim.org/pdfa/ns/id/",
}


def describe(pdf: "FPDF", *, title: str, created: datetime) -> None:
    """Name title, language, producer and day, and the profile that the greys of the pages are meant in."""
    from fpdf.enums import OutputIntentSubType  # noqa: PLC0415 - loaded with the library
    from fpdf.output import PDFICCProfile  # noqa: PLC0415 - the same
    from fpdf.util import builtin_srgb2014_bytes  # noqa: PLC0415 - the same

    pdf.pdf_version = VERSION
    # Nothing drawn here is transparent; without this each page would say how it is blended.
    pdf.allow_images_transparency = False
    pdf.set_title(title)
    pdf.set_lang(LANGUAGE)
    pdf.set_producer(_PRODUCER)
    pdf.set_creation_date(created)
    pdf.add_output_intent(
        OutputIntentSubType.PDFA,
        output_condition_identifier="sRGB",
        output_condition="IEC 61966-2-1:1999",
        registry_name="http://www.color.org",
        dest_output_profile=PDFICCProfile(contents=builtin_srgb2014_bytes(), n=3, alternate="DeviceRGB"),
        info="sRGB2014",
    )


def described(title: str, created: datetime, keywords: str) -> str:
    """The same description as XMP (ISO 16684-1), which names no time but the document's own."""
    names = " ".join(f'xmlns:{short}="{name}"' for short, name in _NAMES.items())
    day = created.isoformat(timespec="seconds")
    told = (
        f"<pdfaid:part>2</pdfaid:part><pdfaid:conformance>U</pdfaid:conformance>"
        f'<dc:title><rdf:Alt><rdf:li xml:lang="x-default">{escape(title)}</rdf:li></rdf:Alt></dc:title>'
        f"<dc:language><rdf:Bag><rdf:li>{LANGUAGE}</rdf:li></rdf:Bag></dc:language>"
        f"<pdf:Producer>{_PRODUCER}</pdf:Producer><xmp:CreateDate>{day}</xmp:CreateDate>"
    )
    noted = f"<pdf:Keywords>{escape(keywords)}</pdf:Keywords>" if keywords else ""
    return (
        f'<x:xmpmeta xmlns:x="adobe:ns:meta/"><rdf:RDF {names}>'
        f'<rdf:Description rdf:about="">{told}{noted}</rdf:Description></rdf:RDF></x:xmpmeta>'
    )
