"""What the records of a job file are made of: lengths, slopes, sizes and words as the file says them.

Every scalar arrives as text. Lengths become millimetres, slopes m/m, pipe sizes nominal inches. A bare number is read
in `job: units:`; the reader passes that as validation context `{"bare": "mm" | "inch" | None}`.
"""

from __future__ import annotations

from typing import Annotated, Any, Literal

from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, WithJsonSchema
from pydantic_core.core_schema import ValidationInfo

from stubout import units


def _length(value: Any, info: ValidationInfo) -> Any:
    if isinstance(value, str):
        return units.parse_length_mm(value, (info.context or {}).get("bare"))
    return value


def _slope(value: Any) -> Any:
    return units.parse_slope(value) if isinstance(value, str) else value


def _size(value: Any) -> Any:
    return units.parse_size_in(value) if isinstance(value, str) else value


def _yes_no(value: Any) -> Any:
    if isinstance(value, str):
        word = value.strip().lower()
        if word in ("yes", "true", "y"):
            return True
        if word in ("no", "false", "n"):
            return False
        raise ValueError("wanted yes or no")
    return value


def _listed(value: Any) -> Any:
    """Let one thing stand for a list of one, and `a, b, c` for a list of words."""
    if isinstance(value, str):
        return [part.strip() for part in value.split(",") if part.strip()]
    return value


def _fahrenheit(value: Any) -> Any:
    if isinstance(value, str):
        word = value.replace("°", "").strip()
        if word[-1:].upper() == "C":
            return float(word[:-1]) * 9 / 5 + 32
        return float(word.rstrip("Ff ").strip())
    return value


_TEXT = {"type": "string"}
Length = Annotated[float, BeforeValidator(_length), WithJsonSchema({**_TEXT, "title": "length"})]
Slope = Annotated[float, BeforeValidator(_slope), WithJsonSchema({**_TEXT, "title": "slope"})]
Size = Annotated[float, BeforeValidator(_size), WithJsonSchema({**_TEXT, "title": "pipe size"})]
YesNo = Annotated[bool, BeforeValidator(_yes_no), WithJsonSchema({"enum": ["yes", "no"]})]
Temperature = Annotated[float, BeforeValidator(_fahrenheit), WithJsonSchema({**_TEXT, "title": "temperature"})]
Words = Annotated[tuple[str, ...], BeforeValidator(_listed)]
Lengths = Annotated[tuple[Length, ...], BeforeValidator(_listed)]
PlanPoint = Annotated[tuple[Length, Length], BeforeValidator(_listed)]
SpacePoint = Annotated[tuple[Length, Length, Length], BeforeValidator(_listed)]
Range = Annotated[tuple[Length, Length], BeforeValidator(_listed)]
SideWord = Literal["left", "right"]


def _spaced(name: str) -> str:
    return name.rstrip("_").replace("_", " ")


class Record(BaseModel):
    """Base of all records: unknown keys are faults, records are frozen; `line` is set by the reader."""

    model_config = ConfigDict(extra="forbid", frozen=True, populate_by_name=True, alias_generator=_spaced)


class Placed(Record):
    """A record with an id and its line in the file."""

    id: str
    line: int = Field(default=0, exclude=True, json_schema_extra={"hidden": True})
