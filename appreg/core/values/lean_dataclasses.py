"""Frozen, slotted dataclasses that cost next to nothing until they are used.

The standard decorator compiles six methods for each class at once; a command in a shell loads a hundred kinds of values
and makes a few. Here each is compiled when it is first called, and those that need no speed are shared.
Everything else is as with the standard decorator, for which type checkers take this one.
"""

from collections.abc import Callable, Mapping
from typing import TYPE_CHECKING, Any, Final, NoReturn, TypeVar

T = TypeVar("T")

_NOT_GIVEN: Final = object()


class _Made:
    """A default that is made anew for every value."""

    __slots__ = ("make",)

    def __init__(self, make: Callable[[], Any]) -> None:
        self.make = make


class _Initialiser:
    """Stands for `__init__` until a value is made, then puts the compiled one in its own place."""

    __slots__ = ("_defaults", "_kw_only", "owner")

    owner: Any

    def __init__(self, defaults: Mapping[str, Any], *, kw_only: bool) -> None:
        self._defaults = defaults
        self._kw_only = kw_only

    def __get__(self, value: object, kind: type) -> Any:
        compiled = self._compiled(self.owner)
        self.owner.__init__ = compiled
        return compiled if value is None else compiled.__get__(value, kind)

    def _compiled(self, kind: Any) -> Any:
        scope: dict[str, Any] = {"_not_given": _NOT_GIVEN}
        parameters = ["self", "*"] if self._kw_only else ["self"]
        lines = []
        for name in kind.__slots__:
            # The slot's own setter goes past the refusal to set, and is the fastest way there is.
            scope[f"_set_{name}"] = kind.__dict__[name].__set__
            parameter, given = name, name
            if name in self._defaults:
                default = self._defaults[name]
                parameter, given = _with_default(name, default)
                scope[f"_default_{name}"] = default.make if isinstance(default, _Made) else default
            parameters.append(parameter)
            lines.append(f" _set_{name}(self, {given})")
        lines.append(" self.__post_init__()" if hasattr(kind, "__post_init__") else " return")
        exec(f"def __init__({', '.join(parameters)}):\n" + "\n".join(lines), scope)  # noqa: S102 - only names of fields
        made = scope["__init__"]
        made.__qualname__ = f"{kind.__qualname__}.__init__"
        made.__annotations__ = {**kind.__annotations__, "return": None}
        return made


def _with_default(name: str, default: object) -> tuple[str, str]:
    """How a parameter and the value taken from it are written."""
    if isinstance(default, _Made):
        return f"{name}=_not_given", f"_default_{name}() if {name} is _not_given else {name}"
    return f"{name}=_default_{name}", name


class _Fields:
    """Gives the standard library's own description of the fields, made when it is asked for."""

    __slots__ = ("_defaults", "_kw_only")

    def __init__(self, defaults: Mapping[str, Any], *, kw_only: bool) -> None:
        self._defaults = defaults
        self._kw_only = kw_only

    def __get__(self, value: object, kind: Any) -> Any:
        import dataclasses  # noqa: PLC0415 - what this module exists to avoid

        described = [
            (name, hint, dataclasses.field(**self._default(name))) for name, hint in kind.__annotations__.items()
        ]
        standard: Any = dataclasses.make_dataclass(kind.__name__, described, kw_only=self._kw_only)
        kind.__dataclass_fields__ = standard.__dataclass_fields__
        return standard.__dataclass_fields__

    def _default(self, name: str) -> dict[str, Any]:
        if name not in self._defaults:
            return {}
        default = self._defaults[name]
        return {"default_factory": default.make} if isinstance(default, _Made) else {"default": default}


def _repr(self: Any) -> str:
    pairs = ", ".join(f"{name}={getattr(self, name)!r}" for name in self.__dataclass_names__)
    return f"{type(self).__qualname__}({pairs})"


def _eq(self: Any, other: object) -> Any:
    """Stands for `__eq__` until two values are compared."""
    kind: Any = type(self)
    here, there = (_tuple_of(kind, name) for name in ("self", "other"))
    kind.__eq__ = _compiled(
        "__eq__", "self, other", f"{here} == {there} if other.__class__ is self.__class__ else NotImplemented"
    )
    return kind.__eq__(self, other)


def _hash(self: Any) -> int:
    """Stands for `__hash__` until a value is looked up."""
    kind: Any = type(self)
    kind.__hash__ = _compiled("__hash__", "self", f"hash({_tuple_of(kind, 'self')})")
    return hash(self)


def _tuple_of(kind: Any, name: str) -> str:
    return "(" + "".join(f"{name}.{field}, " for field in kind.__dataclass_names__) + ")"


def _compiled(name: str, parameters: str, result: str) -> Any:
    scope: dict[str, Any] = {}
    exec(f"def {name}({parameters}): return {result}", scope)  # noqa: S102 - only names of fields
    return scope[name]


def _setattr(self: Any, name: str, value: object) -> NoReturn:  # noqa: ARG001 - as Python calls it
    from dataclasses import FrozenInstanceError  # noqa: PLC0415 - only a mistake needs it

    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _delattr(self: Any, name: str) -> NoReturn:  # noqa: ARG001 - as Python calls it
    from dataclasses import FrozenInstanceError  # noqa: PLC0415 - only a mistake needs it

    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _getstate(self: Any) -> list[Any]:
    return [getattr(self, name) for name in self.__dataclass_names__]


def _setstate(self: Any, state: list[Any]) -> None:
    for name, value in zip(self.__dataclass_names__, state, strict=True):
        object.__setattr__(self, name, value)


_SHARED: Final = {
    "__repr__": _repr,
    "__eq__": _eq,
    "__hash__": _hash,
    "__setattr__": _setattr,
    "__delattr__": _delattr,
    "__getstate__": _getstate,
    "__setstate__": _setstate,
}


def _dataclass(*, frozen: bool, slots: bool, kw_only: bool = False) -> Callable[[type[T]], type[T]]:
    """Make a class of values out of annotated names, frozen and slotted; fields are not inherited."""
    if not (frozen and slots):
        raise TypeError("only frozen and slotted values are made here; use the standard dataclass")

    def decorated(kind: type[T]) -> type[T]:
        if any(hasattr(base, "__dataclass_fields__") for base in kind.__bases__):
            raise TypeError(f"{kind.__name__}: fields are not inherited here; use the standard dataclass")
        names = tuple(kind.__annotations__)
        body = {name: value for name, value in vars(kind).items() if name not in {"__dict__", "__weakref__"}}
        defaults = {name: body.pop(name) for name in names if name in body}
        if any(type(default).__hash__ is None for default in defaults.values()):
            raise ValueError(f"{kind.__name__}: a default that can change would be shared; use default_factory")
        initialiser = _Initialiser(defaults, kw_only=kw_only)
        body |= {name: method for name, method in _SHARED.items() if name not in vars(kind)}
        body |= {
            "__init__": initialiser,
            "__slots__": names,
            "__dataclass_names__": names,
            "__match_args__": () if kw_only else names,
            "__dataclass_fields__": _Fields(defaults, kw_only=kw_only),
        }
        metaclass: Any = type(kind)
        slotted: type[T] = metaclass(kind.__name__, kind.__bases__, body)
        slotted.__qualname__ = kind.__qualname__
        initialiser.owner = slotted
        return slotted

    return decorated


def _field(*, default_factory: Callable[[], Any]) -> Any:
    """Make a default anew for every value."""
    return _Made(default_factory)


def _replace(value: Any, /, **changes: Any) -> Any:
    """The value with some fields changed; values of standard dataclasses are taken too."""
    names = getattr(value, "__dataclass_names__", None)
    if names is None:
        import dataclasses  # noqa: PLC0415 - the value's own class has loaded it

        return dataclasses.replace(value, **changes)
    kept = {name: getattr(value, name) for name in names if name not in changes}
    return type(value)(**kept, **changes)


if TYPE_CHECKING:
    from dataclasses import dataclass as dataclass  # noqa: PLC0414 - given on
    from dataclasses import field as field  # noqa: PLC0414 - given on
    from dataclasses import replace as replace  # noqa: PLC0414 - given on
else:
    dataclass, field, replace = _dataclass, _field, _replace
