"""`@frozen` behaves as Python's own frozen, slotted dataclasses do."""

from __future__ import annotations

import copy
import pickle
from dataclasses import FrozenInstanceError, asdict, dataclass, field, fields, is_dataclass, replace
from functools import cached_property
from typing import Any

import pytest
from midneck.grammar.frozen import Caching, frozen, mutable


class Note:
    """A class body for both decorators."""

    name: str
    octave: int = 4
    tags: list[str] = field(default_factory=list)
    source: str = field(default="", compare=False, repr=False)
    length: int = field(init=False)

    def __post_init__(self) -> None:
        if self.octave < 0:
            raise ValueError("octave")
        object.__setattr__(self, "length", len(self.name))


def body() -> type[Any]:
    """The class body anew: a decorator changes it."""
    return type("Note", (), {k: v for k, v in vars(Note).items() if k != "__dict__"})


Ours: Any = frozen(body())
Theirs: Any = dataclass(frozen=True, slots=True)(body())
Pair: Any = frozen(type("Pair", (), {"__annotations__": {"one": "int"}, "__module__": __name__}))


@pytest.mark.parametrize("made", [("C",), ("Gb", 2), ("C", 4, ["x"], "here")])
def test_it_is_shown_taken_apart_and_changed_alike(made: tuple[Any, ...]) -> None:
    ours, theirs = Ours(*made), Theirs(*made)
    assert repr(ours) == repr(theirs)
    assert asdict(ours) == asdict(theirs)
    assert repr(replace(ours, name="Bbb")) == repr(replace(theirs, name="Bbb"))
    assert [one.name for one in fields(ours)] == [one.name for one in fields(theirs)]
    assert Ours.__match_args__ == Theirs.__match_args__
    assert set(Ours.__slots__) == set(Theirs.__slots__)
    assert is_dataclass(Ours)
    assert not hasattr(ours, "__dict__")


def test_fields_that_are_compared_decide() -> None:
    assert Ours("C", source="here") == Ours("C", source="there")
    assert Ours("C") != Ours("C", 5)
    assert Ours("C") != Theirs("C")
    assert hash(Ours("C", tags=())) == hash(Ours("C", tags=(), source="there"))
    assert len({Pair(1), Pair(1), Pair(2)}) == 2


def test_a_hash_that_is_kept_is_that_of_the_fields_and_is_not_pickled() -> None:
    kept: Any = frozen(hash_once=True)(body())
    one = kept("C", tags=("x",))
    assert hash(one) == hash(Ours("C", tags=("x",))) == hash(one)
    assert [field.name for field in fields(one)] == [field.name for field in fields(Ours)]
    assert one.__getstate__() == Ours("C", tags=("x",)).__getstate__()
    assert hash(replace(one, name="D")) == hash(Ours("D", tags=("x",)))
    assert one == copy.copy(one) != kept("D", tags=("x",))


def test_each_object_has_its_own_list() -> None:
    first, second = Ours("C"), Ours("C")
    first.tags.append("x")
    assert second.tags == []


def test_nothing_is_assigned_or_deleted() -> None:
    note = Ours("C")
    with pytest.raises(FrozenInstanceError, match="cannot assign to field 'name'"):
        note.name = "D"
    with pytest.raises(FrozenInstanceError, match="cannot delete field 'name'"):
        del note.name
    assert note.name == "C"


def test_the_constructor_checks_and_names_what_is_missing() -> None:
    with pytest.raises(ValueError, match="octave"):
        Ours("C", -1)
    with pytest.raises(TypeError, match=r"Note.__init__\(\) missing 1 required .* 'name'"):
        Ours()
    with pytest.raises(TypeError, match="unexpected keyword argument 'length'"):
        Ours("C", length=3)


def test_copies_and_pickles_are_equal() -> None:
    pair = Pair(7)
    assert copy.copy(pair) == copy.deepcopy(pair) == pickle.loads(pickle.dumps(pair)) == pair


def test_methods_of_the_class_are_kept() -> None:
    @frozen
    class Named:
        name: str

        def __repr__(self) -> str:
            return f"<{self.name}>"

        def __eq__(self, other: object) -> bool:
            return self is other

        def __hash__(self) -> int:
            return 5

    one = Named("C")
    assert (repr(one), hash(one)) == ("<C>", 5)
    assert one != Named("C")


def test_a_field_without_a_default_cannot_follow_one_with_a_default() -> None:
    shape = {"__annotations__": {"one": "int", "two": "int"}, "one": 1, "__module__": __name__}
    for decorator in (frozen, dataclass(frozen=True, slots=True)):
        with pytest.raises(TypeError, match="two"):
            decorator(type("Late", (), dict(shape)))


def test_classes_with_as_many_fields_have_names_of_their_own() -> None:
    known = {"__module__": __name__}
    one = frozen(type("One", (), {"__annotations__": {"low": "int", "high": "int"}, **known}))
    other = frozen(type("Other", (), {"__annotations__": {"x": "int", "y": "int"}, **known}))
    assert repr(one(low=1, high=2)) == "One(low=1, high=2)"
    assert repr(other(y=1, x=2)) == "Other(x=2, y=1)"
    with pytest.raises(TypeError, match=r"Other.__init__\(\) got an unexpected .* 'low'"):
        other(low=1, high=2)


def test_without_eq_an_object_is_equal_to_itself_alone() -> None:
    shape = {"__annotations__": {"one": "int"}, "__module__": __name__}
    apart: Any = frozen(eq=False)(type("Apart", (), shape))
    one, other = apart(1), apart(1)
    assert one == one
    assert one != other
    assert len({one, other}) == 2
    with pytest.raises(FrozenInstanceError, match="cannot assign to field 'one'"):
        one.one = 2


def test_with_order_objects_are_sorted_by_their_compared_fields() -> None:
    shape: dict[str, Any] = {
        "__annotations__": {"major": "int", "minor": "int", "note": "str"},
        "__module__": __name__,
        "note": field(default="", compare=False),
    }
    ours: Any = frozen(order=True)(type("Version", (), dict(shape)))
    theirs: Any = dataclass(frozen=True, slots=True, order=True)(type("Version", (), dict(shape)))
    values = [(1, 2), (0, 9), (1, 2, "x"), (2, 0)]
    for one in values:
        for other in values:
            for name in ("__lt__", "__le__", "__gt__", "__ge__", "__eq__"):
                compare = getattr(ours(*one), name), getattr(theirs(*one), name)
                assert compare[0](ours(*other)) == compare[1](theirs(*other))
    with pytest.raises(TypeError, match="not supported"):
        ours(1, 2) < 3  # noqa: B015


def test_a_mutable_class_has_slots_that_can_be_assigned() -> None:
    draft: Any = mutable(body())
    one = draft("C")
    one.name = "D"
    assert (one.name, one.length, repr(one)) == ("D", 1, repr(Ours("D")))
    assert one != draft("D")
    with pytest.raises(AttributeError, match="other"):
        one.other = 1


def test_a_frozen_class_with_a_dictionary_caches_properties() -> None:
    class Squared(Caching):
        side: int

        @cached_property
        def area(self) -> int:
            return self.side**2

    Squared.__annotations__ = {"side": "int"}
    square: Any = frozen(Squared)(3)  # type: ignore[call-arg]
    assert (square.area, square.__dict__) == (9, {"area": 9})
