"""Frozen values back from the plain documents that ``dataclasses.asdict`` makes of them."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import fields, is_dataclass
from types import UnionType
from typing import Any, TypeVar, Union, get_args, get_origin, get_type_hints

T = TypeVar("T")
Restore = Callable[[Any], Any]


def restore(kind: type[T], document: Mapping[str, Any]) -> T:
    """Return the frozen value that a document was made from, also after a way through JSON.

    Lists become tuples, documents become the dataclasses that the fields' types name.

    Parameters
    ----------
    kind
        A dataclass whose fields hold plain values, dataclasses, tuples of one type, or None.

    Raises
    ------
    TypeError, KeyError
        If the document is of another layout.
    """
    made: T = _restorer(kind)(document)
    return made


_KNOWN: dict[Any, Restore] = {}


def _restorer(kind: Any) -> Restore:
    if kind not in _KNOWN:
        _KNOWN[kind] = _made(kind)
    return _KNOWN[kind]


def _made(kind: Any) -> Restore:
    if isinstance(kind, type) and is_dataclass(kind):
        hints = get_type_hints(kind)
        plans = [(f.name, _restorer(hints[f.name])) for f in fields(kind)]
        special = [(name, plan) for name, plan in plans if plan is not _same]

        def dataclass_of(document: Mapping[str, Any]) -> Any:
            return kind(**{**document, **{name: plan(document[name]) for name, plan in special}})

        return dataclass_of
    origin, arguments = get_origin(kind), get_args(kind)
    if origin in (Union, UnionType):
        inner = _restorer(next(part for part in arguments if part is not type(None)))
        return inner if inner is _same else lambda value: None if value is None else inner(value)
    if origin is tuple:
        inner = _restorer(arguments[0])
        if inner is _same:
            return tuple
        return lambda values: tuple(map(inner, values))
    return _same


def _same(value: Any) -> Any:
    return value
