"""What a style sheet says of a widget, worked out once for all that stand in the same place of the same screens.

Textual asks every rule that names the widget's kind, name or classes about each of its ancestors whenever anything changes.
Which rules can hold there follows from kinds, names and classes, and is kept; only what depends on the moment (the keyboard,
the mouse, which child it is) is asked each time. What holds then is kept as Textual worked it out the first time.
"""

from collections.abc import Iterator, Sequence
from itertools import chain, product
from typing import Any, Final

import pytest
from textual.css.match import _check_selectors
from textual.css.model import RuleSet, Selector
from textual.css.styles import RulesMap
from textual.css.stylesheet import Stylesheet
from textual.dom import DOMNode
from textual.widget import Widget

AS_TEXTUAL: Final = Stylesheet.apply
AS_PARSED: Final = Stylesheet.parse
REPLACE: Final = Stylesheet.replace_rules
_OWN: Final = frozenset({"display", "layout", "overflow_x", "overflow_y", "pointer"})
"""Something follows for a widget from being given these, or it is given one of its own."""
FLAGS: Final = ("_has_hover_style", "_has_focus_within", "_has_order_style", "_has_odd_or_even")
"""What Textual notes beside the styles: of which moments the rules ask."""
_MOST: Final = 20_000
"""Places kept until all are forgotten."""


class _Place:
    """A kind of widget with a name and classes, below such ancestors, and the rules that name it."""

    def __init__(self, rules: Sequence[RuleSet], path: list[DOMNode]) -> None:
        self._asked = tuple(dict.fromkeys(_asked(rules, path)))
        self.known: dict[tuple[bool, ...], tuple[RulesMap | None, list[Any]]] = {}

    def moment(self, path: list[DOMNode]) -> tuple[bool, ...]:
        """What of all that the rules ask for is so now."""
        return tuple([path[at].has_pseudo_class(name) for at, name in self._asked])


def _asked(rules: Sequence[RuleSet], path: list[DOMNode]) -> Iterator[tuple[int, str]]:
    """Which of the path, by number, is asked for what by a rule that may hold at some moment."""
    for each in chain.from_iterable(rule.selector_set for rule in rules):
        if any(selector.pseudo_classes for selector in each.selectors):
            bare = [*map(_at_any_moment, each.selectors)]
            if _check_selectors(bare, path):
                for selector, always in zip(each.selectors, bare, strict=True):
                    at = [at for at, node in enumerate(path) if selector.pseudo_classes and always.check(node)]
                    yield from product(at, sorted(selector.pseudo_classes))


def _at_any_moment(selector: Selector) -> Selector:
    return Selector(selector.name, selector.combinator, selector.type, advance=selector.advance)


class QuickStyles:
    """Stands in for `Stylesheet.apply`, for all apps of a process."""

    def __init__(self) -> None:
        self._kinds: dict[tuple[Any, ...], int] = {}
        self._rules: dict[tuple[int, ...], tuple[int, list[RuleSet]]] = {}
        self._named: dict[int, tuple[list[RuleSet], dict[int, tuple[int, list[RuleSet]]]]] = {}
        self._places: dict[tuple[int, ...], _Place] = {}
        self.found = 0
        """How often nothing had to be worked out."""

    def apply(self, sheet: Stylesheet, node: DOMNode, *, animate: bool = False) -> None:
        """Give a widget what the style sheet says of it."""
        path = node.css_path_nodes
        place = self._place(sheet, path)
        moment = place.moment(path)
        known = place.known.get(moment)
        if known is None:
            rules = _worked_out(sheet, node, animate=animate)
            place.known[moment] = rules, [getattr(node, flag) for flag in FLAGS]
            return
        self.found += 1
        rules, flags = known
        for flag, noted in zip(FLAGS, flags, strict=True):
            setattr(node, flag, noted)
        if rules is not None:
            sheet.replace_rules(node, rules, animate=animate)
        restyle_parts(sheet, node)

    def _place(self, sheet: Stylesheet, path: list[DOMNode]) -> _Place:
        kinds = [self._kind((each.__class__, each._id, frozenset(each._classes))) for each in path]
        number, rules = self._naming(sheet, kinds[-1], path[-1])
        key = (number, *kinds)
        place = self._places.get(key)
        if place is None:
            if len(self._places) >= _MOST:
                self._places.clear()
            place = self._places[key] = _Place(rules, path)
        return place

    def _kind(self, kind: tuple[Any, ...]) -> int:
        return self._kinds.setdefault(kind, len(self._kinds))

    def _naming(self, sheet: Stylesheet, kind: int, node: DOMNode) -> tuple[int, list[RuleSet]]:
        """The rules of a sheet that name a kind, and their number: the same rules have the same in every app."""
        every = sheet.rules
        if id(every) not in self._named:
            if len(self._named) >= _MOST:
                self._named.clear()
            self._named[id(every)] = every, {}
        named = self._named[id(every)][1]
        if kind not in named:
            found = {
                id(rule) for name in sheet.rules_map.keys() & node._selector_names for rule in sheet.rules_map[name]
            }
            rules = [rule for rule in every if id(rule) in found]
            named[kind] = self._rules.setdefault(tuple(map(id, rules)), (len(self._rules), rules))
        return named[kind]


def _worked_out(sheet: Stylesheet, node: DOMNode, *, animate: bool) -> RulesMap | None:
    """What Textual itself gives the widget."""
    heard: list[RulesMap] = []
    before = sheet.replace_rules

    def replace_and_hear(of: DOMNode, rules: RulesMap, animate: bool = False) -> None:
        if of is node:
            heard.append(rules)
        before(of, rules, animate=animate)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(sheet, "replace_rules", replace_and_hear)
        AS_TEXTUAL(sheet, node, animate=animate)
    return heard[0] if heard else None


class QuickSetting:
    """Stands in for `Stylesheet.replace_rules`."""

    def __init__(self) -> None:
        self._set: dict[int, tuple[RulesMap, dict[str, Any]]] = {}

    def replace(self, node: DOMNode, rules: RulesMap, *, animate: bool = False) -> None:
        """Set what is not set already, and what a new widget gets at once."""
        styles: Any = node.styles.base
        if animate or _has_bars(node):
            REPLACE(node, rules, animate=animate)
            return
        if not styles._rules and not node._is_mounted:
            self._set_all(styles, rules)
        elif styles._rules != rules:
            _set_changed(styles, rules)
        node.notify_style_update()

    def _set_all(self, styles: Any, rules: RulesMap) -> None:
        """A new widget is not drawn yet: nothing follows from what it is given, but from these few."""
        for name in _OWN & rules.keys():
            setattr(styles, name, rules.get(name))
        if id(rules) in self._set:
            given = self._set[id(rules)][1]
            styles._rules.update(given)
            styles._updates += len(given)
            return
        _set_changed(styles, rules)
        if len(self._set) >= _MOST:
            self._set.clear()
        given = {name: value for name, value in styles._rules.items() if name not in _OWN}
        self._set[id(rules)] = rules, given


def _set_changed(styles: Any, rules: RulesMap) -> None:
    present = styles._rules
    for name, value in rules.items():
        if value is None or present.get(name) != value:
            setattr(styles, name, value)
    for name in present.keys() - rules.keys():
        setattr(styles, name, None)


def _has_bars(node: DOMNode) -> bool:
    """Bars are drawn again whenever their colours are set, the same or not."""
    return isinstance(node, Widget) and (node.show_vertical_scrollbar or node.show_horizontal_scrollbar)


def restyle_parts(sheet: Stylesheet, node: DOMNode) -> None:
    """Give the parts of a widget that it draws itself what the style sheet says of them; Textual makes each anew."""
    names, parts = node._get_component_classes(), node._component_styles
    if parts.keys() != names or any(part._inline_styles._rules for part in parts.values()):
        sheet._process_component_classes(node)
        return
    changed = False
    for name in sorted(names):
        part: Any = parts[name].node
        before = {**part.styles.base._rules}
        sheet.apply(part)
        changed = changed or before != part.styles.base._rules
    if changed:
        node.refresh()


class QuickParsing:
    """Stands in for `Stylesheet.parse`: the same sources with the same colours are one list of rules in every app."""

    def __init__(self) -> None:
        self._parsed: dict[tuple[Any, ...], list[RuleSet]] = {}

    def parse(self, sheet: Stylesheet) -> None:
        """Have the rules of all sources, in their order."""
        key = (tuple(sheet.source.items()), frozenset(sheet._variables.items()))
        if sheet._invalid_css:
            AS_PARSED(sheet)
        elif key not in self._parsed:
            AS_PARSED(sheet)
            self._parsed[key] = sheet._rules
        else:
            sheet._rules, sheet._rules_map, sheet._require_parse = self._parsed[key], None, False


@pytest.fixture(scope="session", autouse=True)
def _styles_worked_out_once() -> Iterator[None]:
    """In every app of this process."""
    quick, parsing, setting = QuickStyles(), QuickParsing(), QuickSetting()

    def apply(sheet: Stylesheet, node: DOMNode, *, animate: bool = False, cache: Any = None) -> None:  # noqa: ARG001
        quick.apply(sheet, node, animate=animate)

    def parse(sheet: Stylesheet) -> None:
        parsing.parse(sheet)

    def replace_rules(node: DOMNode, rules: RulesMap, animate: bool = False) -> None:
        setting.replace(node, rules, animate=animate)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(Stylesheet, "parse", parse)
        patch.setattr(Stylesheet, "apply", apply)
        patch.setattr(Stylesheet, "replace_rules", staticmethod(replace_rules))
        yield
