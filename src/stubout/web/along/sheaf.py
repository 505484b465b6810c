"""The file of entries that a job taken along gives out: read, and refused where it is none.

Its form is written down in `docs/along.md`; a change of it is a new number of `schema`.
"""

from __future__ import annotations

from typing import Annotated, Final, Literal, Self

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from stubout.store.model import LONGEST_NAME, LONGEST_WORDS, MOST, StoreError

SCHEMA: Final = 2  # that is written; files of schema 1, which has no photos, are still about
MOST_ENTRIES: Final = 5_000  # of one file: more than a house has holes
_Name = Annotated[str, Field(max_length=LONGEST_NAME)]
_Words = Annotated[str, Field(max_length=LONGEST_WORDS)]


class _Strict(BaseModel):
    model_config = ConfigDict(extra="forbid", frozen=True)


class JobSaid(_Strict):
    """The job that was taken along."""

    id: Annotated[int, Field(ge=0, le=MOST)] = 0  # of the app it was taken from; 0 for a file of the command line
    name: str = Field(default="", max_length=LONGEST_WORDS)
    revision: Annotated[int, Field(ge=0, le=MOST)] = 0
    sha256: str = Field(default="", pattern="^([0-9a-f]{64})?$")  # of the text of the job file


class TestSaid(_Strict):
    """A water test, as it was read."""

    __test__ = False  # no test of ours

    start: _Name
    end: _Name
    minutes: _Name
    leaks: Annotated[str, Field(max_length=400)]
    witness: _Name


class BackSaid(_Strict):
    """Which entry is taken back: one of a file by its token, or a record of the app by its number."""

    token: _Name = ""
    record: Annotated[int, Field(ge=0, le=MOST)] = 0


class EntrySaid(_Strict):
    """One entry."""

    token: Annotated[str, Field(min_length=8, max_length=LONGEST_NAME)]
    kind: Literal["tick", "height", "slope", "note", "test", "photo", "taken back"]
    about: Annotated[str, Field(min_length=1, max_length=LONGEST_NAME)]
    place: _Words = ""
    wall: _Name = ""
    value: _Words = ""
    datum: Literal["subfloor", "finished"] = "subfloor"  # of a height
    test: TestSaid | None = None
    takes_back: BackSaid | None = None
    photo: str = ""  # of a photo: the picture in base64; looked at where it is merged
    author: _Name = ""
    at: Annotated[str, Field(pattern=r"^\d{4}-\d\d-\d\dT\d\d:\d\d:\d\dZ$")]


class Sheaf(_Strict):
    """The whole file."""

    stubout: Literal["entries"]
    schema_: Literal[1, 2] = Field(alias="schema")
    job: JobSaid
    entries: Annotated[tuple[EntrySaid, ...], Field(max_length=MOST_ENTRIES)]

    @model_validator(mode="after")
    def _photos_are_of_schema_2(self) -> Self:
        if self.schema_ == 1 and any(e.kind == "photo" or e.photo for e in self.entries):
            raise ValueError("a photo in a file of schema 1, which has none")
        return self


def read(data: bytes | str) -> Sheaf:
    """Return the file of entries; StoreError with the first fault if it is none."""
    try:
        return Sheaf.model_validate_json(data)
    except ValidationError as error:
        first = error.errors(include_url=False, include_input=False)[0]
        where = ".".join(str(p) for p in first["loc"]) or "the file"
        raise StoreError(f"this is no file of entries that can be read: {where}: {first['msg']}") from None
