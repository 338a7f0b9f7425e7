"""Request fields: strict ones, which read quantities into SI and say what they would accept."""

from __future__ import annotations

import math
import re
from collections.abc import Iterable, Mapping
from contextlib import suppress
from contextvars import ContextVar
from dataclasses import dataclass
from functools import cached_property
from types import MappingProxyType
from typing import Any, ClassVar, cast

from marshmallow import Schema, ValidationError, fields, missing

from borewright.calculations.base.mistakes import Code, Said
from borewright.calculations.base.problems import MOST_NAMED, nearest, unknown_field
from borewright.practice.tables import Basis
from borewright.quantities import (
    KINDS,
    SYSTEMS,
    NoUnitError,
    OtherKindError,
    QuantityError,
    Reading,
    SpellingTooLongError,
    System,
    TooLargeError,
    UnknownUnitError,
    from_si,
    plain_name,
    read_quantity,
)

ROUNDING = 1e-9  # of a limit
MOST_SUGGESTED = 50  # looking for the nearest name takes time, and a caller can send a hundred thousand
request_units: ContextVar[System | None] = ContextVar("request_units", default=None)


@dataclass(frozen=True)
class Assumed:
    """A default, with where it comes from; it is listed in the answer's assumptions when used."""

    value: Any
    basis: Basis
    source: str

    def __post_init__(self) -> None:
        hash(self.value)  # what it is shown as is kept, so it must be something that does not change


_OF_QUANTITY: Mapping[type[QuantityError], Code] = MappingProxyType(
    {
        NoUnitError: Code.NO_UNIT,
        UnknownUnitError: Code.UNKNOWN_UNIT,
        OtherKindError: Code.UNIT_OF_ANOTHER_KIND,
        SpellingTooLongError: Code.WRONG_LENGTH,
        TooLargeError: Code.OUT_OF_RANGE,
        QuantityError: Code.UNREADABLE_QUANTITY,
    }
)
# what marshmallow finds wrong by itself, by the keys of its messages
_OF_MARSHMALLOW: Mapping[str, Code] = MappingProxyType(
    {"required": Code.MISSING, "null": Code.WRONG_TYPE, "type": Code.WRONG_TYPE, "invalid": Code.WRONG_TYPE, "unknown": Code.UNKNOWN_FIELD}
)
NULL, OBJECT = "this must not be null: leave the field out instead", "this must be an object"


def code_of(error: QuantityError) -> Code:
    """The code of a quantity that can't be read.

    >>> code_of(NoUnitError("94 has no unit"))
    <Code.NO_UNIT: 'no-unit'>
    """
    return _OF_QUANTITY[type(error)]


class _Described(fields.Field[Any]):
    """What the OpenAPI document says of a field, and its own words for what marshmallow finds wrong."""

    text: str
    assumed: Assumed | None

    def make_error(self, key: str, **kwargs: Any) -> ValidationError:
        """The message of a key, with its code."""
        return wrong(NULL if key == "null" else str(self.error_messages[key]), _OF_MARSHMALLOW[key])


def wrong(text: str, code: Code, *, impossible: bool = False) -> ValidationError:
    """What a field says of a value that it does not take.

    impossible : the schema allows it and nature does not

    >>> wrong("this must be true or false", Code.WRONG_TYPE).messages[0].code
    <Code.WRONG_TYPE: 'wrong-type'>
    """
    return ValidationError([Said(text, code, impossible=impossible)])


class Quantity(_Described):
    """A quantity of a kind within an allowed range, read into SI.

    low, high : the allowed range, inclusive, as quantities ("10 mm"); a low of zero admits zero
    """

    def __init__(
        self, kind: str, low: str | float, high: str | float, text: str, *, required: bool = False, assumed: Assumed | None = None
    ) -> None:
        super().__init__(required=required, error_messages={"required": f"this {plain_name(kind)} is missing: {text}"})
        self.kind, self.text, self.assumed = kind, text, assumed
        lowest, highest = read_quantity(low, kind).value, read_quantity(high, kind).value
        # a limit as it is printed, to nine digits in another unit, is inside it
        self.low, self.high = lowest - abs(lowest) * ROUNDING, highest + abs(highest) * ROUNDING
        self.signed = self.low < 0 or any(unit.offset for unit in KINDS[kind].units.values())

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> Reading:
        if isinstance(value, Reading):
            return value
        try:
            reading = read_quantity(value, self.kind, request_units.get())
        except TooLargeError:
            raise wrong(f"this is outside what can be: {self.allowed()}", Code.OUT_OF_RANGE, impossible=True) from None
        except QuantityError as error:
            raise wrong(str(error), code_of(error)) from None
        if not self.signed and reading.value < 0:
            raise wrong(f"this can't be negative: {self.allowed()}", Code.OUT_OF_RANGE)
        if not (self.low <= reading.value <= self.high):
            raise wrong(f"this is outside what can be: {self.allowed()}", Code.OUT_OF_RANGE, impossible=True)
        if reading.tolerance and not (self.low <= reading.low and reading.high <= self.high):
            raise wrong(f"its tolerance reaches outside what can be: {self.allowed()}", Code.OUT_OF_RANGE, impossible=True)
        return reading

    def allowed(self, units: System | None = None) -> str:
        """The allowed range in the units of the request."""
        system = units or request_units.get() or "metric"
        unit = KINDS[self.kind].answer_unit(system)
        low, high = (from_si(value, unit, self.kind) for value in (self.low, self.high))
        range_ = f"{_inward(low, ceil=True):.6g} to {_inward(high, ceil=False):.6g}"
        return f"the allowed range is {range_}" + ("" if unit == "1" else f" {unit}")


def _inward(limit: float, *, ceil: bool) -> float:
    """A limit to six digits, on its inner side: what is printed can be typed.

    >>> _inward(1.18110236, ceil=True), _inward(1.18110236, ceil=False)
    (1.18111, 1.1811)
    """
    nearest = float(f"{limit:.6g}")
    if nearest < limit if ceil else nearest > limit:
        step = 10.0 ** (math.floor(math.log10(abs(limit))) - 5)
        return float(f"{nearest + (step if ceil else -step):.6g}")
    return nearest


class Whole(_Described):
    """A whole number that takes part in the arithmetic (an array of one in compute)."""

    numeric: ClassVar[bool] = True

    def __init__(self, low: int, high: int, text: str, *, required: bool = False, assumed: Assumed | None = None) -> None:
        super().__init__(required=required, error_messages={"required": f"this whole number is missing: {text}"})
        self.low, self.high, self.text, self.assumed = low, high, text, assumed

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> int:
        if isinstance(value, Reading):  # a batch column, checked on its own
            return int(value.value)
        whole = isinstance(value, int) and not isinstance(value, bool)
        if not whole and not (isinstance(value, float) and value.is_integer()):  # JSON Schema: 8.0 is an integer
            told = f"this must be a whole number from {self.low} to {self.high}{', not a text' if isinstance(value, str) else ''}"
            raise wrong(told, Code.WRONG_TYPE)
        if not self.low <= value <= self.high:
            raise wrong(f"this is outside the allowed range {self.low} to {self.high}", Code.OUT_OF_RANGE)
        return int(value)


class Label(Whole):
    """A whole number that names something (a cylinder); it stays a plain int in compute."""

    numeric: ClassVar[bool] = False


class Choice(_Described):
    """One of a few words; other spellings of a word may be read as well."""

    def __init__(
        self,
        options: Iterable[str],
        text: str,
        *,
        required: bool = False,
        assumed: Assumed | None = None,
        spellings: Mapping[str, str] | None = None,
    ) -> None:
        super().__init__(required=required, error_messages={"required": f"this is missing: {text}"})
        self.options, self.text, self.assumed, self.spellings = tuple(options), text, assumed, dict(spellings or {})

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        if isinstance(value, str):
            value = self.spellings.get(value, value)
        if isinstance(value, str) and value in self.options:
            return value
        close = nearest(value, self.options) or nearest(value.casefold(), self.options) if isinstance(value, str) else None
        hint = f"; did you mean {close!r}?" if close else ""
        raise wrong(f"this must be one of {', '.join(repr(option) for option in self.options)}{hint}", Code.NOT_AN_OPTION)


class Text(_Described):
    """A short printable text, or an identifier where an anchored pattern is given."""

    # halves of surrogate pairs are left to the reader: many a regular expression engine can't name them
    PRINTABLE: ClassVar[str] = r"^[^\x00-\x1f\x7f-\x9f\u2028\u2029]*$"

    def __init__(self, longest: int, text: str, *, required: bool = False, pattern: str | None = None) -> None:
        super().__init__(required=required, error_messages={"required": f"this text is missing: {text}"})
        self.longest, self.text, self.assumed, self.pattern = longest, text, None, pattern or self.PRINTABLE

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> str:
        if not isinstance(value, str) or not value:
            raise wrong(f"this must be a text of 1 to {self.longest} characters", Code.WRONG_LENGTH if value == "" else Code.WRONG_TYPE)
        if len(value) > self.longest:
            raise wrong(f"{len(value)} characters are too many: at most {self.longest}", Code.WRONG_LENGTH)
        half = any("\ud800" <= character <= "\udfff" for character in value)
        if half or not re.fullmatch(self.pattern, value):  # not search: "$" would let a final line feed through
            told = "control characters are not taken: leave them out"
            raise wrong(told if self.pattern == self.PRINTABLE else f"this must match the pattern {self.pattern}", Code.WRONG_TYPE)
        return value


class Flag(_Described):
    """true or false, nothing else."""

    def __init__(self, text: str, *, required: bool = False, assumed: Assumed | None = None) -> None:
        super().__init__(required=required, error_messages={"required": f"this is missing: {text}"})
        self.text, self.assumed = text, assumed

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> bool:
        if not isinstance(value, bool):
            raise wrong("this must be true or false", Code.WRONG_TYPE)
        return value


class Price(_Described):
    """A price in the caller's own currency: a bare number, for money has no unit here; it stays a plain float in compute."""

    HIGHEST: ClassVar[float] = 1e9

    def __init__(self, text: str, *, required: bool = False, assumed: Assumed | None = None) -> None:
        super().__init__(required=required, error_messages={"required": f"this price is missing: {text}"})
        self.text, self.assumed = text, assumed

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> float:
        if isinstance(value, bool) or not isinstance(value, int | float):
            raise wrong("this must be a bare number, a price in your own currency, like 129.5", Code.WRONG_TYPE)
        if not 0 <= value <= self.HIGHEST:  # also False for what is not a number
            raise wrong(f"a price is from 0 to {self.HIGHEST:.0f}", Code.OUT_OF_RANGE)
        return float(value)


class Part(_Described, fields.Nested):
    """An object inside a request."""

    def __init__(self, part: type[RequestPart], text: str, *, required: bool = False) -> None:
        super().__init__(part, required=required, error_messages={"required": f"this object is missing: {text}"})
        self.text, self.assumed = text, None


class Many(_Described, fields.List[Any]):
    """A list of parts or values, with a smallest and a largest length."""

    def __init__(self, inner: fields.Field[Any], text: str, *, shortest: int = 1, longest: int = 200, required: bool = False) -> None:
        super().__init__(
            inner,
            required=required,
            error_messages={
                "required": f"this list is missing: {text}",
                "invalid": f"this must be a list of {shortest} to {longest} entries",
            },
        )
        self.text, self.assumed, self.shortest, self.longest = text, None, shortest, longest

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> list[Any]:
        if isinstance(value, list) and not self.shortest <= len(value) <= self.longest:
            raise wrong(f"{len(value)} entries: the list takes {self.shortest} to {self.longest}", Code.WRONG_LENGTH)
        return super()._deserialize(value, attr, data, **kwargs)

    def quick(self, value: Any) -> list[Any] | None:
        """As `RequestPart.quick`, of a list."""
        if type(value) is not list or not self.shortest <= len(value) <= self.longest or None in value or not _is_plain(self.inner):
            return None
        inner = self.inner
        if not isinstance(inner, Part):
            return [inner._deserialize(entry, None, None) for entry in value]
        part = inner.schema
        found = [part.quick(entry) for entry in value] if isinstance(part, RequestPart) else [None]
        return None if None in found else found


def _is_plain(field: fields.Field[Any]) -> bool:
    """Whether marshmallow does no more for a field than it deserializes it."""
    return field.load_default is missing and not (field.validators or field.pre_load or field.post_load or field.dump_only)


class RequestPart(Schema):
    """A request object: closed, and with exactly one of its `alternatives` where it has any.

    alternatives : groups of sets of field names; of each group exactly one set must be complete
    spellings : other spellings of field names that are read, each with the name it stands for
    """

    alternatives: ClassVar[tuple[tuple[tuple[str, ...], ...], ...]] = ()
    spellings: ClassVar[Mapping[str, str]] = {}

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        names = ", ".join(self.fields)
        whole = OBJECT if len(self.fields) > MOST_NAMED else f"{OBJECT}; its fields are {names}"
        told = {"type": whole, "unknown": "there is no such field"}
        self.error_messages |= {key: Said(text, _OF_MARSHMALLOW[key]) for key, text in told.items()}

    def check_alternatives(self, given: Mapping[str, Any]) -> list[Said]:
        """Say which alternative is missing or doubled."""
        found = []
        for group in self.alternatives:
            complete = [names for names in group if all(name in given for name in names)]
            if len(complete) == 1:
                continue
            ways = " or ".join("{" + ", ".join(names) + "}" for names in group)
            if not complete:
                found.append(Said(f"one of these is needed: {ways}", Code.MISSING))
            else:
                found.append(Said(f"only one of these can be given: {ways}", Code.GIVEN_TWICE))
        return found

    def quick(self, data: Any, *, whole: bool = True) -> dict[str, Any] | None:
        """What marshmallow's own load gives where nothing is wrong, without what it does for hooks and errors.

        None on any doubt, and then marshmallow says what it is; a ValidationError is one as well.

        whole : whether what is required must be there; the parts inside are whole either way
        """
        ordered = self._ordered
        if ordered is None or type(data) is not dict or any(name in data for name in self.spellings):
            return None
        loaded: dict[str, Any] = {}
        for name, field, part in ordered:
            if name in data:
                value = data[name]
                if value is None:
                    return None
                if part is not None:
                    value = part.quick(value)
                elif isinstance(field, Many):
                    value = field.quick(value)
                else:
                    value = field._deserialize(value, name, data)
                if value is None:
                    return None
                loaded[name] = value
            elif field.required and whole:
                return None
        return loaded if len(loaded) == len(data) and not (whole and self.check_alternatives(data)) else None

    @cached_property
    def defaulting(self) -> list[tuple[str, fields.Field[Any], Assumed | None]]:
        """The fields with a default or with fields inside that have one, and the default."""

        def inside(field: Any) -> bool:
            part = field.inner if isinstance(field, Many) else field
            return isinstance(part, Part | QuantityOrPart) and bool(cast("RequestPart", part.schema).defaulting)

        assumed = {name: getattr(field, "assumed", None) for name, field in self.fields.items()}
        return [(name, field, assumed[name]) for name, field in self.fields.items() if assumed[name] is not None or inside(field)]

    @cached_property
    def _ordered(self) -> list[tuple[str, fields.Field[Any], RequestPart | None]] | None:
        """The fields, with the schema of those that are parts; None where marshmallow does more for one of them than `quick` does."""
        plain = not any(self._hooks.values()) and all(
            name == (field.data_key or name) == (field.attribute or name) and _is_plain(field) for name, field in self.fields.items()
        )
        parts = {name: field.schema for name, field in self.fields.items() if isinstance(field, Part)}
        if not plain or not all(isinstance(part, RequestPart) for part in parts.values()):
            return None
        return [(name, field, cast("RequestPart | None", parts.get(name))) for name, field in self.fields.items()]

    def _lacks_only_at_its_top(self, partial: Any, data: Any) -> bool:
        """Whether any field of this object itself may be missing, and none of the objects that are there inside of it."""
        if type(partial) is not list or type(data) is not dict or not self.fields.keys() <= set(partial):
            return False
        return not any("." in name and name.partition(".")[0] in data for name in partial)

    def _do_load(self, data: Any, **kwargs: Any) -> Any:
        """Load as marshmallow does, adding the nearest name to unknown fields and the check of the alternatives.

        Errors come in the order in which their fields stand in the body, those of missing fields after them.
        """
        if isinstance(data, Mapping) and any(name in data and own not in data for name, own in self.spellings.items()):
            data = {self.spellings.get(name, name): value for name, value in data.items()}
        partial = kwargs.get("partial") or self.partial
        if not (kwargs.get("many") or kwargs.get("unknown")) and (not partial or self._lacks_only_at_its_top(partial, data)):
            with suppress(ValidationError):
                quick = self.quick(data, whole=not partial)
                if quick is not None:
                    return quick
        errors: dict[str, Any] = {}
        loaded: Any = {}
        try:
            loaded = super()._do_load(data, **kwargs)
        except ValidationError as error:
            errors = dict(error.messages_dict)
            if isinstance(data, Mapping):
                unknown = [name for name in data if name not in self.fields]
                for name in unknown[:MOST_SUGGESTED]:
                    errors[name] = [Said(unknown_field(str(name), self.fields), Code.UNKNOWN_FIELD)]
                errors = {name: errors[name] for name in data if name in errors} | errors
        if isinstance(data, Mapping) and not partial:
            ways = self.check_alternatives(data)
            if ways:
                errors["_schema"] = [*errors.get("_schema", []), *ways]
        if errors:
            raise ValidationError(errors, data=data)
        return loaded


class QuantityOrPart(Quantity):
    """A quantity, or an object inside the request that says more; a column of a batch holds quantities."""

    def __init__(self, kind: str, low: str, high: str, part: type[RequestPart], text: str, *, required: bool = False) -> None:
        super().__init__(kind, low, high, text, required=required)
        self.schema = part()

    @staticmethod
    def holds_part(value: Any) -> bool:
        """Whether a value of a request is the object rather than a quantity written as one.

        >>> QuantityOrPart.holds_part({"value": 10, "unit": "1"}), QuantityOrPart.holds_part({"compression_ratio": 10})
        (False, True)
        """
        return isinstance(value, Mapping) and not {"value", "unit"} & set(value)

    def _deserialize(self, value: Any, attr: str | None, data: Mapping[str, Any] | None, **kwargs: Any) -> Any:
        if self.holds_part(value):
            return self.schema.load(value, partial=False)  # columns of a batch do not reach inside, so it is whole
        return super()._deserialize(value, attr, data, **kwargs)


class Request(RequestPart):
    """The top of every calculation's request."""

    units = Choice(
        SYSTEMS, "what a bare number means, and the units of the answer; left out, bare numbers are refused and the answer is metric"
    )
