"""Changes of a recording that are not saved: kept at once, offered on return, gone when saved or dropped."""

from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any, Protocol

from coachlib.analysis.week.calendar import day_in_words
from coachlib.errors import DecisionProblem
from coachlib.files.store.drafts import Drafts, KeptDraft
from coachlib.panels.recording.changes import changes_between
from coachlib.panels.recording.draft import Draft
from coachlib.panels.recording.edit_state import EditState


class Editable(Protocol):
    """What is edited, and on which saved decisions its edits stand."""

    state: EditState

    @property
    def seen(self) -> str | None:
        """Checksum of the decisions as they were read; None where there were none."""


class Unsaved:
    """Keeps the edits of one recording, and offers those that another window left behind.

    Parameters
    ----------
    subject : Editable
        The recording on the screen.
    drafts : Drafts
        Where its edits are kept.
    now : callable, optional
        Gives the present instant.

    Notes
    -----
    A draft is offered, never taken up unasked, and refused where the decisions under
    it were saved anew.
    """

    def __init__(
        self, subject: Editable, drafts: Drafts, *, now: Callable[[], datetime] = lambda: datetime.now(UTC)
    ) -> None:
        self._subject = subject
        self._drafts = drafts
        self._now = now
        self.found: KeptDraft | None = drafts.left_behind()
        self.is_open_elsewhere = drafts.is_open_elsewhere()

    def note(self) -> None:
        """Keep what is not saved now; forget what was kept where nothing is."""
        state = self._subject.state
        if state.has_steps:
            self._drafts.keep(
                state.decisions,
                rejected=tuple(sorted(state.draft.rejected)),
                based_on=self._subject.seen,
                kept_at=self._now(),
            )
        else:
            self._drafts.drop()

    def release(self) -> None:
        """Leave what is kept to whoever opens the recording next."""
        self._drafts.release()

    @property
    def fits(self) -> bool:
        """Whether the decisions are still those that the changes were made on."""
        return self.found is not None and self.found.based_on == self._subject.seen

    def offer(self) -> dict[str, Any] | None:
        """What the screen says of changes that were left behind; None where there are none."""
        if self.found is None:
            return None
        kept_at = self.found.kept_at.astimezone()
        when = f"{kept_at:%H:%M}"
        if kept_at.date() != self._now().astimezone().date():
            when = f"{day_in_words(kept_at.date())}, {when}"
        sentence = (
            f"Changes of {when} were not saved."
            if self.fits
            else f"Changes of {when} cannot be taken up: the decisions were saved anew since then. They were:"
        )
        changes = changes_between(self._subject.state.saved, self.found.decisions)
        return {"sentence": sentence, "changes": list(changes), "fits": self.fits}

    def take_up(self) -> None:
        """Go on where the other window stopped.

        Raises
        ------
        DecisionProblem
            When there is nothing to take up, or the decisions were saved anew since.
        """
        if self.found is None:
            raise DecisionProblem("there are no changes to take up.")
        if not self.fits:
            raise DecisionProblem(
                "the decisions were saved anew since these changes were made; make them again where they are wanted."
            )
        self._subject.state.take_up(
            Draft(decisions=self.found.decisions, rejected=frozenset(self.found.rejected))
        )
        self.note()
        self.drop()

    def drop(self) -> None:
        """Forget the changes that were left behind."""
        if self.found is not None:
            self.found.path.unlink(missing_ok=True)
        self.found = self._drafts.left_behind()
