"""Base of the file models: strict fields, text as it was written, and each pydantic error turned into a :class:`Fault`.

API::

    FileModel                                # base class; .path is where the object stands in its file
    validate_file(model, doc, faults) -> model | None     # every field and every entry judged on its own
    refuse(found, allowed, fix)              # error for validators
    Text, Name, OneOrMany                    # field types
"""

from __future__ import annotations

import re
import types
import typing
from collections import Counter
from collections.abc import Mapping
from typing import Annotated, Any, TypeVar

from pydantic import (
    BaseModel,
    BeforeValidator,
    ConfigDict,
    PrivateAttr,
    TypeAdapter,
    ValidationError,
    WithJsonSchema,
)
from pydantic.fields import FieldInfo
from pydantic_core import PydanticCustomError, core_schema

from .faults import Fault, Faults, any_of, likely, shown, unprintable
from .yaml_files import Path, WrittenFloat, WrittenInt, YamlFile

M = TypeVar("M", bound="FileModel")


class FileModel(BaseModel):
    """A mapping in a user's file: unknown keys are refused and nothing is converted by guess."""

    model_config = ConfigDict(extra="forbid", strict=True, populate_by_name=True)
    _path: Path = PrivateAttr(default=())
    _sound: bool = PrivateAttr(default=True)

    @property
    def path(self) -> Path:
        """Where this object stands in its file."""
        return self._path

    @property
    def sound(self) -> bool:
        """Whether all of it could be read; what could not stands empty and has its fault."""
        return self._sound


def refuse(found: str, allowed: str, fix: str = "") -> PydanticCustomError:
    """Return the error that a validator raises: it becomes a fault with these words."""
    return PydanticCustomError(
        "refused", "allowed: {allowed}", {"found": found, "allowed": allowed, "fix": fix}
    )


def _as_written(value: Any) -> Any:
    if isinstance(value, (WrittenInt, WrittenFloat)):
        return value.written
    if isinstance(value, str):
        text = value.strip()
        if not text:
            raise refuse("empty text", "some text", "write it, or take the line away")
        if sign := unprintable(text):
            found = f"the character U+{ord(sign):04X}"
            raise refuse(found, "text that can be printed", "delete that character")
        return text
    return value


Text = Annotated[
    str, BeforeValidator(_as_written), WithJsonSchema({"type": ["string", "number"], "description": "text"})
]
"""Text; a number is read as it was written (62, 1.10)."""


def _name(value: Any) -> Any:
    value = _as_written(value)
    if isinstance(value, str) and not re.fullmatch(r"[a-z][a-z0-9_]*", value):
        better = re.sub(r"[^a-z0-9]+", "_", value.casefold()).strip("_")
        fix = f"write {better}" if re.fullmatch(r"[a-z][a-z0-9_]*", better) else ""
        raise refuse(shown(value), "lower-case letters, digits and _, a letter first", fix)
    return value


Name = Annotated[
    str, BeforeValidator(_name), WithJsonSchema({"type": "string", "pattern": "^[a-z][a-z0-9_]*$"})
]
"""An identifier in lower case."""


class _OneOrMany:
    """Marks a list that may be written as its single entry."""

    def __get_pydantic_core_schema__(self, source: Any, handler: Any) -> Any:
        return core_schema.no_info_before_validator_function(_listed, handler(source))

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        inner = schema["schema"] if schema.get("type") == "function-before" else schema
        array = handler(inner)
        return {"anyOf": [array["items"], array]}


def _listed(value: Any) -> Any:
    return value if isinstance(value, list) else [value]


ONE_OR_MANY = _OneOrMany()


def _first_key(model: type[FileModel], data: Any) -> str:
    """Return the key that a file likely lacks where it is no mapping: of a list, the one that takes its entries."""
    if isinstance(data, list):
        entries = Counter(key for entry in data if isinstance(entry, dict) for key in entry)
        fits = {
            key: sum(entries[k] for k in _fields_by_key(inner))
            for key, name in _fields_by_key(model).items()
            if (inner := _entry_model(model.model_fields[name].annotation)) is not None
        }
        if fits and max(fits.values()):
            return max(fits, key=fits.__getitem__)
    return next(iter(model.model_fields))


def _entry_model(annotation: Any) -> type[FileModel] | None:
    """Return the model of the entries of a field that holds a list of them."""
    for inner in typing.get_args(annotation) if typing.get_origin(annotation) is list else ():
        if isinstance(inner, type) and issubclass(inner, FileModel):
            return inner
    return None


def validate_file(model: type[M], doc: YamlFile, faults: Faults) -> M | None:
    """Return the file as ``model``; what is wrong goes to ``faults`` and stands in the result as empty.

    Every field and every entry is judged on its own, so that checks across entries can still run on what could be
    read (see :attr:`FileModel.sound`), and one run reports all mistakes. None where the file is no mapping at all.
    """
    data, before = doc.data, len(faults)
    if not isinstance(data, dict):
        faults.add(
            doc.fault(
                (),
                shown(data),
                "a mapping of keys to values",
                f"begin with {_first_key(model, data)}:",
            )
        )
        return None
    known = _fields_by_key(model)
    meant = {likely(key, known) for key in data if key not in known}
    for key in data:
        if key not in known:
            faults.add(_unknown_key(doc, (key,), known))
    for key, name in known.items():
        info = model.model_fields[name]
        if key not in data and info.is_required() and key not in meant:
            faults.add(_missing(doc, (), key, info))
    result = _field_by_field(model, doc, (), data, faults)
    result._sound = len(faults) == before
    return result


def _fields_by_key(model: type[FileModel]) -> dict[str, str]:
    return {f.alias or n: n for n, f in model.model_fields.items()}


def _field_by_field(model: type[M], doc: YamlFile, path: Path, data: dict[str, Any], faults: Faults) -> M:
    """Return the model with every field that can be read; the others stand empty."""
    values: dict[str, Any] = {}
    for key, name in _fields_by_key(model).items():
        info = model.model_fields[name]
        values[name] = _field(info, doc, (*path, key), data[key], faults) if key in data else _empty(info)
    result = model.model_construct({n for k, n in _fields_by_key(model).items() if k in data}, **values)
    result._path = path
    return result


def _field(info: FieldInfo, doc: YamlFile, path: Path, value: Any, faults: Faults) -> Any:
    origin, args = typing.get_origin(info.annotation), typing.get_args(info.annotation)
    if origin is list and isinstance(value, list) and value:
        return [
            m
            for n, v in enumerate(value)
            if (m := _validate(args[0], doc, (*path, n), v, faults)) is not None
        ]
    if origin is dict and isinstance(value, dict):
        kept = {}
        for k, v in value.items():
            entry = _validate(args[1], doc, (*path, k), v, faults)
            name = _validate(args[0], doc, (*path, k), k, faults, key=True)
            if name is not None and entry is not None:
                kept[name] = entry
        return kept
    result = _validate(info.rebuild_annotation(), doc, path, value, faults)
    return _empty(info) if result is None else result


def _validate(
    annotation: Any, doc: YamlFile, path: Path, value: Any, faults: Faults, key: bool = False
) -> Any:
    try:
        result = _adapter(annotation).validate_python(value, strict=True)
    except ValidationError as error:
        details: list[dict[str, Any]] = [{**e} for e in error.errors(include_url=False)]
        renamed = {_renamed(annotation, e) for e in details}
        for e in details:
            if e["type"] != "missing" or tuple(e["loc"]) not in renamed:
                faults.add(_fault(annotation, doc, path, e, key))
        return _salvaged(annotation, doc, path, value)
    set_paths(result, path)
    return result


def _salvaged(annotation: Any, doc: YamlFile, path: Path, value: Any) -> Any:
    """Return what can be read of a mapping whose faults have been noted; None where it is no mapping."""
    model = _bare(annotation)
    if not (isinstance(model, type) and issubclass(model, FileModel) and isinstance(value, dict)):
        return None
    result = _field_by_field(model, doc, path, value, Faults())
    result._sound = False
    return result


def _renamed(annotation: Any, error: Mapping[str, Any]) -> tuple[Any, ...] | None:
    """Return where a key is missing only because this error's unknown key is its misspelling."""
    loc = tuple(error["loc"])
    if error["type"] != "extra_forbidden":
        return None
    model = _model_at(annotation, loc[:-1])
    near = likely(str(loc[-1]), [f.alias or n for n, f in model.model_fields.items()]) if model else None
    return (*loc[:-1], near) if near else None


_ADAPTERS: dict[int, tuple[Any, TypeAdapter[Any]]] = {}


def _adapter(annotation: Any) -> TypeAdapter[Any]:
    kept = _ADAPTERS.get(id(annotation))
    if kept is None or kept[0] is not annotation:
        kept = _ADAPTERS[id(annotation)] = (annotation, TypeAdapter(annotation))
    return kept[1]


def set_paths(value: Any, path: Path) -> None:
    if isinstance(value, FileModel):
        value._path = path
        for name, info in type(value).model_fields.items():
            set_paths(getattr(value, name), (*path, info.alias or name))
    elif isinstance(value, (list, tuple)):
        for n, v in enumerate(value):
            set_paths(v, (*path, n))
    elif isinstance(value, dict):
        for k, v in value.items():
            set_paths(v, (*path, k))


def _empty(info: FieldInfo) -> Any:
    if not info.is_required():
        return info.get_default(call_default_factory=True)
    if isinstance(info.annotation, type) and issubclass(info.annotation, float):
        return 0.0
    origin = typing.get_origin(info.annotation)
    return [] if origin is list else {} if origin is dict else ""


def _missing(doc: YamlFile, path: Path, key: str, info: FieldInfo | None) -> Fault:
    words = (info.description or "").rstrip(".") if info else ""
    return doc.fault(
        path, f"no {key}", f"{key}: {words}" if words else f"{key} is needed", f"add the line {key}: ..."
    )


def _unknown_key(doc: YamlFile, path: Path, known: typing.Iterable[str]) -> Fault:
    names = list(known)
    near = likely(str(path[-1]), names)
    fix = f"write {near}" if near else "take the line away"
    return doc.fault(path, f"the key {path[-1]}", any_of(names, str(path[-1])), fix, key=True)


def _fault(annotation: Any, doc: YamlFile, path: Path, error: dict[str, Any], key: bool) -> Fault:
    kind, loc, value = error["type"], tuple(error["loc"]), error.get("input")
    ctx: Mapping[str, Any] = error.get("ctx") or {}
    full = (*path, *loc)
    if full and full[-1] == "[key]":
        full, key = full[:-1], True
    here = doc.real(full)
    if kind == "missing":
        model = _model_at(annotation, loc[:-1])
        info = (
            next((f for n, f in model.model_fields.items() if (f.alias or n) == loc[-1]), None)
            if model
            else None
        )
        return _missing(doc, doc.real(full[:-1]), str(loc[-1]), info)
    if kind == "extra_forbidden":
        model = _model_at(annotation, loc[:-1])
        names = [f.alias or n for n, f in model.model_fields.items()] if model else []
        return _unknown_key(doc, full, names)
    if kind == "refused":
        return doc.fault(here, ctx["found"], ctx["allowed"], ctx["fix"], key=key)
    allowed, fix = _words(kind, ctx, value, str(error["msg"]))
    return doc.fault(here, shown(value), allowed, fix, key=key)


def _words(kind: str, ctx: Mapping[str, Any], value: Any, message: str) -> tuple[str, str]:
    """Return what is allowed and the likely fix for one of pydantic's own error types."""
    if kind == "literal_error":
        choices = re.findall(r"'([^']*)'", str(ctx.get("expected", "")))
        near = likely(str(getattr(value, "written", value)), choices)
        return any_of(choices, str(value)) or str(ctx.get("expected", "")), f"write {near}" if near else ""
    if kind.startswith("bool"):
        said = str(value).casefold()
        near = (
            "true" if said in ("yes", "on", "y", "1") else "false" if said in ("no", "off", "n", "0") else ""
        )
        return "true or false", f"write {near}" if near else ""
    if kind.startswith(("float", "int", "finite")):
        allowed = "a whole number" if kind.startswith("int") else "a number"
        if isinstance(value, str) and re.fullmatch(r"[-+]?\d+,\d+", value.strip()):
            return allowed, f"write {value.strip().replace(',', '.')}"
        number = re.match(r"\s*([-+]?\d+(?:\.\d+)?)", value) if isinstance(value, str) else None
        return allowed, f"write {number[1]} without unit or quotes" if number else "write a number"
    if kind.startswith("string"):
        return "text", "put it in quotes" if isinstance(value, bool) else "write some text"
    if kind in ("list_type", "tuple_type"):
        return "a list", "write one entry a line, each after '- '"
    if kind in ("dict_type", "model_type", "model_attributes_type"):
        return "a mapping of keys to values", "write one 'key: value' a line below it, indented"
    if kind in ("too_short", "too_long"):
        words, count = (
            ("at least", ctx["min_length"]) if kind == "too_short" else ("at most", ctx["max_length"])
        )
        return f"{words} {count} {'entry' if count == 1 else 'entries'}", ""
    limits = {"greater_than": "gt", "greater_than_equal": "ge", "less_than": "lt", "less_than_equal": "le"}
    if kind in limits:
        words = {"gt": "more than", "ge": "at least", "lt": "less than", "le": "at most"}[limits[kind]]
        return f"{words} {ctx[limits[kind]]:g}", ""
    return message, ""


def _model_at(annotation: Any, loc: tuple[Any, ...]) -> type[BaseModel] | None:
    """Return the model that stands at ``loc`` below ``annotation``, following lists, mappings and options."""
    annotation = _bare(annotation)
    if isinstance(annotation, type) and issubclass(annotation, BaseModel):
        if not loc:
            return annotation
        for name, info in annotation.model_fields.items():
            if (info.alias or name) == loc[0]:
                return _model_at(info.annotation, loc[1:])
        return None
    args = typing.get_args(annotation)
    origin = typing.get_origin(annotation)
    if origin in (list, tuple) and args:
        return _model_at(args[0], loc[1:] if loc and isinstance(loc[0], int) else loc)
    if origin is dict and args:
        return _model_at(args[1], loc[1:])
    return None


def _bare(annotation: Any) -> Any:
    while typing.get_origin(annotation) is Annotated:
        annotation = typing.get_args(annotation)[0]
    if typing.get_origin(annotation) in (typing.Union, types.UnionType):
        inner = [a for a in typing.get_args(annotation) if a is not type(None)]
        return _bare(inner[0])
    return annotation
