"""The words of a label as they will be cut to fit it, for a look before printing."""

from datetime import date

from appreg.paper.labels.label_content import AnyLabel
from appreg.paper.labels.label_fitting import fit_label
from appreg.paper.labels.label_stock import Stock
from appreg.paper.page.page_canvas import PageCanvas


class LabelWords:
    """Measures with the typeface of the labels; takes a while to build, so build it in a thread."""

    def __init__(self, created: date) -> None:
        self._canvas = PageCanvas(title="Look", created=created)
        self._canvas.close()

    def lines(self, label: AnyLabel, stock: Stock) -> tuple[str, ...]:
        """Return the small lines that fit on a label of this stock, each cut to its width."""
        return tuple(line.whole for line in fit_label(label, stock, self._canvas.measure).lines)

    def is_cut(self, label: AnyLabel, stock: Stock) -> bool:
        """Tell whether something that must be read does not fit a label of this stock whole."""
        return fit_label(label, stock, self._canvas.measure).is_cut
