"""`@frozen`: a frozen, slotted dataclass whose methods are made without compiling each of them.

`@dataclass(frozen=True, slots=True)` compiles six methods for every class, up to a millisecond each
time; a command that makes a chart defines two hundred such classes before it does any work. Here
`__init__` is compiled once for all classes with as many fields, and the other methods are shared.
In all else the two are alike: `fields`, `replace`, `asdict`, `match`, `copy` and `pickle` work,
assignment raises `FrozenInstanceError`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field, fields
from functools import cache
from operator import attrgetter
from types import CodeType, FunctionType
from typing import Any, TypeVar, dataclass_transform

T = TypeVar("T")


@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(cls: type[T]) -> type[T]:
    """Make a class a frozen dataclass with slots, compared, hashed and shown by its fields.

    `field` takes `default`, `default_factory`, `init`, `compare` and `repr`. Methods of these names
    that the class defines itself are kept, and `__post_init__` is called.
    """
    own = set(vars(cls))
    made: Any = dataclass(init=False, repr=False, eq=False, slots=True)(cls)
    every = fields(made)
    compared = _getter([one.name for one in every if one.compare])

    def equal(self: object, other: object) -> bool:
        same = other.__class__ is self.__class__
        return bool(compared(self) == compared(other)) if same else NotImplemented

    def hashed(self: object) -> int:
        return hash(compared(self))

    made.__init__ = _initializer(made, every)
    made.__setattr__, made.__delattr__ = _refuse_to_assign, _refuse_to_delete
    shared = {"__eq__": equal, "__hash__": hashed, "__repr__": _shown}
    for name, method in {**shared, "__getstate__": _state, "__setstate__": _restore}.items():
        if name not in own:
            setattr(made, name, method)
    return made  # type: ignore[no-any-return]


def _getter(names: list[str]) -> Callable[[object], object]:
    """What gives the attributes of these names: a tuple, or one attribute as it is."""
    return attrgetter(*names) if names else lambda _: ()


def _initializer(made: Any, every: tuple[Field[Any], ...]) -> Callable[..., None]:
    """`__init__` with a parameter for each field, which sets its slot.

    Raises TypeError for a field without a default behind one that has one.
    """
    given = [one for one in every if one.init]
    known: dict[str, Any] = {"MISSING": MISSING}
    defaults: list[Any] = []
    for place, one in enumerate(given):
        known[f"set_{place}"] = getattr(made, one.name).__set__
        known[f"new_{place}"] = one.default_factory
        if one.default_factory is not MISSING or one.default is not MISSING:
            defaults.append(one.default)  # MISSING where a factory makes it
        elif defaults:
            raise TypeError(f"field {one.name!r} without a default follows one with a default")
    factories = tuple(one.default_factory is not MISSING for one in given)
    code = _code_of(factories, hasattr(made, "__post_init__")).replace(
        co_varnames=("self", *(one.name for one in given)),
        co_qualname=f"{made.__qualname__}.__init__",
    )
    made_init = FunctionType(code, known, "__init__", tuple(defaults))
    made_init.__annotations__ = {one.name: one.type for one in given}
    return made_init


@cache
def _code_of(factories: tuple[bool, ...], calls_post: bool) -> CodeType:
    """The code of an `__init__` with so many parameters, which a class gives their names.

    It is compiled once for all classes that are alike in this; `factories` tells which parameters
    have a factory for their default.
    """
    names = [f"value_{place}" for place in range(len(factories))]
    lines = [
        f" set_{place}(self, new_{place}() if {name} is MISSING else {name})"
        if factory
        else f" set_{place}(self, {name})"
        for place, (name, factory) in enumerate(zip(names, factories, strict=True))
    ]
    if calls_post:
        lines.append(" self.__post_init__()")
    made: dict[str, Any] = {}
    exec(f"def __init__({', '.join(['self', *names])}):\n" + ("\n".join(lines) or " pass"), made)
    code: CodeType = made["__init__"].__code__
    return code


def _shown(self: Any) -> str:
    shown = (f"{one.name}={getattr(self, one.name)!r}" for one in fields(self) if one.repr)
    return f"{type(self).__qualname__}({', '.join(shown)})"


def _refuse_to_assign(self: object, name: str, value: object) -> None:
    raise FrozenInstanceError(f"cannot assign to field {name!r}")


def _refuse_to_delete(self: object, name: str) -> None:
    raise FrozenInstanceError(f"cannot delete field {name!r}")


def _state(self: Any) -> list[object]:
    return [getattr(self, one.name) for one in fields(self)]


def _restore(self: Any, state: list[object]) -> None:
    for one, part in zip(fields(self), state, strict=True):
        object.__setattr__(self, one.name, part)
