"""What the routes work with, and how each gets at it."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Annotated

from fastapi import Depends, Request

from primecoat.checks.survey import Survey
from primecoat.desk.cards import Cards
from primecoat.desk.events import Events
from primecoat.desk.looks import Looks
from primecoat.desk.proofs import Proofs
from primecoat.desk.renders import TwoRenders
from primecoat.desk.session import Asked, Session
from primecoat.desk.work import Work


@dataclass(frozen=True, slots=True, kw_only=True)
class Desk:
    """One desk: the session that all windows share, its events and its work.

    ``renders`` is None where it was opened without; ``looks`` are those that it wrote;
    ``proofs`` holds its newest proof, ``cards`` the test cards.
    """

    session: Session
    events: Events
    work: Work
    renders: TwoRenders | None
    looks: Looks
    cards: Cards
    proofs: Proofs = field(default_factory=Proofs)


def build_desk(asked: Asked, survey: Survey) -> Desk:
    """Return a desk on a survey that was just made."""
    events = Events()
    session = Session(asked, survey, events)
    renders = None if asked.renders is None else TwoRenders(asked.renders, asked.config)
    return Desk(
        session=session,
        events=events,
        work=Work(events),
        renders=renders,
        looks=Looks(session.home),
        cards=Cards(session, asked.cards),
    )


def _desk_of(request: Request) -> Desk:
    desk: Desk = request.app.state.desk
    return desk


Held = Annotated[Desk, Depends(_desk_of)]
"""Argument of a route: the desk that it belongs to."""
