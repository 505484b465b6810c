"""JSON Schema of the job file and of the files beside it, for editors: keys with blanks, values as YAML reads them."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, Final, Literal

from pydantic import BeforeValidator
from pydantic.json_schema import GenerateJsonSchema

from stubout.job.model import Job, Record
from stubout.job.overlays import AmendFileSaid, ConfirmFileSaid

_OURS: Final = ("line", "source", "file_lines")  # filled in by the reader
_ALWAYS_LISTS: Final = ("said",)  # whole sentences: a comma in one parts nothing
_HELP: Final = {
    "length": "A length: 14 3/4\", 5'-11 3/8\", 375 mm; a bare number is in the job's units.",
    "slope": "A slope: 1/4 in/ft, 2 %, 1:50.",
    "pipe size": 'A nominal pipe size: 1-1/2, 2", DN 50.',
    "temperature": "A temperature: -5 F, -20 C.",
}


FileKind = Literal["job", "amendments", "confirmations"]
_ROOTS: Final[dict[FileKind, type[Record]]] = {
    "job": Job,
    "amendments": AmendFileSaid,
    "confirmations": ConfirmFileSaid,
}


def json_schema(of: FileKind = "job") -> dict[str, Any]:
    """Return the schema of a file (draft 2020-12).

    Args:
        of: A job file, a file of amendments, or a file of confirmations.
    """
    root = _ROOTS[of]
    schema = root.model_json_schema(by_alias=True)
    if of == "confirmations":  # in a file of its own each entry names its book; in a job the job does
        schema["$defs"]["ConfirmSaid"]["required"].append("book")
    records: dict[str, type[Record]] = {r.__name__: r for r in _records(Record)}
    for name, part in [(root.__name__, schema), *schema["$defs"].items()]:
        part.pop("title", None)
        for key in _OURS:
            part.get("properties", {}).pop(key, None)
        if name in records:
            _open_shorthands(part["properties"], records[name])
    return {"$schema": GenerateJsonSchema.schema_dialect, "title": f"Stubout {of}", **_eased(schema)}


def _records(kind: type[Record]) -> Iterator[type[Record]]:
    for sub in kind.__subclasses__():
        yield sub
        yield from _records(sub)


def _open_shorthands(properties: dict[str, Any], record: type[Record]) -> None:
    """Drop headings made from Python names; let one finish stand for a list of them, as the reader does."""
    for info in record.model_fields.values():
        value = properties.get(info.alias or "")
        if value is None:
            continue
        if value.get("title") not in _HELP:
            value.pop("title", None)
        one_record = value.get("items", {}).get("$ref")
        if one_record and any(isinstance(m, BeforeValidator) for m in info.metadata):
            kept = {k: value.pop(k) for k in list(value)}
            value["anyOf"] = [{"type": "string"}, {"$ref": one_record}, kept]


def _eased(part: Any, key: str = "") -> Any:
    """Allow what the reader allows: `a, b` for a list, and the numbers and truth values YAML makes of texts."""
    if isinstance(part, list):
        return [_eased(p) for p in part]
    if not isinstance(part, dict):
        return part
    out = {k: _eased(v, k) for k, v in part.items() if k != "default"}
    if {"type": "null"} in out.get("anyOf", ()):  # optional means left out, not left empty
        (kept,) = [p for p in out.pop("anyOf") if p != {"type": "null"}]
        out = {**kept, **out}
    words = out.pop("enum", None) or ([out.pop("const")] if "const" in out else None)
    if words:
        out.pop("type", None)
        return {**out, "enum": _as_yaml(words)}
    match out.get("type"):
        case "string":
            if (title := out.pop("title", "")) in _HELP:
                out["description"] = _HELP[title]
            return {**out, "type": ["string", "number"]}  # an editor takes `375` for a number, the reader for a text
        case "integer":
            return {**out, "type": ["integer", "string"], "pattern": "^[0-9]+$"}
        case "number":
            return {**out, "type": ["number", "string"], "pattern": "^[0-9.]+$"}
        case "array" if key not in _ALWAYS_LISTS and ("prefixItems" in out or "$ref" not in out.get("items", "$ref")):
            if "prefixItems" not in out and _is_list_of_lists(out):
                return out
            described = {k: out.pop(k) for k in ("description",) if k in out}
            return {**described, "anyOf": [{"type": ["string", "number"]}, out]}
    return out


def _is_list_of_lists(part: dict[str, Any]) -> bool:
    return any(p.get("type") == "array" for p in part["items"].get("anyOf", ()))


def _as_yaml(words: list[Any]) -> list[Any]:
    numbers = [int(w) for w in words if isinstance(w, str) and w.isdigit()]
    truths = [truth for word, truth in (("yes", True), ("no", False)) if word in words]
    return [*words, *numbers, *truths]
