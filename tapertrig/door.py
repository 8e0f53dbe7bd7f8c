"""What may come in at a public function of the core, by the type of each parameter, and go out.

A value of another kind, NaN and infinity are refused in words; a result that is no finite number is
too. Inside, where one function calls the next, only dataclasses look again: they also come from
files.
"""

from __future__ import annotations

import functools
import inspect
import math
import sys
import threading
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import fields, is_dataclass
from numbers import Real
from types import FunctionType, ModuleType, NoneType, UnionType
from typing import Annotated, Any, NamedTuple, TypeVar, Union, get_args, get_origin

import numpy as np

from tapertrig.limits import LONGEST_LINE, finite, numbers, one_of, true_or_false

EXAMPLES = {
    "Angle": 'Angle.parse("26°55\'")',
    "Dial": "Dial(0.001, 0.1)",
    "Cone": "Cone(half_angle, 1.25)",
    "Lathe": 'LatheBook.load(path)["my lathe"]',
    "Rule": 'Rule("guard band")',
}
_LARGEST = sys.float_info.max

LetsIn = Callable[[Any], bool]
Refuse = Callable[[str, Any], Any]


class Door(NamedTuple):
    """Whether a value may come in, and how it is refused."""

    lets_in: LetsIn
    refuse: Refuse


def put_doors(module: ModuleType) -> None:
    """Give the public functions, methods and dataclasses of a module their doors."""
    for name, thing in list(vars(module).items()):
        if name.startswith("_") or getattr(thing, "__module__", None) != module.__name__:
            continue
        if isinstance(thing, FunctionType):
            setattr(module, name, _with_door(thing))
        elif isinstance(thing, type) and not issubclass(thing, (tuple, Exception)):
            _doors_of_a_class(thing)


def _doors_of_a_class(kind: type) -> None:
    for name, thing in list(vars(kind).items()):
        if name == "__init__" and isinstance(thing, FunctionType):
            setattr(kind, name, _with_door(thing, made=kind))
        elif name.startswith("_"):
            continue
        elif isinstance(thing, FunctionType):
            setattr(kind, name, _with_door(thing))
        elif isinstance(thing, (classmethod, staticmethod)):
            setattr(kind, name, type(thing)(_with_door(thing.__func__)))


class _Inside(threading.local):
    yes = False


_inside = _Inside()


def _with_door(formula: Any, made: type | None = None) -> Any:
    tests: list[LetsIn | None] | None = None
    in_order: list[tuple[str, Door]] = []
    by_name: dict[str, Door] = {}
    looks: dict[str, LetsIn | None] = {}

    def refuse(values: tuple[Any, ...], named: dict[str, Any]) -> None:
        told = [(name, door, one) for one, (name, door) in zip(values, in_order, strict=False)]
        told += [(name, by_name[name], one) for name, one in named.items() if name in by_name]
        name, door, value = next(one for one in told if not one[1].lets_in(one[2]))
        # A dataclass has words of its own for most values, and nothing comes of making one; but
        # not for what is no Angle where one is asked.
        try:
            if made is not None and not isinstance(door.refuse, functools.partial):
                formula(*values, **named)
        except Exception as own:
            if type(own) is ValueError and "; " in str(own):
                raise
        door.refuse(name.replace("_", " "), value)
        _must_be("something else")(name, value)

    @functools.wraps(formula)
    def answer(*values: Any, **named: Any) -> Any:
        nonlocal tests, in_order, by_name, looks
        within = _inside.yes
        if within and made is None:
            return _plain(formula(*values, **named))
        if tests is None:
            in_order, by_name = _doors(formula, made)
            tests = [None if door is _ANYTHING else door.lets_in for _, door in in_order]
            looks = {name: door.lets_in for name, door in by_name.items() if door is not _ANYTHING}
        for value, lets_in in zip(values, tests):  # noqa: B905 (too many is Python's own error)
            if lets_in is not None and not lets_in(value):
                refuse(values, named)
        for name, value in named.items():
            lets_in = looks.get(name)
            if lets_in is not None and not lets_in(value):
                refuse(values, named)
        _inside.yes = True
        try:
            found = _plain(formula(*values, **named))
            right = found - found == 0 if type(found) is float else _finite_result(found)
        except (ArithmeticError, RuntimeWarning):
            right = False
        except ValueError as error:
            if "broadcast" not in str(error):
                raise
            given = (*values, *named.values())
            shapes = " and ".join(str(one.shape) for one in given if isinstance(one, np.ndarray))
            raise ValueError(
                f"arrays of shape {shapes} do not go together; give arrays of one length, or "
                "single numbers"
            ) from None
        finally:
            _inside.yes = within
        if not right:
            raise ValueError(_too_far(formula, values, named))
        return found

    return answer


def _plain(found: Any) -> Any:
    """What a formula found, its single numbers as Python's own and never numpy's."""
    if isinstance(found, tuple) and hasattr(found, "_make"):
        return found._make(map(_plain, found))
    return found.item() if isinstance(found, np.generic) else found


def _finite_result(found: Any) -> bool:
    if found is None:
        return True
    if type(found) is tuple:
        return all(type(one) is not float or math.isfinite(one) for one in found)
    return not (isinstance(found, np.ndarray) and found.dtype.kind == "f") or bool(
        np.isfinite(found).all()
    )


def _too_far(formula: FunctionType, values: tuple[Any, ...], named: Mapping[str, Any]) -> str:
    given = [*inspect.signature(formula).parameters]
    told = dict(zip(given, values, strict=False)) | dict(named)
    said = ", ".join(f"{name.replace('_', ' ')} {shown(one)}" for name, one in told.items())
    return (
        f"{said[:400]}: these go past what can be worked out; give sizes that a lathe has, as 2.5"
    )


def shown(value: object) -> str:
    """A value as a message quotes it, cut where it is long."""
    text = repr(value)
    return text if len(text) <= LONGEST_LINE else text[:LONGEST_LINE] + "…"


def _must_be(what: str) -> Refuse:
    def refuse(name: str, value: Any) -> Any:
        raise ValueError(f"{name} is {shown(value)}; it must be {what}")

    return refuse


def _example(name: str) -> str:
    return "26°55′" if "angle" in name else "2.5"


def _number(value: Any) -> bool:
    if type(value) not in (float, int) and (
        isinstance(value, (bool, np.complexfloating)) or not isinstance(value, (Real, np.number))
    ):
        return False
    return bool(-_LARGEST <= value <= _LARGEST)


def _array(value: Any) -> bool:
    if not isinstance(value, (np.ndarray, list, tuple)):
        return False
    try:
        array = np.asarray(value)
    except ValueError:
        return False
    return array.dtype.kind in "iuf" and bool(np.isfinite(array).all())


def _refuse_numbers(name: str, value: Any) -> Any:
    numbers(name, value, _example(name))


_ANYTHING = Door(lambda value: True, _must_be("something else"))
_NONE = Door(lambda value: value is None, _must_be("left out"))
_ARRAY = Door(_array, _refuse_numbers)
_FLOAT = Door(_number, lambda name, value: finite(name, value, _example(name)))
_LOOSE = Door(lambda value: isinstance(value, Real) and not isinstance(value, bool), _FLOAT.refuse)
_PLAIN: dict[Any, Door] = {
    float: _FLOAT,
    int: Door(
        lambda value: type(value) is int or isinstance(value, np.integer),
        _must_be("a whole number, as 3"),
    ),
    bool: Door(lambda value: isinstance(value, (bool, np.bool_)), true_or_false),
    str: Door(lambda value: isinstance(value, str), _must_be("text")),
    NoneType: _NONE,
    None: _NONE,
}


def _doors(
    formula: FunctionType, made: type | None
) -> tuple[list[tuple[str, Door]], dict[str, Door]]:
    """The doors of a function's parameters in their order, and by name."""
    inner = inspect.unwrap(formula)
    names = _Names(vars(sys.modules[formula.__module__ if made is None else made.__module__]))
    also = {one.name: one.metadata["also"] for one in _fields(made) if "also" in one.metadata}
    in_order, by_name = [], {}
    for name, parameter in inspect.signature(inner).parameters.items():
        hint = parameter.annotation
        door = _ANYTHING
        if hint is not parameter.empty:
            door = _door(names.meant(hint))
        if name in also:
            door = Door(functools.partial(_either, door, also[name]), door.refuse)
        if (given := parameter.default) is not parameter.empty and not door.lets_in(given):
            door = Door(functools.partial(_or_left_out, door, given), door.refuse)
        if parameter.kind is parameter.VAR_POSITIONAL:
            in_order += [(name.replace("_", " "), door)] * 20
        elif parameter.kind is not parameter.VAR_KEYWORD:
            in_order.append((name.replace("_", " "), door))
            by_name[name] = door
    return in_order, by_name


def _fields(made: type | None) -> tuple[Any, ...]:
    return fields(made) if is_dataclass(made) else ()


def _either(door: Door, also: type, value: Any) -> bool:
    return door.lets_in(value) or isinstance(value, also)


def _or_left_out(door: Door, given: Any, value: Any) -> bool:
    return value is given or door.lets_in(value)


class _Names(dict[str, Any]):
    """What names in the types of a module mean, also those known only while types are checked."""

    def __init__(self, own: dict[str, Any]) -> None:
        super().__init__()
        self.own = own

    def __missing__(self, name: str) -> Any:
        if name in self.own:
            return self.own[name]
        for key, module in sys.modules.copy().items():
            if key.startswith("tapertrig.") and name in vars(module):
                return vars(module)[name]
        raise KeyError(name)

    def meant(self, hint: Any) -> Any:
        # A room nobody has entered yet: nothing of that kind can be at hand.
        try:
            return eval(hint, {}, self) if isinstance(hint, str) else hint
        except NameError:
            return object


def _door(hint: Any) -> Door:
    """The door for a type."""
    origin, parts = get_origin(hint), get_args(hint)
    if hint in _PLAIN:
        return _PLAIN[hint]
    if isinstance(hint, TypeVar):
        return _door(Union[hint.__constraints__]) if hint.__constraints__ else _ANYTHING
    if origin is Annotated:
        (allowed,) = hint.__metadata__
        if not isinstance(allowed, tuple):
            return _LOOSE
        return Door(
            lambda value: isinstance(value, str) and value in allowed,
            lambda name, value: one_of(name, value, allowed),
        )
    if origin in (Union, UnionType):
        doors = [_door(part) for part in parts]
        ways = [door.lets_in for door in doors]
        one, other = (*ways, ways[0])[:2]
        # An angle or a number is refused as a number, what may be left out as what it should be.
        words = next((one for one in doors if one.refuse is _refuse_numbers), None)
        words = words or (_FLOAT if _FLOAT in doors else None)
        words = words or next(door for door in doors if door is not _NONE)
        if len(ways) > 2:
            return Door(lambda value: any(way(value) for way in ways), words.refuse)
        if _NONE in doors:
            return Door(lambda value: value is None or one(value) or other(value), words.refuse)
        return Door(lambda value: one(value) or other(value), words.refuse)
    kind = origin or hint
    if kind is np.ndarray:
        return _ARRAY
    if kind in (tuple, list, Sequence, Iterable):
        return _row(kind, parts)
    if kind in (Mapping, dict):
        inner = [_door(part).lets_in for part in parts]
        return Door(
            lambda value: (
                isinstance(value, Mapping)
                and all(
                    one(it) for pair in value.items() for one, it in zip(inner, pair, strict=False)
                )
            ),
            _must_be("a table of names and what they stand for"),
        )
    if kind is Callable:
        return Door(callable, _must_be("a function"))
    if not isinstance(kind, type) or kind in (object, Any):
        return _ANYTHING
    if getattr(kind, "_is_protocol", False):
        named = [name for name in vars(kind) if not name.startswith("_")]
        return Door(
            lambda value: all(hasattr(value, name) for name in named),
            _must_be(f"what has {', '.join(named).replace('_', ' ')}, as job.plan()"),
        )
    return Door(lambda value: isinstance(value, kind), functools.partial(_wrong_kind, kind))


def _wrong_kind(kind: type, name: str, value: Any) -> Any:
    also = f", for example {EXAMPLES[kind.__name__]}" if kind.__name__ in EXAMPLES else ""
    article = "an" if kind.__name__[0] in "AEIOU" else "a"
    raise ValueError(f"{name} is {shown(value)}; give {article} {kind.__name__}{also}")


def _row(kind: Any, parts: tuple[Any, ...]) -> Door:
    each = [_door(part).lets_in for part in parts if part is not ...]
    if kind is tuple and parts[-1:] != (...,):
        return Door(
            lambda value: (
                isinstance(value, (tuple, list))
                and len(value) == len(each)
                and all(one(it) for one, it in zip(each, value, strict=True))
            ),
            _must_be(f"{len(each)} values in brackets"),
        )
    inside = each[0] if each else _ANYTHING.lets_in

    def lets_in(value: Any) -> bool:
        if isinstance(value, (str, bytes, Mapping)) or not isinstance(value, Iterable):
            return False
        # A stream can be gone through once only, and not here.
        return isinstance(value, Iterator) or all(map(inside, value))

    wanted = {float: "numbers", int: "whole numbers", str: "texts"}
    named = wanted.get(parts[0], "such values") if parts else "such values"
    return Door(lets_in, _must_be(f"{named} in brackets"))
