"""`@frozen` and `@mutable`: slotted dataclasses whose methods are made without compiling each.

`@dataclass(frozen=True, slots=True)` compiles six methods for every class, up to a millisecond each
time; a command that makes a chart defines two hundred such classes before it does any work. Here
`__init__` is compiled once for all classes with as many fields, and the other methods are shared.
In all else the two are alike: `fields`, `replace`, `asdict`, `match`, `copy` and `pickle` work,
assignment raises `FrozenInstanceError`.
"""

from __future__ import annotations

import operator
from collections.abc import Callable, Iterable
from dataclasses import _FIELD, MISSING, Field, FrozenInstanceError, field, fields  # type: ignore[attr-defined]
from functools import cache
from types import CodeType, FunctionType
from typing import Any, Final, TypeAlias, TypeVar, dataclass_transform, overload

T = TypeVar("T")
Methods: TypeAlias = dict[str, Callable[..., object]]


class Caching:
    """The base of frozen classes with cached properties, which need a `__dict__`."""


@overload
@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(cls: type[T], /) -> type[T]: ...


@overload
@dataclass_transform(frozen_default=True, field_specifiers=(field,))
def frozen(
    *, eq: bool = True, order: bool = False, hash_once: bool = False
) -> Callable[[type[T]], type[T]]: ...


def frozen(
    cls: type[T] | None = None, /, *, eq: bool = True, order: bool = False, hash_once: bool = False
) -> Any:
    """Make a class a frozen dataclass with slots, compared, hashed and shown by its fields.

    `field` takes `default`, `default_factory`, `init`, `compare` and `repr`. Methods of these names
    that the class defines itself are kept, and `__post_init__` is called. Without `eq` an object is
    equal to itself alone; with `order` objects are also less or greater. With `hash_once` an object
    keeps its hash: for values with many parts that are keys again and again.
    """
    if cls is None:
        return lambda one: _frozen(one, eq, order, hash_once)
    return _frozen(cls, eq, order, hash_once)


@dataclass_transform(eq_default=False, field_specifiers=(field,))
def mutable(cls: type[T]) -> type[T]:
    """Make a class a dataclass with slots that can be assigned; equal to itself alone."""
    return _slotted(cls, _fields_of(cls), {})


def _frozen(cls: type[T], eq: bool, order: bool, hash_once: bool) -> type[T]:
    known = _fields_of(cls)
    methods: Methods = {"__setattr__": _refuse_to_assign, "__delattr__": _refuse_to_delete}
    if eq:
        compared = _getter([name for name, one in known.items() if one.compare])
        methods["__eq__"] = _equality(compared)
        for name in ("lt", "le", "gt", "ge") if order else ():
            methods[f"__{name}__"] = _comparison(getattr(operator, name), compared)
        methods["__hash__"] = (
            _hashed_once(compared) if hash_once else lambda self: hash(compared(self))
        )
    return _slotted(cls, known, methods, ("_hash",) if hash_once else ())


def _hashed_once(compared: Callable[[object], object]) -> Callable[[Any], int]:
    """The hash of an object, kept in its slot `_hash`, which is no part of its state: another
    process has other hashes."""

    def method(self: Any) -> int:
        try:
            known: int = self._hash
        except AttributeError:
            known = hash(compared(self))
            object.__setattr__(self, "_hash", known)
        return known

    return method


def _equality(compared: Callable[[object], object]) -> Callable[[object, object], bool]:
    """The method that tells whether an object is of the same class and equal in `compared`."""

    def equal(self: object, other: object) -> bool:
        same = other.__class__ is self.__class__
        return bool(compared(self) == compared(other)) if same else NotImplemented

    return equal


def _comparison(
    compare: Callable[[Any, Any], Any], compared: Callable[[object], object]
) -> Callable[[object, object], bool]:
    """The method that orders two objects of one class by what `compared` gives of them."""

    def method(self: object, other: object) -> bool:
        same = other.__class__ is self.__class__
        return bool(compare(compared(self), compared(other))) if same else NotImplemented

    return method


def _fields_of(cls: type) -> dict[str, Field[Any]]:
    """The fields of a class by name, those of its bases first, as `dataclasses` describes them.

    Annotations are texts, as everywhere here, and neither `ClassVar` nor `KW_ONLY`.
    """
    known: dict[str, Field[Any]] = {}
    for base in cls.__mro__[:0:-1]:
        known |= getattr(base, "__dataclass_fields__", {})
    for name, annotation in cls.__annotations__.items():
        given = vars(cls).get(name, MISSING)
        one: Any = given if isinstance(given, Field) else field(default=given)
        one.name, one.type, one.kw_only, one._field_type = name, annotation, False, _FIELD
        known[name] = one
    return known


def _slotted(
    cls: type[T], known: dict[str, Field[Any]], methods: Methods, more: tuple[str, ...] = ()
) -> type[T]:
    """The class anew with slots for its own fields and `more`, and with the methods that it
    lacks."""
    body = {**_SHARED, **methods, **vars(cls)}
    for name in (*cls.__annotations__, "__dict__", "__weakref__"):
        body.pop(name, None)
    body["__slots__"] = (*cls.__annotations__, *more)
    body["__match_args__"] = tuple(name for name, one in known.items() if one.init)
    body["__dataclass_fields__"] = known
    metaclass: Any = type(cls)
    made = metaclass(cls.__name__, cls.__bases__, body)
    made.__init__ = _initializer(made, known.values())
    return made  # type: ignore[no-any-return]


def _getter(names: list[str]) -> Callable[[object], object]:
    """What gives the attributes of these names: a tuple, or one attribute as it is."""
    return operator.attrgetter(*names) if names else lambda _: ()


def _initializer(made: Any, every: Iterable[Field[Any]]) -> Callable[..., None]:
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


#: The methods of all classes.
_SHARED: Final[Methods] = {"__repr__": _shown, "__getstate__": _state, "__setstate__": _restore}
