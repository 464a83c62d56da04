"""Python values as settings KEY=VALUE, the form that the program's --set takes."""
from __future__ import annotations

import datetime
import json
import re
from collections.abc import Mapping, Sequence

_PART = re.compile(r'"[^"]*"|\'[^\']*\'|[^.]+')
_BARE = re.compile(r"[A-Za-z0-9_-]+")


def key_text(key: str) -> str:
    """A dotted key with quotes where TOML needs them.

    >>> key_text("head_type.medium mist.dv50")
    'head_type."medium mist".dv50'
    """
    parts = [part.strip() for part in _PART.findall(key)]
    if not parts:
        raise ValueError("a setting needs a key")
    return ".".join(part if _BARE.fullmatch(part) or part[:1] in "\"'" else f'"{part}"'
                    for part in parts)


def value_text(value: object) -> str:
    """A Python value as TOML.

    >>> value_text(["1 m", 2, True])
    '["1 m", 2, true]'
    """
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, (int, float)):
        return repr(value)
    if isinstance(value, str):
        return json.dumps(value, ensure_ascii=False)
    if isinstance(value, (datetime.datetime, datetime.date, datetime.time)):
        return value.isoformat()
    if isinstance(value, Mapping):
        inside = ", ".join(f"{key_text(str(key))} = {value_text(item)}"
                           for key, item in value.items())
        return "{ " + inside + " }"
    if isinstance(value, Sequence):
        return "[" + ", ".join(value_text(item) for item in value) + "]"
    try:  # a number of numpy
        return repr(value.item())  # type: ignore[attr-defined]
    except AttributeError:
        raise TypeError(f"a setting cannot be a {type(value).__name__}; give text with a unit, "
                        "a number, True or False, a date, a time, or a list of these") from None


def setting(key: str, value: object) -> str:
    """KEY=VALUE. Text goes in as it stands, so that "30 %", "12:00:00" and "[1, 2]" all read.

    >>> setting("house.shade_cloth", "30 %")
    'house.shade_cloth=30 %'
    """
    plain = isinstance(value, str) and "\n" not in value and "\r" not in value
    return f"{key_text(key)}={value if plain else value_text(value)}"
