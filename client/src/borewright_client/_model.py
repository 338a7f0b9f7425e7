"""Answers with attributes: a thin, read-only view of what JSON brought, typed by the annotations of its class."""

from collections.abc import Iterator, Mapping
from difflib import get_close_matches
from functools import cache
from types import UnionType
from typing import TYPE_CHECKING, Any, Self, Union, get_args, get_origin, get_type_hints

from borewright_client._errors import MissingMember


class Model(Mapping[str, Any]):
    """An object of an answer: `answer.verdict` or `answer["verdict"]`; `raw` is what JSON brought, with all that a newer service adds."""

    __slots__ = ("raw",)
    raw: dict[str, Any]

    def __init__(self, raw: Mapping[str, Any]) -> None:
        object.__setattr__(self, "raw", dict(raw))

    def __setattr__(self, name: str, value: object) -> None:
        raise AttributeError(f"an answer is only read: {name} can't be set")

    def __getitem__(self, name: str) -> Any:
        return made(_hints(type(self)).get(name.replace("-", "_"), Any), self.raw[name])

    def __iter__(self) -> Iterator[str]:
        return iter(self.raw)

    def __len__(self) -> int:
        return len(self.raw)

    def __repr__(self) -> str:
        return f"{type(self).__name__}({self.raw!r})"

    def __str__(self) -> str:
        return "\n".join(_lines(self))

    def __dir__(self) -> list[str]:
        return sorted({*super().__dir__(), *_hints(type(self)), *filter(str.isidentifier, self.raw)})

    def __reduce__(self) -> tuple[type[Self], tuple[dict[str, Any]]]:
        return type(self), (self.raw,)

    if not TYPE_CHECKING:  # a type checker is to know the annotated members and no other

        def __getattr__(self, name: str) -> Any:
            if name.startswith("__"):
                raise AttributeError(name)
            for wire in (name, name.rstrip("_"), name.replace("_", "-")):
                if wire in self.raw:
                    return self[wire]
            hint = _hints(type(self)).get(name)
            if hint is None:
                near = get_close_matches(name, {*_hints(type(self)), *self.raw}, n=1)
                meant = f": is {near[0]!r} meant?" if near else ""
                raise MissingMember(f"{type(self).__name__} has no member {name!r}{meant}")
            if type(None) in get_args(hint):
                return None
            raise MissingMember(f"the answer lacks {name!r}: is the service older than this client?")


@cache
def _hints(kind: type[Model]) -> dict[str, Any]:
    return get_type_hints(kind)


def made(hint: Any, value: Any) -> Any:
    """A value of an answer as its annotation says.

    >>> made(list[int], [1, 2]), made(int | None, None)
    ([1, 2], None)
    """
    if value is None:
        return None
    origin = get_origin(hint)
    if origin in (Union, UnionType):
        models = [kind for kind in get_args(hint) if _is_model(kind) or get_origin(kind) in (list, dict)]
        return made(models[0], value) if models and isinstance(value, dict | list) else value
    if origin is list and isinstance(value, list):
        (inner,) = get_args(hint)
        return [made(inner, entry) for entry in value]
    if origin is dict and isinstance(value, dict):
        _, inner = get_args(hint)
        return {name: made(inner, entry) for name, entry in value.items()}
    return hint(value) if _is_model(hint) and isinstance(value, Mapping) else value


def _lines(held: Mapping[str, Any] | list[Any]) -> Iterator[str]:
    """An answer as one reads it: a member a line, what is inside indented."""
    entries = held.items() if isinstance(held, Mapping) else (("-", entry) for entry in held)
    for name, value in entries:
        head = name if name == "-" else f"{name}:"
        if isinstance(value, Mapping | list) and value and not hasattr(value, "__float__"):
            yield head
            yield from (f"  {line}" for line in _lines(value))
        else:
            yield f"{head} {'none' if value is None or value == [] or value == {} else value}"


def _is_model(hint: Any) -> bool:
    return isinstance(hint, type) and issubclass(hint, Model)
