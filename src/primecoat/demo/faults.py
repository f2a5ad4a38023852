"""The faults planted in the demo scene, each in a picture of its own."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.findings.catalogue import CATALOGUE


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One planted fault.

    Parameters
    ----------
    name
        Name of the finding it must raise, from the catalogue.
    where
        The picture at fault, as the scene names it.
    healthy
        What the clean twin names in its place.
    words
        What is wrong and how the picture must be read all the same.
    """

    name: str
    where: str
    healthy: str
    words: str

    @property
    def code(self) -> str:
        """Code of the finding it must raise."""
        return next(entry.code for entry in CATALOGUE.values() if entry.name == self.name)

    @property
    def surveyed(self) -> str:
        """The picture at fault as a survey names it: by its name on disk, if it is there."""
        return self.where if self.name != "file_name_differs_in_case" else self.healthy

    def path(self, clean: bool) -> str:
        """Return what a twin of the scene names here."""
        return self.healthy if clean else self.where


BENT_NORMALS = Fault(
    name="normal_map_is_damaged",
    where="textures/bowl_normal.png",
    healthy="textures/bowl_normal.png",
    words="This normal map was saved through an sRGB curve: its vectors have unit length only "
    "after the curve is undone. It is still data.",
)
FOREIGN_PROFILE = Fault(
    name="header_contradicts_slot",
    where="textures/bowl_color.png",
    healthy="textures/bowl_color.png",
    words="This base colour embeds a Display P3 profile, but glTF fixes the slot to "
    "sRGB-encoded Rec.709 and has profiles ignored.",
)
TWO_READINGS = Fault(
    name="one_picture_two_readings",
    where="textures/sugar_jar_color.png",
    healthy="textures/sugar_jar_occlusion.png",
    words="One picture serves as base colour and as occlusion on the same channel: no single "
    "reading is right for both.",
)
STALE_TOKEN = Fault(
    name="token_contradicts_slot",
    where="textures/saucer_roughness_srgb_rec709_scene.png",
    healthy="textures/saucer_roughness.png",
    words="The name of this roughness map says sRGB-encoded colour; the slot wants data.",
)
BERRY = Fault(
    name="name_looks_like_a_token",
    where="textures/strawberry_jam_color.png",
    healthy="textures/cherry_jam_color.png",
    words="The name holds the letters r-a-w inside a word; it is a berry and says nothing "
    "about colour.",
)
MISSING = Fault(
    name="file_is_missing",
    where="textures/coaster_color.png",
    healthy="textures/coaster_color.png",
    words="The scene names this picture, the disk has none.",
)
CASE = Fault(
    name="file_name_differs_in_case",
    where="textures/Cup_Color.png",
    healthy="textures/cup_color.png",
    words="The scene writes this name with capitals, the disk without: it opens on some "
    "systems and not on others.",
)
SIXTEEN_BIT = Fault(
    name="sixteen_bit_colour_without_statement",
    where="textures/saucer_color.png",
    healthy="textures/saucer_color.png",
    words="A base colour of 16 bits that says nothing of its colour space: a reader that goes "
    "by the bit depth takes it for data.",
)
LOW_RANGE = Fault(
    name="environment_is_not_high_range",
    where="textures/courtyard_panorama.png",
    healthy="textures/courtyard_panorama.hdr",
    words="An 8-bit picture poses as the light of the sky; nothing tells how its numbers must "
    "be read.",
)

FAULTS: tuple[Fault, ...] = (
    BENT_NORMALS,
    FOREIGN_PROFILE,
    TWO_READINGS,
    STALE_TOKEN,
    BERRY,
    MISSING,
    CASE,
    SIXTEEN_BIT,
    LOW_RANGE,
)
"""All planted faults."""
