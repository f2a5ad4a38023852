"""The proof that a desk holds: traced here or kept from before, and the pictures so far."""

from __future__ import annotations

from dataclasses import dataclass

from primecoat.desk.errors import AbsentError
from primecoat.desk.session import Session
from primecoat.desk.work import Teller, Work
from primecoat.proof.paths.outcome import Proof, SoFar
from primecoat.proof.paths.proof import Told
from primecoat.workflow.proof import kept_proof, proof


@dataclass(frozen=True, slots=True, kw_only=True)
class Wanted:
    """What a window asks for.

    Parameters
    ----------
    size
        Width and height.
    old_view
        View of the old picture; None for the same as of the new one.
    anew
        Trace it in any case.
    """

    size: tuple[int, int]
    samples: int
    causes: int
    display: str
    view: str
    old_view: str | None = None
    anew: bool = False


class Proofs:
    """The newest proof of a desk.

    Attributes
    ----------
    found
        The proof, and the version of the scene's state that it is of.
    so_far
        The pictures of the one that is being traced.
    turn
        Grows with each change of either, so that a window can tell pictures apart.
    """

    def __init__(self) -> None:
        self.found: tuple[Proof, int] | None = None
        self.so_far: SoFar | None = None
        self.turn = 0
        self._looked_for: int | None = None

    def trace(self, session: Session, work: Work, version: int, wanted: Wanted) -> Proof:
        """Trace a proof of the state that a window shows; it can be stopped."""
        state = session.expect(version, whole=True)

        def run(teller: Teller) -> Proof:
            told = Told(
                tracing=teller.called("tracing"),
                splitting=teller.called("looking for causes"),
                refined=self._take_so_far,
            )
            try:
                made = proof(
                    state.survey,
                    size=wanted.size,
                    samples=wanted.samples,
                    causes=wanted.causes,
                    display=wanted.display,
                    view=wanted.view,
                    old_view=wanted.old_view,
                    anew=wanted.anew,
                    told=told,
                )
                self.found = made, state.version
                return made
            finally:
                self.so_far = None
                self.turn += 1

        return work.run("proof", run)

    def of(self, session: Session) -> tuple[Proof, int] | None:
        """Return the proof, or one that was kept of the present state; None if there is none."""
        state = session.state
        if (self.found is None or self.found[1] != state.version) and (
            self._looked_for != state.version and self.so_far is None
        ):
            self._looked_for = state.version
            kept = kept_proof(state.survey)
            if kept is not None:
                self.found = kept, state.version
                self.turn += 1
        return self.found

    def pictured(self) -> Proof | SoFar:
        """Return what pictures can be had of.

        Raises
        ------
        AbsentError
            If there is nothing yet.
        """
        if self.so_far is not None:
            return self.so_far
        if self.found is None:
            raise AbsentError("No proof was traced yet.", "Trace one.")
        return self.found[0]

    def _take_so_far(self, pictures: SoFar) -> None:
        self.so_far = pictures
        self.turn += 1
