"""Frozen records declared like dataclasses, for the kinds of component.

Dataclasses compile their methods for each of some sixty classes with up to fifty fields, which took 0.18 s of every
command; a shared constructor that stores only what was given takes next to nothing. What was not given is the class's
default.
"""

from __future__ import annotations

import inspect
from typing import Any, ClassVar, NoReturn, TypeVar, dataclass_transform

T = TypeVar("T", bound="type[Record]")


class Record:
    """Base of frozen records: fields by keyword only, compared by identity."""

    FIELDS: ClassVar[dict[str, str]] = {}
    """Every field's name with its annotation, the base classes' first."""
    REQUIRED: ClassVar[frozenset[str]] = frozenset()
    """Fields without a default."""

    def __init__(self, **values: Any) -> None:
        unknown = values.keys() - self.FIELDS.keys()
        missing = self.REQUIRED - values.keys()
        if unknown or missing:
            raise TypeError(f"{type(self).__name__}: unknown or missing {', '.join(sorted(unknown | missing))}")
        self.__dict__.update(values)

    def __setattr__(self, name: str, value: object) -> NoReturn:
        raise AttributeError(f"{type(self).__name__} is frozen")

    def __repr__(self) -> str:
        given = ", ".join(f"{name}={value!r}" for name, value in self.__dict__.items())
        return f"{type(self).__name__}({given})"


@dataclass_transform(kw_only_default=True, frozen_default=True)
def record(cls: T) -> T:
    """Declare a class's annotated names as its fields, on top of those of its bases."""
    own = {
        name: annotation
        for name, annotation in inspect.get_annotations(cls).items()
        if not annotation.startswith("ClassVar")
    }
    cls.FIELDS = {**cls.FIELDS, **own}
    cls.REQUIRED = cls.REQUIRED | frozenset(name for name in own if name not in cls.__dict__)
    return cls
