"""Textures of glTF materials, named by their pictures until they are numbered."""

from __future__ import annotations

from typing import Any

Json = dict[str, Any]


def picture(path: str, **more: Any) -> Json:
    """Return a texture named by its picture, with whatever else glTF lets it say."""
    return {"index": path, **more}


def number_textures(parts: list[Json]) -> tuple[list[Json], list[str]]:
    """Return the materials with texture indices, and the pictures in order of first use."""
    pictures: list[str] = []

    def numbered(value: Any) -> Any:
        match value:
            case {"index": str(path)}:
                if path not in pictures:
                    pictures.append(path)
                return {**value, "index": pictures.index(path)}
            case dict():
                return {key: numbered(item) for key, item in value.items()}
            case list():
                return [numbered(item) for item in value]
            case _:
                return value

    return [numbered(part) for part in parts], pictures
