"""Units of the trade: a closed list, the ways people spell them, conversion and how a quantity is shown."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from decimal import ROUND_HALF_UP, Context, Decimal
from types import MappingProxyType

from trainer.errors import TrainerError

NO_BREAK_SPACE = "\u00a0"
MINUS = "\u2212"
LONGEST_SPELLING = 32
_DIFFERENCE = " (difference)"


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit; a value in it is ``(value - zero) * factor`` in the base unit of its dimension.

    Units of one dimension convert into each other. Units with one ``stem`` differ by an SI prefix or a plain
    change of scale that nobody mistakes for another unit (45 % and 0.45, a difference in K and in °C).
    """

    name: str
    dimension: str
    factor: float
    zero: float
    stem: str


_PREFIXES = {
    "p": (1e-12, "pico"),
    "n": (1e-9, "nano"),
    "µ": (1e-6, "micro"),
    "m": (1e-3, "milli"),
    "c": (1e-2, "centi"),
    "h": (1e2, "hecto"),
    "k": (1e3, "kilo"),
    "M": (1e6, "mega"),
}

_CELSIUS = "C degC degreeC degreesC celsius °celsius degcelsius degreecelsius degreescelsius"
_FAHRENHEIT = _CELSIUS.replace("celsius", "fahrenheit").replace("C", "F")
_KELVIN = "kelvin kelvins °K degK"

# dimension, unit, factor, zero, spellings beside the name, stem
_TEMPERATURES = (
    ("temperature", "°C", 1.0, 0.0, _CELSIUS, "°C"),
    ("temperature", "°F", 5 / 9, 32.0, _FAHRENHEIT, "°F"),
    ("temperature", "K", 1.0, 273.15, _KELVIN, "K"),
    ("temperature difference", "°C (difference)", 1.0, 0.0, "°C " + _CELSIUS, "K (difference)"),
    ("temperature difference", "°F (difference)", 5 / 9, 0.0, "°F " + _FAHRENHEIT, "°F (difference)"),
    ("temperature difference", "K (difference)", 1.0, 0.0, "K " + _KELVIN, "K (difference)"),
    ("ratio", "", 1.0, 0.0, "1", ""),
    ("ratio", "%", 0.01, 0.0, "percent pct %ofspan percentofspan %span", ""),
    ("ratio", "ppm", 1e-6, 0.0, "", ""),
)

# dimension, unit, factor, SI prefixes used with it, spellings beside the name.
# Water and mercury columns are the conventional ones (1000 and 13 595.1 kg/m³, 9.80665 m/s²).
_ROWS = (
    ("resistance", "Ω", 1.0, "mkM", "ohm ohms R"),
    ("voltage", "V", 1.0, "µmkM", "volt volts"),
    ("current", "A", 1.0, "µmM", "amp amps ampere amperes"),
    ("time", "s", 1.0, "µm", "sec secs second seconds"),
    ("time", "min", 60.0, "", "mins minute minutes"),
    ("time", "h", 3600.0, "", "hr hrs hour hours"),
    ("power", "W", 1.0, "µmkM", "watt watts"),
    ("capacitance", "F", 1.0, "pnµ", "farad farads"),
    ("inductance", "H", 1.0, "µm", "henry henries"),
    ("conductance", "S", 1.0, "µm", "siemens"),
    ("frequency", "Hz", 1.0, "kM", "hertz"),
    ("pressure", "Pa", 1.0, "hkM", "pascal pascals"),
    ("pressure", "bar", 1e5, "m", "bars"),
    ("pressure", "psi", 6894.757293168361, "", "lb/in2 lbf/in2"),
    ("pressure", "mH2O", 9806.65, "cm", "mWC"),
    ("pressure", "inH2O", 249.08891, "", "inWC"),
    ("pressure", "mmHg", 133.322387415, "", ""),
    ("length", "m", 1.0, "mck", "meter meters metre metres"),
    ("length", "ft", 0.3048, "", "foot feet"),
    ("length", "in", 0.0254, "", 'inch inches "'),
    ("area", "mm²", 1e-6, "", "sqmm"),
    ("volume", "m³", 1.0, "", "cubicmeter cubicmeters cubicmetres"),
    ("volume", "L", 1e-3, "m", "liter liters litre litres"),
    ("volume per time", "gpm", 3.785411784e-3 / 60, "", "gal/min USgpm"),
    ("mass", "g", 1e-3, "mk", "gram grams"),
    ("mass", "t", 1e3, "", "tonne tonnes"),
    ("mass", "lb", 0.45359237, "", "lbs pound pounds"),
    ("force", "N", 1.0, "k", "newton newtons"),
    ("counts", "counts", 1.0, "", "count cts ct"),
    ("bits", "bits", 1.0, "", "bit"),
    ("speed of rotation", "rpm", 1.0, "", "r/min rev/min"),
    ("humidity", "% RH", 1.0, "", "% percent RH"),
    ("share of span", "% of span", 1.0, "", "% percent %span percentofspan"),
    ("share of reading", "% of reading", 1.0, "", "% percent %reading percentofreading"),
    ("acidity", "pH", 1.0, "", ""),
    ("resistance per length", "Ω/1000 ft", 1 / 304.8, "", "ohm/1000ft ohms/1000ft"),
)

_PROCESS = "°C K °F Pa kPa MPa mbar bar psi mH2O inH2O % m cm mm ft in m³/h m³/s L/h L/min L/s gpm kg/h t/h"

# Every unit of the first list over every unit of the second; temperatures here are differences.
_RATIOS = (
    ("m³ L", "s min h"),
    ("kg g t lb", "s min h"),
    ("°C K °F Pa kPa mbar bar psi % m cm mm ft mA V", "s min h"),
    (_PROCESS + " 1", "counts mA V mV"),
    ("V mV mA", "counts"),
    ("counts mA V mV", _PROCESS),
    ("counts", "mA V mV"),
    ("µV Ω mΩ mW W % ppm 1", "°C K °F"),
    ("mV µV", "V"),
    ("Ω mΩ kΩ nF pF µF µH mH", "m km"),
    ("kg g mg", "m³ L"),
    ("S mS µS", "cm m"),
)

# Short forms of the workshop that no rule above makes.
_SHORT_FORMS = {
    "kΩ": "k kilohm kilohms",
    "MΩ": "M megohm megohms",
    "kg": "kilo kilos",
    "L/min": "lpm",
    "L/s": "lps",
}

_LOOKALIKES = {ord(sign): plain for sign, plain in zip("³²₂º˚⁄∕", "322°°//", strict=True)}
_PER = "÷"  # stands for the typed word, so that m³/h per mA has one place to divide
_LOOKALIKES |= {ord("^"): "", ord("."): "", ord("℃"): "°C", ord("℉"): "°F"}

_units: dict[str, Unit] = {}
_spellings: dict[str, dict[str, Unit]] = {}
_quotients: dict[tuple[str, str], Unit] = {}

UNITS: Mapping[str, Unit] = MappingProxyType(_units)


def _key(compact: str) -> str:
    """Fold the case, except that of a first M: mega is not milli."""
    folded = compact.casefold()
    return "M" + folded[1:] if compact.startswith("M") else folded


def _compact(text: str) -> str:
    words = text.translate(_LOOKALIKES).split()
    return "".join(_PER if word == "per" else word for word in words)


def _accept(unit: Unit, spelling: str, prefixed: bool = False) -> None:
    key = _key(_compact(spelling))
    _spellings.setdefault(key, {}).setdefault(unit.dimension, unit)
    if key[:1] in ("m", "M") and not prefixed:  # Minutes, METERS: only a prefix needs its case
        for first in "mM":
            _spellings.setdefault(first + key[1:], {}).setdefault(unit.dimension, unit)


def _add(unit: Unit, spellings: str = "") -> None:
    _units[unit.name] = unit
    for spelling in (unit.name, *spellings.split()):
        _accept(unit, spelling)


def _add_prefixed(base: Unit, symbol: str, spellings: str) -> None:
    size, word = _PREFIXES[symbol]
    unit = Unit(symbol + base.name, base.dimension, size * base.factor, 0.0, base.stem)
    _units[unit.name] = unit
    for spelling in (base.name, *spellings.split()):
        for prefix in (symbol, "u") if symbol == "µ" else (symbol,):
            _accept(unit, prefix + spelling, prefixed=True)
        _accept(unit, word + spelling)


def _find_listed(label: str) -> Unit:
    return _units.get(label + _DIFFERENCE) or _units["" if label == "1" else label]


def _quotient(top: Unit, bottom: Unit) -> Unit:
    over = top.name.removesuffix(_DIFFERENCE) or "1"
    under = "count" if bottom.name == "counts" else bottom.name.removesuffix(_DIFFERENCE)
    name = f"{over} per {under}" if "/" in over + under else f"{over}/{under}"
    dimension = f"{top.dimension} per {bottom.dimension}"
    return Unit(name, dimension, top.factor / bottom.factor, 0.0, f"{top.stem}/{bottom.stem}")


def _fill() -> None:
    for dimension, name, factor, zero, spellings, stem in _TEMPERATURES:
        _add(Unit(name, dimension, factor, zero, stem), spellings)
    for dimension, name, factor, prefixes, spellings in _ROWS:
        base = Unit(name, dimension, factor, 0.0, name)
        _add(base, spellings)
        for symbol in prefixes:
            _add_prefixed(base, symbol, spellings)
    for tops, bottoms in _RATIOS:
        for top in map(_find_listed, tops.split()):
            for bottom in map(_find_listed, bottoms.split()):
                unit = _quotient(top, bottom)
                _quotients[top.name, bottom.name] = _units.setdefault(unit.name, unit)
    for name, forms in _SHORT_FORMS.items():
        for form in forms.split():
            _accept(_units[name], form, prefixed=True)


_fill()


def unit(name: str) -> Unit:
    """Return the unit of a canonical name; ``""`` and ``"1"`` are the plain number.

    Raises
    ------
    TrainerError
        No unit has this name; the sentence offers the nearest one.

    Examples
    --------
    >>> unit("kPa").dimension
    'pressure'
    """
    found = _units.get("" if name == "1" else name)
    if found is None:
        raise TrainerError(f"there is no unit '{name[:LONGEST_SPELLING]}'{_suggest(name)}")
    return found


def _suggest(name: str) -> str:
    from difflib import get_close_matches  # only a fault needs it

    meant = spelled(name)
    near = [meant.name] if meant else get_close_matches(name[:LONGEST_SPELLING], list(_units), 1)
    return f"; did you mean '{near[0]}'?" if near else ""


def _as_unit(given: str | Unit) -> Unit:
    return given if isinstance(given, Unit) else unit(given)


def _meanings(compact: str) -> dict[str, Unit]:
    """Return what a spelling can mean, one unit a dimension, the likeliest first."""
    found = _spellings.get(_key(compact))
    if found is not None:
        return found
    top, divider, bottom = compact.rpartition(_PER if _PER in compact else "/")
    if not divider:
        return {}
    return {each.dimension: each for each in _over(_meanings(top), _meanings(bottom))}


def _over(tops: dict[str, Unit], bottoms: dict[str, Unit]) -> Iterator[Unit]:
    for top in tops.values():
        for bottom in bottoms.values():
            if (top.name, bottom.name) in _quotients:
                yield _quotients[top.name, bottom.name]


def spelled(text: str, wanted: str | Unit = "") -> Unit | None:
    """Return the unit that a typed spelling stands for, or None where it stands for none.

    The meaning in the dimension of the ``wanted`` unit comes first: K beside a wanted difference is a
    difference, beside a resistance it is kΩ. Case counts only for a leading m or M of a prefix. Spellings are
    looked up in a closed list; nothing is evaluated. An empty text is no unit.

    Examples
    --------
    >>> spelled("kohms", "Ω").name, spelled("deg C", "K").name, spelled("°F", "°C (difference)").name
    ('kΩ', '°C', '°F (difference)')
    """
    if len(text) > LONGEST_SPELLING:
        return None
    compact = _compact(text)
    if not compact:
        return None
    meanings = _meanings(compact)
    return meanings.get(_as_unit(wanted).dimension) or next(iter(meanings.values()), None)


def convert(value: float, from_: str | Unit, to: str | Unit) -> float:
    """Convert a value between two units of one dimension.

    Raises
    ------
    TrainerError
        The two units measure different things; a temperature and a temperature difference do.

    Examples
    --------
    >>> convert(2.0, "°C", "°F"), convert(2.0, "°C (difference)", "°F (difference)")
    (35.6, 3.6)
    """
    start, end = _as_unit(from_), _as_unit(to)
    if start.dimension != end.dimension:
        kinds = f"({start.dimension}) does not convert to '{end.name}' ({end.dimension})"
        raise TrainerError(f"'{start.name}' {kinds}")
    if start.factor == end.factor:
        return value if start.zero == end.zero else value - start.zero + end.zero
    return (value - start.zero) * start.factor / end.factor + end.zero


def same_but_prefix(a: str | Unit, b: str | Unit) -> bool:
    """Tell whether two units are one unit, an SI prefix apart at most (mA and A, not kPa and bar)."""
    first, second = _as_unit(a), _as_unit(b)
    return first.stem == second.stem and first.dimension == second.dimension


def format_number(value: float, decimals: int, decimal: str = ".") -> str:
    """Show a number with fixed decimals, a half rounded away from zero and a true minus sign.

    Examples
    --------
    >>> format_number(112.49999999999999, 1), format_number(0.125, 2, ",")
    ('112.5', '0,13')
    """
    # Fifteen digits drop what binary arithmetic adds, so that 2.675 rounds as it does on paper.
    exact = Decimal(f"{value:.15g}").quantize(Decimal(1).scaleb(-decimals), ROUND_HALF_UP, Context(prec=400))
    sign = MINUS if exact < 0 else ""
    return sign + f"{abs(exact):f}".replace(".", decimal)


def format_quantity(value: float, decimals: int, unit: str | Unit, decimal: str = ".") -> str:
    """Show a number with its unit, held together by a no-break space.

    Examples
    --------
    >>> format_quantity(0.8, 1, "°C (difference)").replace(NO_BREAK_SPACE, " ")
    '0.8 °C (difference)'
    """
    number, name = format_number(value, decimals, decimal), _as_unit(unit).name
    return f"{number}{NO_BREAK_SPACE}{name}" if name else number
