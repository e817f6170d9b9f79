"""A label as it will be printed, for the screen."""

from datetime import date
from functools import cache

from appreg.paper.labels.label_content import LabelText
from appreg.paper.labels.label_drawing import CutText, cut_text
from appreg.paper.labels.label_stock import Stock
from appreg.paper.page.page_canvas import PageCanvas


def preview(label: LabelText, stock: Stock) -> CutText:
    """Return a label's words as they will be cut; the first call takes half a second, so call it from a worker."""
    return cut_text(_measuring_canvas(), stock, label)


@cache
def _measuring_canvas() -> PageCanvas:
    with PageCanvas(title="", created=date(2000, 1, 1)) as canvas:
        return canvas
