"""A plan: operations in order, what is held back, and the findings that came up."""

from __future__ import annotations

from dataclasses import asdict, dataclass
from pathlib import Path
from typing import Any, Literal

from primecoat.documents import Document, load
from primecoat.errors import InputError
from primecoat.findings import Finding
from primecoat.location import printable
from primecoat.plan.operations import Operation, as_document, from_document

KIND = "primecoat.plan/1"
Route = Literal["tag", "declare", "bake"]
ROUTES: tuple[Route, ...] = ("tag", "declare", "bake")


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """Something that the plan leaves as it is, with the reason."""

    where: str
    why: str
    remedy: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Plan:
    """Everything that ``apply`` will do, in order.

    Parameters
    ----------
    target
        The scene or folder, absolute.
    root
        Folder that the operations' paths are relative to, absolute.
    reach
        Further folders, absolute, that the scenes may open; nothing is written there.
    route
        How readings are made explicit.
    in_place
        Whether files are renamed and scenes rewritten under their own names.
    """

    target: Path
    root: Path
    reach: tuple[Path, ...] = ()
    route: Route
    in_place: bool
    from_space: str
    to_space: str
    operations: tuple[Operation, ...]
    held: tuple[Held, ...]
    findings: tuple[Finding, ...]

    @property
    def home(self) -> Path:
        """Folder beside which the state folder lies."""
        return self.target if self.target.is_dir() else self.target.parent

    @property
    def roots(self) -> tuple[Path, ...]:
        """All folders that the scenes may open."""
        return (self.root, *self.reach)

    def as_document(self, versions: dict[str, Any]) -> Document:
        """Return the plan as a JSON document."""
        return {
            "document": KIND,
            **versions,
            "target": self.target.as_posix(),
            "root": self.root.as_posix(),
            "reach": [folder.as_posix() for folder in self.reach],
            "route": self.route,
            "in_place": self.in_place,
            "from": self.from_space,
            "to": self.to_space,
            "operations": [as_document(operation) for operation in self.operations],
            "held": [asdict(held) for held in self.held],
            "findings": [finding.as_document() for finding in self.findings],
        }


def load_plan(path: Path) -> Plan:
    """Read a plan file.

    Raises
    ------
    InputError
        If it is no plan of this version.
    """
    return plan_from(load(path, KIND))


def plan_from(document: Document) -> Plan:
    """Return the plan in a document; its findings are not needed to carry it out."""
    try:
        return Plan(
            target=Path(document["target"]),
            root=Path(document["root"]),
            reach=tuple(Path(folder) for folder in document.get("reach", [])),
            route=document["route"],
            in_place=bool(document["in_place"]),
            from_space=document["from"],
            to_space=document["to"],
            operations=tuple(from_document(entry) for entry in document["operations"]),
            held=tuple(Held(**entry) for entry in document["held"]),
            findings=(),
        )
    except (KeyError, TypeError, ValueError) as error:
        why = printable(str(error))
        raise InputError(f"The plan cannot be understood ({why}).", "Make a new plan.") from error
