"""An estimate of the first threshold from elsewhere, typed in: what there is to accept before the first test."""

from datetime import date

import ipywidgets

from coachlib.analysis.first_threshold.consistency import threshold_doubts
from coachlib.errors import RosterProblem
from coachlib.panels.second_threshold.page import estimate_typed
from coachlib.records.athlete import Athlete, Threshold
from coachlib.report.words.catalogue import sentence

_NAMED = {"style": {"description_width": "9em"}, "layout": {"width": "40em", "max_width": "100%"}}


class EstimateFields(ipywidgets.Accordion):
    """A fold with the numbers of an estimate, where it is from, the day from which it holds, and its button."""

    def __init__(self, accept: ipywidgets.Button) -> None:
        self.numbers = ipywidgets.Text(
            description="An estimate", placeholder="bpm, from, to, such as 150 145 156", **_NAMED
        )
        self.source = ipywidgets.Text(
            description="Where it is from", placeholder="such as: laboratory, 12 September", **_NAMED
        )
        self.day = ipywidgets.DatePicker(description="Holds from", **_NAMED)
        fields = ipywidgets.VBox([self.numbers, self.source, self.day, accept])
        super().__init__([fields], titles=("An estimate from elsewhere",), selected_index=None)

    def empty(self) -> None:
        """Forget what was typed for somebody else."""
        self.numbers.value = self.source.value = ""
        self.day.value = None

    def threshold(self, athlete: Athlete, sport: str | None) -> Threshold:
        """The threshold as it was typed.

        Raises
        ------
        RosterProblem
            When no number or no day is typed, or the second threshold of that day is not above.
        BadArgument
            When the numbers cannot be read or cannot be true, or nothing says where they come from.
        """
        typed = estimate_typed(self.numbers.value, self.source.value, "km/h", sport, which="first")
        on: date | None = self.day.value
        if typed is None or on is None:
            raise RosterProblem("an estimate needs its numbers and the day from which it holds. Type both.")
        made = typed.threshold(on)
        for doubt in threshold_doubts(made, athlete.threshold_on("second", on, sport), hr_max_bpm=None):
            if doubt.name == "not above the first":
                raise RosterProblem(
                    f"{sentence(doubt)}. Type another value, or withdraw the second threshold."
                )
        return made
