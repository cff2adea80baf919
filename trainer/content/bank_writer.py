"""Tables written as TOML the way an author would: short tables and rows on a line, tables of tables with headings."""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping
from datetime import date, time
from typing import Any

LINE = 100
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def written(table: Mapping[str, Any]) -> str:
    r"""A table as the text that reads back as it.

    Examples
    --------
    >>> print(written({"problem": [{"id": "kiln", "givens": {"lower": 0, "signal": {"low": 4.5, "high": 19}}}]}))
    [[problem]]
    id = "kiln"
    [problem.givens]
    lower = 0
    signal = { low = 4.5, high = 19 }
    <BLANKLINE>
    """
    return "\n".join(_lines(table, "")) + "\n"


def _lines(table: Mapping[str, Any], path: str) -> Iterator[str]:
    """The keys on a line first, since those below a heading belong to it."""
    headed = [key for key, value in table.items() if _has_heading(value, bool(path))]
    for key, value in table.items():
        if key not in headed:
            yield f"{_key(key)} = {_value(value)}"
    for key in headed:
        here, value = f"{path}{_key(key)}", table[key]
        for number, each in enumerate(value if isinstance(value, list) else [value]):
            if not path and (number or key != headed[0]):
                yield ""
            yield f"[[{here}]]" if isinstance(value, list) else f"[{here}]"
            yield from _lines(each, f"{here}.")


def _has_heading(value: Any, inside: bool) -> bool:
    if isinstance(value, dict):
        deep = any(isinstance(each, dict) or _are_tables(each) for each in value.values())
        return not inside or deep or len(_value(value)) > LINE
    return _are_tables(value)


def _are_tables(value: Any) -> bool:
    return isinstance(value, list) and bool(value) and all(isinstance(each, dict) for each in value)


def _key(key: str) -> str:
    return key if _BARE.fullmatch(key) else _text(key)


def _value(value: Any) -> str:
    if isinstance(value, str):
        return _text(value)
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, dict):
        inner = ", ".join(f"{_key(key)} = {_value(each)}" for key, each in value.items())
        return f"{{ {inner} }}" if inner else "{}"
    if isinstance(value, list):
        return _list([_value(each) for each in value])
    return value.isoformat() if isinstance(value, date | time) else repr(value)


def _list(parts: list[str]) -> str:
    line = f"[{', '.join(parts)}]"
    if len(line) <= LINE or len(parts) < 2:
        return line
    return "[\n" + "".join(f"  {part},\n" for part in parts) + "]"


def _text(text: str) -> str:
    """As JSON writes it, and the one control character more that TOML wants escaped."""
    return json.dumps(text, ensure_ascii=False).replace("\x7f", "\\u007f")
