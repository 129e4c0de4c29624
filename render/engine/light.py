"""Light that travels with the eye: mapped onto surfaces as a picture of a lit sphere, one of each material.

All light comes from afar and the projection is parallel, so the colour of a spot depends on nothing but how its normal
lies to the eye. It is reckoned once for all normals, by Phong's formula, and then only looked up: in less than half the
time that the graphics library takes to light each pixel anew.
"""

from __future__ import annotations

from functools import lru_cache
from typing import Any

import numpy as np
from numpy.typing import NDArray

from ...geometry.frame import Floats
from .material_styles import MaterialStyle

LIGHTS = ((-0.55, 0.8, 1.1, 0.92), (0.85, 0.15, 0.8, 0.48), (0.1, -0.9, 0.5, 0.16))
"""Direction seen from what is lit (right, up, towards the eye) and strength: key, fill, and a little from below."""
SPHERE_PIXELS = 256
"""Width of the picture of a sphere."""
FARTHEST_RAD = 2.1
"""How far from the direction to the eye normals are told apart: round parts carry some that look away."""


def lit(normals: Floats, material: MaterialStyle) -> Floats:
    """Return the colour (n, 3) from 0 to 1 of spots with unit ``normals`` (n, 3): right, up, towards the eye.

    Phong's formula: ambient, diffuse and specular light added up and cut off at white.
    """
    diffuse = np.full(len(normals), material.ambient, dtype=np.float64)
    shine = np.zeros(len(normals))
    for *direction, strength in LIGHTS:
        to_light = np.array(direction) / np.linalg.norm(direction)
        facing = normals @ to_light
        mirrored = 2.0 * facing * normals[:, 2] - to_light[2]  # towards the eye, after the mirror
        diffuse += material.diffuse * strength * np.maximum(facing, 0.0)
        shine += np.where(facing > 0.0, strength * np.maximum(mirrored, 0.0) ** material.power, 0.0)
    colour: Floats = np.outer(diffuse, material.colour) + material.specular * shine[:, None]
    return np.clip(colour, 0.0, 1.0)


def on_sphere(normals: Floats) -> NDArray[np.float32]:
    """Return where in the picture of the sphere unit ``normals`` (n, 3) are found, (n, 2) from 0 to 1.

    The distance from the middle grows with the angle to the eye, so that what lies between two normals of a round part
    lies between their spots.
    """
    across = np.hypot(normals[:, 0], normals[:, 1])
    angle = np.arctan2(across, normals[:, 2])
    share = np.minimum(angle / FARTHEST_RAD, 1.0) * 0.5 * _RIM / np.maximum(across, 1e-12)
    return np.asarray(0.5 + normals[:, :2] * share[:, None], dtype=np.float32)


_RIM = 1.0 - 1.0 / SPHERE_PIXELS
"""The farthest normals lie in the middle of the outermost pixels."""


@lru_cache(maxsize=64)
def lit_sphere(material: MaterialStyle) -> NDArray[np.uint8]:
    """Return the picture of a lit sphere, (SPHERE_PIXELS, SPHERE_PIXELS, 3) uint8, lowest row first."""
    spots = ((np.arange(SPHERE_PIXELS) + 0.5) / SPHERE_PIXELS - 0.5) * 2.0 / _RIM
    right, up = np.meshgrid(spots, spots)
    share = np.hypot(right, up)
    angle = np.minimum(share, 1.0) * FARTHEST_RAD
    across = np.sin(angle) / np.maximum(share, 1e-12)
    normals = np.stack([right * across, up * across, np.cos(angle)], axis=-1).reshape(-1, 3)
    colours = np.round(255.0 * lit(normals, material)).astype(np.uint8)
    return colours.reshape(SPHERE_PIXELS, SPHERE_PIXELS, 3)


def sphere_texture(material: MaterialStyle) -> Any:
    """Return :func:`lit_sphere` as a texture of the graphics library."""
    from vtkmodules.util.numpy_support import numpy_to_vtk
    from vtkmodules.vtkCommonDataModel import vtkImageData
    from vtkmodules.vtkRenderingCore import vtkTexture

    picture = vtkImageData()
    picture.SetDimensions(SPHERE_PIXELS, SPHERE_PIXELS, 1)
    colours = numpy_to_vtk(lit_sphere(material).reshape(-1, 3), deep=True)  # type: ignore[no-untyped-call]
    picture.GetPointData().SetScalars(colours)
    texture = vtkTexture()
    texture.SetInputData(picture)
    texture.SetColorModeToDirectScalars()
    texture.InterpolateOn()
    texture.MipmapOff()
    texture.RepeatOff()
    return texture
