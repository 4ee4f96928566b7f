"""`@record` does what `@dataclass(frozen=True, slots=True)` does: the same class made both ways behaves the same."""

from __future__ import annotations

import copy
import pickle
from collections.abc import Mapping
from dataclasses import FrozenInstanceError, dataclass, field, fields, is_dataclass, replace
from functools import cached_property
from typing import Any

import pytest

from humdinger.records import SLOW_CALLS, record
from humdinger.records import replace as our_replace


@record
class Point:
    """Two numbers."""

    x: float
    y: float = 0.5
    tags: Mapping[str, int] = field(default_factory=dict, compare=False)


@dataclass(frozen=True, slots=True)
class Standard:
    """The same, made by the standard decorator."""

    x: float
    y: float = 0.5
    tags: Mapping[str, int] = field(default_factory=dict, compare=False)


@record(kw_only=True)
class Part:
    """A base."""

    ref: str
    note: str = ""


@record(kw_only=True)
class Resistor(Part):
    """Inherits two fields."""

    ohms: float


@record(slots=False)
class Square:
    """Has a cached property."""

    side: float

    @cached_property
    def area(self) -> float:
        return self.side**2


@record
class Named:
    """Writes a method itself."""

    name: str

    def __repr__(self) -> str:
        return self.name


def outcome(job: Any) -> Any:
    """What a call gives, or the kind of exception it raises."""
    try:
        return job()
    except Exception as error:
        return type(error)


@pytest.mark.parametrize("arguments", [(1.0,), (1.0, 2.0), (1.0, 2.0, {"a": 1}), (), (1, 2, {}, 4)])
def test_calls_the_same(arguments: tuple[Any, ...]) -> None:
    ours, theirs = (outcome(lambda kind=kind: kind(*arguments)) for kind in (Point, Standard))
    if isinstance(ours, type):
        assert ours is theirs is TypeError
    else:
        assert repr(ours) == repr(theirs).replace("Standard", "Point")
        assert hash(ours) == hash(theirs)


def test_a_default_factory_makes_a_new_value_each_time() -> None:
    assert Point(1).tags is not Point(1).tags


def test_equality_is_of_kind_and_compared_fields() -> None:
    assert Point(1, 2, {"a": 1}) == Point(1.0, 2.0)
    assert Point(1, 2) != Point(1, 3)
    assert Point(1) != Standard(1)
    nan = float("nan")
    assert (Point(nan, nan) == Point(nan, nan)) is (Standard(nan, nan) == Standard(nan, nan))
    assert len({Point(1), Point(1), Point(2)}) == 2


def test_nothing_can_be_changed() -> None:
    point = Point(1.0)
    with pytest.raises(FrozenInstanceError):
        point.x = 2.0  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        del point.x  # type: ignore[misc]
    with pytest.raises(FrozenInstanceError):
        point.other = 1  # type: ignore[attr-defined]
    assert not hasattr(point, "__dict__")


def test_the_dataclasses_module_works_on_it() -> None:
    assert is_dataclass(Point)
    assert [f.name for f in fields(Resistor)] == [f.name for f in fields(Resistor(ref="R1", ohms=1.0))] == ["ref", "note", "ohms"]
    assert replace(Point(1.0), y=3.0) == Point(1.0, 3.0)
    match Point(1.0, 2.0):
        case Point(x, y):
            assert (x, y) == (1.0, 2.0)


def test_fields_are_inherited_and_by_keyword_only() -> None:
    found = Resistor(ref="R1", ohms=4.7e3)
    assert (found.ref, found.note, found.ohms) == ("R1", "", 4.7e3)
    with pytest.raises(TypeError):
        Resistor("R1", 4.7e3)  # type: ignore[misc]
    assert isinstance(found, Part)


def test_cached_properties_and_own_methods() -> None:
    assert Square(3.0).area == 9.0
    with pytest.raises(FrozenInstanceError):
        Square(3.0).side = 1.0  # type: ignore[misc]
    assert repr(Named("x")) == "x"


def test_copies_and_pickles() -> None:
    point = Point(1.0, 2.0, {"a": 1})
    for made in (copy.copy(point), copy.deepcopy(point), pickle.loads(pickle.dumps(point))):
        assert made == point
        assert made.tags == point.tags


@record
class Often:
    """Made more often than the general way is kept."""

    x: float
    y: float = 0.5
    tags: Mapping[str, int] = field(default_factory=dict, compare=False)


def test_the_compiled_way_makes_the_same() -> None:
    """The first calls fill the fields one by one; then `__init__` is compiled. Both ways the same object, and the same refusals."""
    slow = Often.__init__
    made = [Often(1.0, y=2.0) for _ in range(SLOW_CALLS + 2)]
    assert Often.__init__ is not slow
    assert {repr(one) for one in made} == {"Often(x=1.0, y=2.0, tags={})"}
    assert len(set(made)) == 1
    assert made[-1].tags is not made[-2].tags
    for arguments in [(), (1, 2, {}, 4)]:
        assert outcome(lambda given=arguments: Often(*given)) is TypeError
    assert outcome(lambda: Often(1.0, z=2.0)) is TypeError  # type: ignore[call-arg]


@pytest.mark.parametrize("found", [Point(1.0, 2.0, {"a": 1}), Resistor(ref="R1", ohms=10.0), Standard(1.0)], ids=repr)
def test_our_replace_is_the_standard_one(found: Any) -> None:
    name = fields(found)[0].name
    assert our_replace(found, **{name: 3}) == replace(found, **{name: 3})
    assert our_replace(found) == found
    assert our_replace(found) is not found
    assert outcome(lambda: our_replace(found, nothing=1)) is outcome(lambda: replace(found, nothing=1)) is TypeError
