"""`@frozen`: a frozen, slotted dataclass whose methods are made without compiling each of them.

`@dataclass(frozen=True, slots=True)` compiles six methods for every class, up to a millisecond each
time; a command that makes a chart defines two hundred such classes before it does any work. Here
only `__init__` is compiled, and the others are shared. In all else the two are alike: `fields`,
`replace`, `asdict`, `match`, `copy` and `pickle` work, assignment raises `FrozenInstanceError`.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import MISSING, Field, FrozenInstanceError, dataclass, field, fields
from operator import attrgetter
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
    """`__init__` with a parameter for each field, which sets its slot."""
    known: dict[str, Any] = {"MISSING": MISSING}
    parameters, lines = [], []
    for one in every:
        name = one.name
        known[f"set_{name}"] = getattr(made, name).__set__
        if not one.init:
            continue
        given = name
        if one.default_factory is not MISSING:
            known[f"new_{name}"] = one.default_factory
            parameters.append(f"{name}=MISSING")
            given = f"new_{name}() if {name} is MISSING else {name}"
        elif one.default is not MISSING:
            known[f"default_{name}"] = one.default
            parameters.append(f"{name}=default_{name}")
        else:
            parameters.append(name)
        lines.append(f" set_{name}(self, {given})")
    if hasattr(made, "__post_init__"):
        lines.append(" self.__post_init__()")
    head = f"def __init__({', '.join(['self', *parameters])}):\n"
    exec(head + ("\n".join(lines) or " pass"), known)
    made_init: Callable[..., None] = known["__init__"]
    made_init.__qualname__ = f"{made.__qualname__}.__init__"
    made_init.__annotations__ = {one.name: one.type for one in every if one.init}
    return made_init


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
