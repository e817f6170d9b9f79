"""What a PDF says and where, read with libraries that did not write it."""

from pathlib import Path

import pypdfium2
import zxingcpp
from PIL import Image
from pypdf import PdfReader


def page_texts(path: Path) -> list[str]:
    return [page.extract_text() for page in PdfReader(path).pages]


def whole_text(path: Path) -> str:
    return "\n".join(page_texts(path))


def text_boxes(path: Path) -> list[tuple[int, float, float, float, float]]:
    """Page number and left, top, right, bottom of every run of text, mm from the page's top left corner."""
    boxes = []
    with pypdfium2.PdfDocument(path) as document:
        for number, page in enumerate(document, 1):
            height, words = page.get_height(), page.get_textpage()
            for index in range(words.count_rects()):
                left, bottom, right, top = words.get_rect(index)
                boxes.append((number, *(v * 25.4 / 72 for v in (left, height - top, right, height - bottom))))
    return boxes


def page_image(path: Path, *, dpi: int, page: int = 0) -> Image.Image:
    with pypdfium2.PdfDocument(path) as document:
        picture: Image.Image = document[page].render(scale=dpi / 72, grayscale=True).to_pil()
        return picture.copy()


def pages_of(path: Path) -> int:
    with pypdfium2.PdfDocument(path) as document:
        return len(document)


def darkness(picture: Image.Image, box: tuple[float, float, float, float], *, dpi: int) -> float:
    """Share of dark pixels inside left, top, right, bottom in mm."""
    part = picture.crop(tuple(round(v / 25.4 * dpi) for v in box))  # type: ignore[arg-type]
    counts = part.histogram()
    return sum(counts[:128]) / sum(counts)


def codes_on(path: Path, *, dpi: int = 200) -> list[str]:
    """What the codes on the first page say to a reader that did not draw them."""
    return [code.text for code in zxingcpp.read_barcodes(page_image(path, dpi=dpi))]
