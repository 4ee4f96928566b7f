"""Frozen dataclasses that cost little to import.

`@record` makes what `@dataclass(frozen=True, slots=True)` makes, and everything in `dataclasses` works on it: `field`, `fields`, `replace`,
`is_dataclass`. Only the time of the work differs. The standard decorator compiles six methods of every class at import (about 0.5 ms a
class before Python 3.13), and between a spec and its judgement stand over a hundred classes. Here equality, hash and print are closures
over the names of the fields, all classes share the refusal to change, `__init__` is compiled only for classes that are called often
(compiling one costs as much as forty slow calls, and half the classes of a run are called less), and the Field objects are made when
somebody asks for them. `replace` is the one of `dataclasses` without that asking.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import MISSING, Field, FrozenInstanceError, field, make_dataclass
from dataclasses import replace as standard_replace
from operator import attrgetter
from types import MemberDescriptorType
from typing import Any, TypeVar, dataclass_transform, overload

T = TypeVar("T")

SLOW_CALLS = 24
"""So often a class is made by the general way before its `__init__` is compiled."""


@overload
def record(cls: type[T], /) -> type[T]: ...


@overload
def record(*, slots: bool = True, kw_only: bool = False) -> Callable[[type[T]], type[T]]: ...


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def record(cls: type[T] | None = None, /, *, slots: bool = True, kw_only: bool = False) -> type[T] | Callable[[type[T]], type[T]]:
    """A frozen dataclass of every annotated name. slots=False: for a class with cached properties. A method the class writes is kept."""
    if cls is None:
        return lambda found: _record(found, slots, kw_only)
    return _record(cls, slots, kw_only)


def _record(cls: Any, slots: bool, kw_only: bool) -> Any:
    inherited: Mapping[str, tuple[Any, Any, bool]] = getattr(cls, "__record_fields__", {})
    space = dict(cls.__dict__)
    own = tuple(space.get("__annotations__", ()))
    # name -> (annotation, Field or default or MISSING, by keyword only)
    every = dict(inherited) | {name: (space["__annotations__"][name], space.get(name, MISSING), kw_only) for name in own}
    methods = _methods(every)
    if slots:
        # a slot and a value of the class cannot have the same name
        for name in (*own, "__dict__", "__weakref__"):
            space.pop(name, None)
        made = type(cls)(cls.__name__, cls.__bases__, {**methods, **space, "__slots__": own})
        made.__qualname__ = cls.__qualname__
    else:
        made = cls
        for name in own:
            if isinstance(space.get(name), Field):
                delattr(made, name)
        for name, method in methods.items():
            if name not in space:
                setattr(made, name, method)
    return made


def _methods(every: Mapping[str, tuple[Any, Any, bool]]) -> dict[str, Any]:
    values = _getter(tuple(name for name, (_, value, _) in every.items() if not isinstance(value, Field) or value.compare))
    places = tuple(name for name, (_, _, kw_only) in every.items() if not kw_only)
    left = SLOW_CALLS

    def __init__(self: Any, *args: Any, **named: Any) -> None:
        nonlocal left
        left -= 1
        if left >= 0 and _filled(self, every, places, args, named):
            return
        made = next(c for c in type(self).__mro__ if c.__dict__.get("__init__") is __init__)
        made.__init__ = _initialiser(made, every)
        made.__init__(self, *args, **named)

    def __eq__(self: Any, other: object) -> Any:
        return values(self) == values(other) if other.__class__ is self.__class__ else NotImplemented

    def __hash__(self: Any) -> int:
        return hash(values(self))

    def __repr__(self: Any) -> str:
        return f"{type(self).__qualname__}({', '.join(f'{name}={getattr(self, name)!r}' for name in every)})"

    return {
        "__record_fields__": every,
        "__dataclass_fields__": _Fields(),
        "__match_args__": places,
        "__init__": __init__,
        "__eq__": __eq__,
        "__hash__": __hash__,
        "__repr__": __repr__,
        "__setattr__": _refuse_to_set,
        "__delattr__": _refuse_to_delete,
        "__getstate__": _state,
        "__setstate__": _restore,
    }


class _Fields:
    """What `dataclasses` looks for on a class, made at the first look."""

    def __get__(self, found: object, cls: Any) -> Mapping[str, Field[Any]]:
        made = next(c for c in cls.__mro__ if c.__dict__.get("__dataclass_fields__") is self)
        rows = [(name, kind, _field(value, kw_only)) for name, (kind, value, kw_only) in made.__record_fields__.items()]
        # without a docstring the decorator would write one from the signature, which takes a tokenizer
        twin = make_dataclass(made.__name__, rows, namespace={"__doc__": made.__doc__ or " "}, init=False, repr=False, eq=False)
        made.__dataclass_fields__ = twin.__dataclass_fields__  # type: ignore[attr-defined]
        return made.__dataclass_fields__


def _field(value: Any, kw_only: bool) -> Any:
    if not isinstance(value, Field):
        return field(default=value, kw_only=kw_only)
    return field(default=value.default, default_factory=value.default_factory, compare=value.compare, kw_only=kw_only)  # type: ignore[call-overload]


def _getter(names: tuple[str, ...]) -> Callable[[Any], tuple[Any, ...]]:
    """Object -> the values of its fields."""
    if len(names) > 1:
        return attrgetter(*names)
    return lambda found: tuple(getattr(found, name) for name in names)


def _filled(
    self: Any, every: Mapping[str, tuple[Any, Any, bool]], places: tuple[str, ...], args: tuple[Any, ...], named: dict[str, Any]
) -> bool:
    """Sets the fields. False, and nothing set, where the arguments do not fit: the compiled `__init__` then says what is wrong."""
    if len(args) > len(places):
        return False
    values = dict(zip(places, args, strict=False))
    if named:
        if not named.keys() <= every.keys() or not values.keys().isdisjoint(named):
            return False
        values.update(named)
    for name, (_, value, _) in every.items():
        if name in values:
            continue
        if isinstance(value, Field):
            if value.default_factory is not MISSING:
                values[name] = value.default_factory()
                continue
            value = value.default
        if value is MISSING:
            return False
        values[name] = value
    put = object.__setattr__
    for name in every:
        put(self, name, values[name])
    return True


def replace(found: T, /, **changes: Any) -> T:
    """A copy with other values of some fields, as `dataclasses.replace` makes it. Raises TypeError for a name that is no field."""
    every = getattr(type(found), "__record_fields__", None)
    if every is None:
        return standard_replace(found, **changes)  # type: ignore[type-var]
    return type(found)(**{**{name: getattr(found, name) for name in every if name not in changes}, **changes})


def _initialiser(made: type, every: Mapping[str, tuple[Any, Any, bool]]) -> Callable[..., None]:
    """The __init__ of a class, compiled; it sets slots directly."""
    space: dict[str, Any] = {"MISSING": MISSING, "put": object.__setattr__}
    lines: list[str] = []
    placed, named = ["self"], []
    for name, (_, value, kw_only) in every.items():
        factory = value.default_factory if isinstance(value, Field) else MISSING
        default = value.default if isinstance(value, Field) else value
        given, parameter = name, name
        if factory is not MISSING:
            space[f"make_{name}"] = factory
            given, parameter = f"make_{name}() if {name} is MISSING else {name}", f"{name}=MISSING"
        elif default is not MISSING:
            space[f"default_{name}"] = default
            parameter = f"{name}=default_{name}"
        (named if kw_only else placed).append(parameter)
        slot = getattr(made, name, None)
        if isinstance(slot, MemberDescriptorType):
            space[f"set_{name}"] = slot.__set__
            lines.append(f" set_{name}(self, {given})")
        else:
            lines.append(f" put(self, {name!r}, {given})")
    head = ", ".join([*placed, *(["*", *named] if named else [])])
    exec(f"def __init__({head}):\n" + "\n".join(lines or [" pass"]), space)
    found: Callable[..., None] = space["__init__"]
    found.__qualname__ = f"{made.__qualname__}.__init__"
    return found


def _refuse_to_set(self: Any, name: str, value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(self: Any, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> dict[str, Any]:
    return {name: getattr(self, name) for name in self.__record_fields__}


def _restore(self: Any, state: dict[str, Any]) -> None:
    for name, value in state.items():
        object.__setattr__(self, name, value)
