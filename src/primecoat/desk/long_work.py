"""The verbs that take long, as the desk does them: in its one thread, for all windows."""

from __future__ import annotations

import contextlib
from collections.abc import Collection, Iterator
from dataclasses import dataclass

from primecoat import workflow
from primecoat.apply.execute import Done
from primecoat.apply.recover import Recovered
from primecoat.apply.undo import Undone
from primecoat.desk.errors import StaleError
from primecoat.desk.held import Desk
from primecoat.desk.plans import Drawn
from primecoat.desk.session import Session, State
from primecoat.desk.stamps import stamp_of
from primecoat.desk.work import Teller
from primecoat.errors import PrimecoatError
from primecoat.jobs import Progress
from primecoat.plan.plan import Plan
from primecoat.reading.decisions import decisions_file


@dataclass(frozen=True, slots=True, kw_only=True)
class Applied:
    """A plan that was carried out."""

    plan: Plan
    done: tuple[Done, ...]


def survey_again(desk: Desk) -> State:
    """Survey the target again; nothing is changed."""

    def work(teller: Teller) -> State:
        return _surveyed(desk.session, "surveyed", progress=teller.called("measuring"))

    return desk.work.run("survey", work)


def draw_up(
    desk: Desk,
    version: int,
    route: str,
    *,
    in_place: bool,
    with_likely: bool,
    leave_out: Collection[str] = (),
) -> Drawn:
    """Draw up a plan without some pictures, named by their ids; every file is hashed anew."""
    session = desk.session
    state = session.expect(version)
    paths = [state.image(id)[0].path for id in leave_out]

    def work(teller: Teller) -> Drawn:
        measuring = teller.called("measuring")
        state = _surveyed(session, "surveyed", verify=True, progress=measuring)
        plan = workflow.plan(
            state.survey, route, in_place=in_place, with_likely=with_likely, leave_out=paths
        )
        return session.plans.keep(
            plan, state.survey, state.version, with_likely=with_likely, left_out=leave_out
        )

    return desk.work.run("plan", work)


def carry_out(desk: Desk, version: int, plan: str, consent: Collection[int]) -> Applied:
    """Apply a plan that was drawn up here; it can be stopped between two operations."""
    session = desk.session
    state = session.expect(version, whole=True)
    drawn = session.plans.get(plan, state.version)
    drawn.check_consent(consent)

    def work(teller: Teller) -> Applied:
        with _changing(session):
            done = workflow.apply(
                drawn.plan, baking=teller.called("baking"), progress=teller.called("applying")
            )
        return Applied(plan=drawn.plan, done=done)

    return desk.work.run("apply", work)


def undo(desk: Desk, version: int, run: str = "") -> tuple[Undone, ...]:
    """Take the newest run back, if it is the one that is meant; empty for whichever it is."""
    session = desk.session
    session.expect(version, whole=True)

    def work(teller: Teller) -> tuple[Undone, ...]:
        newest = [one.id for one in session.runs()[0] if one.stands][-1:]
        if run and newest != [run]:
            raise StaleError(
                "The newest run is another since this window showed it. Nothing was undone.",
                "Look at the ledger, then undo again.",
            )
        with _changing(session):
            asked = session.asked
            return workflow.undo(asked.target, roots=asked.roots, house=asked.house)

    return desk.work.run("undo", work)


def recover(desk: Desk, *, back: bool) -> Recovered:
    """Finish what was cut short, or take it back."""
    session = desk.session

    def work(teller: Teller) -> Recovered:
        with _changing(session):
            asked = session.asked
            return workflow.recover(asked.target, back=back, roots=asked.roots, house=asked.house)

    return desk.work.run("recover", work)


def _surveyed(
    session: Session, why: str, *, verify: bool = False, progress: Progress | None = None
) -> State:
    decisions = decisions_file(session.home)
    # as they are before anything is read: what changes meanwhile is noticed after it
    before = {path: stamp_of(path) for path in (*session.state.stamps, decisions)}
    found = session.asked.survey(verify=verify, progress=progress)
    with session.writing:
        if stamp_of(decisions) != before.pop(decisions):  # somebody decided meanwhile
            found = session.asked.judge_again(found)
        return session.take(found, why, before)


@contextlib.contextmanager
def _changing(session: Session) -> Iterator[None]:
    """Let the desk change files while the block runs; then hold the scene as it is."""
    session.changing = True
    try:
        yield
    finally:
        try:
            with contextlib.suppress(PrimecoatError):  # the windows are told that it changed
                _surveyed(session, "applied")
        finally:
            session.changing = False
