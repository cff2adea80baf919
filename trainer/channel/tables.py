"""Channels as plain tables and back: for files, for stored records, and to change one value by its path.

A table names the kind of its law and of its sensor; what has its usual value may be left out.
"""

from __future__ import annotations

import math
import types
from collections.abc import Mapping
from copy import deepcopy
from dataclasses import MISSING, fields, is_dataclass
from functools import cache
from typing import Any, Literal, TypeVar, Union, get_args, get_origin, get_type_hints

from trainer.calculations.alarms import Alarm
from trainer.channel.laws import EmfLaw, Law, ResistanceLaw, StraightLaw, ThermistorLaw
from trainer.channel.sensors import ResistanceSensor, Sensor, SignalSensor, Thermocouple
from trainer.channel.simulation import Channel
from trainer.errors import TrainerError

Table = dict[str, Any]
T = TypeVar("T")
KINDS: dict[type, dict[str, type]] = {
    Law: {"resistance": ResistanceLaw, "thermistor": ThermistorLaw, "thermocouple": EmfLaw, "straight": StraightLaw},
    Sensor: {"resistance": ResistanceSensor, "thermocouple": Thermocouple, "signal": SignalSensor},
}
NAMES = {kind: name for kinds in KINDS.values() for name, kind in kinds.items()}
INFINITE = "infinite"
WORKED_OUT: dict[type, set[str]] = {Alarm: {"on_break"}}  # settled by the relay that the alarm belongs to


class TableFault(TrainerError):
    """A table that describes no channel: where it is wrong, and what would be right there."""


def to_table(made: Any) -> Any:
    """A channel, or a part of one, as tables, lists, numbers, words and truths."""
    if isinstance(made, tuple):
        return [to_table(each) for each in made]
    if not is_dataclass(made) or isinstance(made, type):
        return made
    table: Table = {"kind": NAMES[type(made)]} if type(made) in NAMES else {}
    for field in _fields(type(made)):
        value = getattr(made, field.name)
        if value is not None and not (field.default is not MISSING and _same(value, field.default)):
            table[field.name] = to_table(value)
    return table


def _same(one: Any, other: Any) -> bool:
    return bool(one == other) or (isinstance(one, float) and isinstance(other, float) and one != one and other != other)


def channel_from(table: Mapping[str, Any]) -> Channel:
    """The channel that a table describes.

    Raises
    ------
    TableFault
        With the path of the value that is wrong.

    Examples
    --------
    >>> channel_from({"sensor": {"kind": "pressure"}})
    Traceback (most recent call last):
        ...
    trainer.channel.tables.TableFault: sensor.kind 'pressure' is none of resistance, thermocouple, signal
    """
    return part_from(Channel, table)


def part_from(kind: type[T], table: Mapping[str, Any], path: str = "") -> T:
    """One part of a channel, such as its loop, from its own table."""
    made: T = _read(kind, table, path)
    return made


def changed(channel: Channel, changes: Mapping[str, Any]) -> Channel:
    """A channel with other values, each named by its path, such as ``relays.0.alarm.deadband``."""
    table = to_table(channel)
    for path, value in changes.items():
        place, last = _place(table, path)
        place[int(last) if isinstance(place, list) else last] = deepcopy(value)
    return channel_from(table)


def value_at(channel: Channel, path: str) -> Any:
    """The value of a channel at a path."""
    found: Any = channel
    for name in path.split("."):
        try:
            found = found[int(name)] if isinstance(found, tuple) else getattr(found, name)
        except (AttributeError, IndexError, ValueError) as fault:
            raise TableFault(f"{path}: there is no {name}") from fault
    return found


def _place(table: Any, path: str) -> tuple[Any, str]:
    *way, last = path.split(".")
    for name in way:
        if isinstance(table, list):
            if not (name.isdecimal() and int(name) < len(table)):
                raise TableFault(f"{path}: there is no {name}")
            table = table[int(name)]
        else:
            table = table.setdefault(name, {})
    return table, last


@cache
def _hints(kind: type) -> dict[str, Any]:
    return get_type_hints(kind)


def _fields(kind: type) -> list[Any]:
    return [field for field in fields(kind) if field.name not in WORKED_OUT.get(kind, ())]


def _read(hint: Any, value: Any, path: str) -> Any:
    if hint in KINDS or hint in NAMES:
        return _of_kind(hint, value, path)
    if is_dataclass(hint):
        return _dataclass(hint, value, path)  # type: ignore[arg-type]
    origin = get_origin(hint)
    if origin in (Union, types.UnionType):
        (inner,) = (each for each in get_args(hint) if each is not type(None))
        return None if value is None else _read(inner, value, path)
    if origin is Mapping:
        return dict(_table(value, path))
    if origin is tuple:
        return _items(get_args(hint), value, path)
    if origin is Literal:
        if value not in get_args(hint):
            raise TableFault(f"{path} {value!r} is none of {', '.join(map(str, get_args(hint)))}")
        return value
    return _plain(hint, value, path)


def _of_kind(hint: type, value: Any, path: str) -> Any:
    table = _table(value, path)
    kinds = {name: kind for kind, name in NAMES.items() if issubclass(kind, hint)}
    name = str(table.get("kind"))
    if name not in kinds:
        raise TableFault(f"{_join(path, 'kind')} {name!r} is none of {', '.join(kinds)}")
    return _dataclass(kinds[name], {key: each for key, each in table.items() if key != "kind"}, path)


def _dataclass(kind: type, value: Any, path: str) -> Any:
    table, hints = _table(value, path), _hints(kind)
    known = {field.name: field for field in _fields(kind)}
    for name in table:
        if name not in known:
            raise TableFault(f"{_join(path, name)}: known here are {', '.join(known)}")
    given = {name: _read(hints[name], each, _join(path, name)) for name, each in table.items()}
    for name, field in known.items():
        if name not in given and field.default is MISSING:
            raise TableFault(f"{_join(path, name)} is missing")
    try:
        return kind(**given)
    except ValueError as fault:
        raise TableFault(f"{path}: {fault}") from fault


def _items(hints: tuple[Any, ...], value: Any, path: str) -> tuple[Any, ...]:
    if not isinstance(value, (list, tuple)):
        raise TableFault(f"{path} must be a list")
    kinds = [hints[0]] * len(value) if hints[1:] == (...,) else list(hints)
    if len(kinds) != len(value):
        raise TableFault(f"{path} must have {len(kinds)} entries")
    return tuple(
        _read(kind, each, f"{path}.{index}") for index, (kind, each) in enumerate(zip(kinds, value, strict=True))
    )


def _plain(hint: Any, value: Any, path: str) -> Any:
    if hint is float and isinstance(value, (int, float)) and not isinstance(value, bool):
        return float(value)
    if hint is int and isinstance(value, float) and value.is_integer() and math.isfinite(value):
        return int(value)
    if not isinstance(value, hint) or (hint is int and isinstance(value, bool)):
        wanted = {float: "a number", int: "a whole number", bool: "true or false", str: "text"}[hint]
        raise TableFault(f"{path} must be {wanted}, not {value!r}")
    return value


def _table(value: Any, path: str) -> Mapping[str, Any]:
    if not isinstance(value, Mapping):
        raise TableFault(f"{path or 'a channel'} must be a table")
    return value


def _join(path: str, name: str) -> str:
    return f"{path}.{name}" if path else name


def to_plain(made: Any) -> Any:
    """Tables as JSON can hold them: what is infinite as a word."""
    return _swapped(to_table(made), math.inf, INFINITE)


def from_plain(kept: Any) -> Any:
    """Tables again from what JSON held."""
    return _swapped(kept, INFINITE, math.inf)


def _swapped(table: Any, old: Any, new: Any) -> Any:
    if isinstance(table, dict):
        return {key: _swapped(value, old, new) for key, value in table.items()}
    if isinstance(table, list):
        return [_swapped(value, old, new) for value in table]
    return new if table == old else table
