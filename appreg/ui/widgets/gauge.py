"""A gauge drawn to scale: where it is allowed, the limit as a notch, the reading as a pointer."""

from typing import ClassVar

from textual.content import Content
from textual.reactive import reactive
from textual.widget import Widget

from appreg.ui.widgets.gauge_scale import GaugeView, gauge_cells


class Gauge(Widget):
    """Shows one reading against its limits; nothing is drawn without a limit."""

    COMPONENT_CLASSES: ClassVar[set[str]] = {
        "gauge--end",
        "gauge--allowed",
        "gauge--refused",
        "gauge--notch",
        "gauge--band",
        "gauge--reading",
    }
    DEFAULT_CSS = """
    Gauge { height: 1; width: 1fr; }
    Gauge > .gauge--end { color: $secondary; }
    Gauge > .gauge--allowed { color: $success; }
    Gauge > .gauge--refused { color: $error; }
    Gauge > .gauge--notch { color: $foreground; text-style: bold; }
    Gauge > .gauge--band { color: $warning; }
    Gauge > .gauge--reading { color: $foreground; text-style: bold reverse; }
    """

    view: reactive[GaugeView | None] = reactive(None)

    def render(self) -> Content:
        """Draw the gauge across the width there is."""
        if self.view is None:
            return Content()
        cells = gauge_cells(self.view, self.size.width)
        return Content.assemble(*((cell.glyph, self.get_visual_style(f"gauge--{cell.part}")) for cell in cells))
