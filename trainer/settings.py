"""What a person may set: built-in values < config.toml in the data folder < environment < arguments."""

from __future__ import annotations

import os
import tempfile
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from trainer.errors import TrainerError

APPLICATION = "signal-conditioning-trainer"
CONFIG = "config.toml"
PREFIX = "TRAINER_"


@dataclass(frozen=True)
class Settings:
    """The settings in force.

    ``database`` is a database URL; it may hold a password, so it stays out of the printed form. ``zone`` is the
    IANA name of the time zone in which times are shown and typed; empty for that of this machine. The last three
    are what a new learner starts with.
    """

    data: Path
    database: str = field(repr=False)
    host: str = "127.0.0.1"
    port: int = 8000
    threads: int = 16
    idle_minutes: int = 60
    request_log: str = "on"
    zone: str = ""
    language: str = "en"
    decimal_sign: str = "."
    temperature_unit: str = "°C"


@dataclass(frozen=True)
class _Rule:
    """What a value may be: text, one of some texts, or a whole number between limits."""

    lowest: int | None = None
    highest: int = 0
    options: tuple[str, ...] = ()

    def __str__(self) -> str:
        if self.lowest is not None:
            return f"a whole number from {self.lowest} to {self.highest}"
        if self.options:
            return "one of " + ", ".join(map(repr, self.options))
        return "text in quotes that is not empty"

    def accepts(self, value: Any) -> bool:
        if self.lowest is not None:
            return type(value) is int and self.lowest <= value <= self.highest
        return isinstance(value, str) and bool(value.strip()) and (not self.options or value in self.options)

    def read(self, text: str) -> Any:
        """The value that a text from the environment stands for; the text itself where it stands for none."""
        whole = self.lowest is not None and len(text) <= 9 and text.isascii() and text.isdigit()
        return int(text) if whole else text


RULES: Mapping[str, _Rule] = {
    "database": _Rule(),
    "host": _Rule(),
    "port": _Rule(0, 65535),
    "threads": _Rule(1, 256),
    "idle_minutes": _Rule(1, 10080),
    "request_log": _Rule(options=("on", "off")),
    "zone": _Rule(),
    "language": _Rule(),
    "decimal_sign": _Rule(options=(".", ",")),
    "temperature_unit": _Rule(options=("°C", "°F")),
}


def load_settings(
    data: Path | str | None = None, environment: Mapping[str, str] | None = None, **given: Any
) -> Settings:
    """Read the settings; nothing is written, and the data folder need not exist yet.

    Parameters
    ----------
    data
        The data folder; without it ``TRAINER_DATA``, else the folder that the operating system sets aside for
        a person's program data.
    environment
        In place of the environment of the process.
    given
        Settings by name, above all others; None counts as not given.

    Raises
    ------
    TrainerError
        In one sentence with the place, the key and the rule.
    """
    environment = os.environ if environment is None else environment
    folder = _data_folder(data or environment.get(f"{PREFIX}DATA"))
    settings = Settings(data=folder, database=f"sqlite:///{(folder / 'trainer.db').as_posix()}")
    for place, values in (
        (str(folder / CONFIG), _from_file(folder / CONFIG)),
        ("environment", _from_environment(environment)),
        ("arguments", {key: value for key, value in given.items() if value is not None}),
    ):
        _check(place, values)
        settings = replace(settings, **values)
    return settings


def prepare_folder(data: Path) -> None:
    """Make the data folder, for its owner alone, and see that it can be written to.

    Raises
    ------
    TrainerError
        If it cannot.
    """
    try:
        data.mkdir(mode=0o700, parents=True, exist_ok=True)
        with tempfile.TemporaryFile(dir=data):
            pass
    except OSError as error:
        remedy = f"name another with --data or {PREFIX}DATA"
        raise TrainerError(f"the data folder {data} cannot be written to ({_reason(error)}); {remedy}") from error


def _data_folder(named: Path | str | None) -> Path:
    if named:
        return Path(named).expanduser().absolute()
    import platformdirs

    return Path(platformdirs.user_data_dir(APPLICATION, appauthor=False))


def _from_file(path: Path) -> dict[str, Any]:
    try:
        return tomllib.loads(path.read_text(encoding="utf-8"))
    except FileNotFoundError:
        return {}
    except OSError as error:
        raise TrainerError(f"{path} cannot be read ({_reason(error)})") from error
    except ValueError as error:  # not TOML, or not UTF-8
        raise TrainerError(f"{path} is not a TOML file in UTF-8: {error}") from error


def _from_environment(environment: Mapping[str, str]) -> dict[str, Any]:
    texts = {key: environment.get(PREFIX + key.upper(), "") for key in RULES}
    return {key: RULES[key].read(text) for key, text in texts.items() if text}


def _check(place: str, values: Mapping[str, Any]) -> None:
    for key, value in values.items():
        if key not in RULES:
            raise TrainerError(f"{place}: {key} is not a setting; the settings are {', '.join(RULES)}")
        if not RULES[key].accepts(value):
            raise TrainerError(f"{place}: {key} must be {RULES[key]}, not {value!r}")


def _reason(error: OSError) -> str:
    return (error.strerror or type(error).__name__).lower()
