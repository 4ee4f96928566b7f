"""Frozen dataclasses that cost little to import.

`@record` makes what `@dataclass(frozen=True, slots=True)` makes, and everything in `dataclasses` works on it: `field`, `fields`, `replace`,
`is_dataclass`. Only the time of the work differs. The standard decorator compiles six methods of every class at import (about 0.5 ms a
class before Python 3.13), and between a spec and its judgement stand over a hundred classes. Here equality, hash and print are closures
over the names of the fields, all classes share the refusal to change, and `__init__` is compiled when the class is first called.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field, fields
from operator import attrgetter
from types import MemberDescriptorType
from typing import Any, TypeVar, dataclass_transform, overload

T = TypeVar("T")


@overload
def record(cls: type[T], /) -> type[T]: ...


@overload
def record(*, slots: bool = True, kw_only: bool = False) -> Callable[[type[T]], type[T]]: ...


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def record(cls: type[T] | None = None, /, *, slots: bool = True, kw_only: bool = False) -> type[T] | Callable[[type[T]], type[T]]:
    """A frozen dataclass. slots=False: for a class with cached properties. A method the class writes itself is kept."""
    if cls is None:
        return lambda found: _record(found, slots, kw_only)
    return _record(cls, slots, kw_only)


def _record(cls: type[T], slots: bool, kw_only: bool) -> type[T]:
    own = set(cls.__dict__)
    # dataclass() does the fields, their defaults, their order and the slots; it writes no method
    made: Any = dataclass(init=False, repr=False, eq=False, slots=slots, kw_only=kw_only)(cls)
    for name, method in _methods(made).items():
        if name not in own:
            setattr(made, name, method)
    return made


def _methods(made: type) -> dict[str, Callable[..., Any]]:
    every: tuple[Field[Any], ...] = fields(made)
    shown = tuple(f.name for f in every if f.repr)
    values = _getter(tuple(f.name for f in every if f.compare))

    def __init__(self: Any, *args: Any, **named: Any) -> None:
        made.__init__ = _initialiser(made, every)
        made.__init__(self, *args, **named)

    def __eq__(self: Any, other: object) -> Any:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    def __hash__(self: Any) -> int:
        return hash(values(self))

    def __repr__(self: Any) -> str:
        return f"{made.__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in shown)})"

    return {
        "__init__": __init__,
        "__eq__": __eq__,
        "__hash__": __hash__,
        "__repr__": __repr__,
        "__setattr__": _refuse_to_set,
        "__delattr__": _refuse_to_delete,
        "__getstate__": _state,
        "__setstate__": _restore,
    }


def _getter(names: tuple[str, ...]) -> Callable[[Any], tuple[Any, ...]]:
    """Object -> the values of its fields."""
    if len(names) > 1:
        return attrgetter(*names)
    return lambda found: tuple(getattr(found, name) for name in names)


def _initialiser(made: type, every: tuple[Field[Any], ...]) -> Callable[..., None]:
    """The __init__ of a class, compiled; it sets slots directly."""
    space: dict[str, Any] = {"MISSING": MISSING, "put": object.__setattr__}
    lines = []
    for f in every:
        value = f.name
        if f.default_factory is not MISSING:
            space[f"make_{f.name}"] = f.default_factory
            value = f"make_{f.name}() if {f.name} is MISSING else {f.name}"
        elif f.default is not MISSING:
            space[f"default_{f.name}"] = f.default
        slot = getattr(made, f.name, None)
        if isinstance(slot, MemberDescriptorType):
            space[f"set_{f.name}"] = slot.__set__
            lines.append(f" set_{f.name}(self, {value})")
        else:
            lines.append(f" put(self, {f.name!r}, {value})")
    placed = [_parameter(f) for f in every if not f.kw_only]
    named = [_parameter(f) for f in every if f.kw_only]
    head = ", ".join(["self", *placed, *(["*"] if named else []), *named])
    exec(f"def __init__({head}):\n" + "\n".join(lines or [" pass"]), space)
    found: Callable[..., None] = space["__init__"]
    found.__qualname__ = f"{made.__qualname__}.__init__"
    return found


def _parameter(f: Field[Any]) -> str:
    if f.default_factory is not MISSING:
        return f"{f.name}=MISSING"
    return f.name if f.default is MISSING else f"{f.name}=default_{f.name}"


def _refuse_to_set(self: Any, name: str, value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(self: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> dict[str, Any]:
    return {f.name: getattr(self, f.name) for f in fields(self)}


def _restore(self: Any, state: dict[str, Any]) -> None:
    for name, value in state.items():
        object.__setattr__(self, name, value)
