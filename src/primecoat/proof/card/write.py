"""Write the card into a folder, as scenes in four forms with one set of pictures."""

from __future__ import annotations

import tempfile
from dataclasses import dataclass
from pathlib import Path

from primecoat.colour.ocio import DEFAULT_CONFIG
from primecoat.documents import Document, dumps
from primecoat.errors import UseError
from primecoat.files import create_bytes
from primecoat.proof.card import gltf, materialx, sheet, usd
from primecoat.proof.card.pictures import write_pictures
from primecoat.proof.card.record import FILE, card_record


@dataclass(frozen=True, slots=True, kw_only=True)
class WrittenCard:
    """The card as written: its folder, its files, and its record."""

    folder: Path
    files: tuple[Path, ...]
    record: Document


def write_card(folder: Path, *, config: str = DEFAULT_CONFIG) -> WrittenCard:
    """Write the card.

    Parameters
    ----------
    folder
        Where to; made if it is not there. A folder that holds anything is refused.
    config
        OpenColorIO config that the true values come from.

    Raises
    ------
    UseError
        If the folder is not empty, or cannot be written to.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise UseError(
            f"{folder} is not an empty folder; nothing was written.",
            "Name a folder that is empty or not there yet.",
        )
    document, buffer = gltf.gltf_scene()
    record = card_record(config)
    contents = {
        FILE: dumps(record).encode(),
        usd.FILE: usd.usd_text().encode(),
        gltf.FILE: dumps(document).encode(),
        gltf.BUFFER: buffer,
        materialx.FILE: materialx.materialx_text().encode(),
        sheet.FILE: sheet.card_sheet().encode(),
    }
    with tempfile.TemporaryDirectory(prefix="primecoat-card-") as aside:
        built = Path(aside)
        (built / "textures").mkdir()
        write_pictures(built)
        for path in sorted((built / "textures").iterdir()):
            contents[f"textures/{path.name}"] = path.read_bytes()
    return WrittenCard(
        folder=folder,
        files=tuple(_put(folder / name, content) for name, content in contents.items()),
        record=record,
    )


def _put(path: Path, content: bytes) -> Path:
    try:
        path.parent.mkdir(parents=True, exist_ok=True)
        create_bytes(path, content)
    except OSError as error:
        raise UseError(
            f"Cannot write {path}: {error.strerror}.", "Name an empty folder you may write to."
        ) from error
    return path
