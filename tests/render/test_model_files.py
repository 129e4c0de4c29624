"""Models come back from their files as they were, to the last bit; nothing else is taken for models."""

from __future__ import annotations

import dataclasses
from io import BytesIO

import numpy as np
import pytest
from benchleaf.render.engine.part_models import mesh_digest
from benchleaf.render.pictures.model_files import MESHES, PARTS, models_entry, models_from_entry
from sample_assembly import sample_models


def test_they_come_back_to_the_last_bit() -> None:
    models = sample_models()
    springy = dataclasses.replace(models.parts["oring_drive"], free_rise=2.5)
    models = dataclasses.replace(models, parts={**models.parts, "oring_drive": springy})
    back = models_from_entry(models.name, models.made_from, models_entry(models))
    assert list(back.parts) == list(models.parts)
    for one, two in zip(models, back, strict=True):
        whole = ("key", "kind", "name", "material", "place", "side", "thread", "free_rise")
        assert all(getattr(one, name) == getattr(two, name) for name in whole)
        for field in dataclasses.fields(one.mesh):
            a, b = getattr(one.mesh, field.name), getattr(two.mesh, field.name)
            for x, y in zip(a, b, strict=True) if isinstance(a, tuple) else [(a, b)]:
                assert np.asarray(x).dtype == np.asarray(y).dtype
                assert np.array_equal(x, y)
        assert mesh_digest(one.mesh) == mesh_digest(two.mesh)
    assert (back.up, back.front, back.extent_mm, back.turning) == (
        models.up, models.front, models.extent_mm, models.turning,
    )  # fmt: skip
    assert back.digest == models.digest


def test_twins_share_a_mesh_in_the_file_and_after_it() -> None:
    models = sample_models()
    back = models_from_entry("x", "", models_entry(models))
    pairs = [(a.key, b.key) for a in models for b in models if a.mesh is b.mesh]
    assert pairs == [(a.key, b.key) for a in back for b in back if a.mesh is b.mesh]
    assert len({id(m.mesh) for m in models}) == len({id(m.mesh) for m in back})


def test_equal_models_give_equal_bytes() -> None:
    assert models_entry(sample_models()) == models_entry(sample_models())


def test_a_part_that_is_cut_open_is_refused() -> None:
    models = sample_models()
    key, first = next(iter(models.parts.items()))
    cut = dataclasses.replace(first, hatch=np.zeros((1, 2, 3)))
    with pytest.raises(ValueError, match=f"{key} is cut open"):
        models_entry(dataclasses.replace(models, parts={**models.parts, key: cut}))


@pytest.mark.parametrize("name", [PARTS, MESHES])
@pytest.mark.parametrize("content", [b"", b"{}", b"\x80\x04N."])
def test_nothing_else_is_taken_for_models(name: str, content: bytes) -> None:
    entry = models_entry(sample_models()) | {name: content}
    with pytest.raises((ValueError, KeyError)):
        models_from_entry("x", "", entry)


def test_no_code_in_a_file_is_run() -> None:
    out = BytesIO()
    np.savez(out, **{"0.points": np.array([print], dtype=object)}, allow_pickle=True)
    with pytest.raises((ValueError, KeyError)):
        models_from_entry("x", "", models_entry(sample_models()) | {MESHES: out.getvalue()})
