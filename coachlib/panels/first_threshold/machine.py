"""What the athlete's machine can be set to, on a screen: told in the folded line, changed and kept inside."""

from collections.abc import Callable
from typing import Any

import ipywidgets

from coachlib.errors import RosterProblem
from coachlib.files.roster.forms import DECIMALS, fill, typed_values
from coachlib.records.machine import Machine
from coachlib.records.units import KMH_MPS
from coachlib.report.words import wording
from coachlib.report.words.machine_words import grid_of, kind_of

#: Typed keys in the order they stand on the screen: what is set, its unit, from, to, in steps of.
_ROWS = (
    ("Speed, {speed}", ("speed_low_kmh", "speed_high_kmh", "speed_step_kmh")),
    ("Grade, %", ("grade_low_pct", "grade_high_pct", "grade_step_pct")),
    ("Power, W", ("power_low_w", "power_high_w", "power_step_w")),
)
#: What stands before each number, and how wide that is. [em]
_NAMES = (("from", 2.5), ("to", 1.5), ("in steps of", 5.5))


class MachineFields(ipywidgets.Accordion):
    """A folded line that says the machine's grid, with its fields, a button and an answer inside.

    ``on_change`` acts whenever a field was given another number; ``keep`` is the button that notes the machine.
    """

    def __init__(self, *, on_change: Callable[[Any], None], keep: ipywidgets.Button) -> None:
        self._on_change = on_change
        self._keep = keep
        self._machine: Machine | None = None
        self.answer = ipywidgets.Label()
        self.numbers: dict[str, ipywidgets.FloatText] = {}
        super().__init__([ipywidgets.VBox()], selected_index=None)
        self.show(None)

    @property
    def machine(self) -> Machine | None:
        """The machine as the fields say it; None where none is shown.

        Raises
        ------
        RosterProblem
            When no machine can be like that, in words.
        """
        if self._machine is None:
            return None
        typed = {key: number.value * _per_shown(key) for key, number in self.numbers.items()}
        filled = fill(type(self._machine), typed, noun="number")
        if filled.record is None:
            raise RosterProblem(
                f"the {kind_of(self._machine)} cannot be like that: {'; '.join(filled.problems)}."
            )
        return filled.record

    def show(self, machine: Machine | None) -> None:
        """Show a machine's numbers; None where the next test is held by heart rate alone."""
        self._machine = machine
        typed = typed_values(machine) if machine is not None else {}
        self.numbers = {
            key: _number(name, width, round(typed[key] / _per_shown(key), DECIMALS - 1))
            for _, keys in _ROWS
            for (name, width), key in zip(_NAMES, keys, strict=True)
            if key in typed
        }
        for number in self.numbers.values():
            number.observe(self._on_change, "value")
        rows = [
            ipywidgets.HBox(
                [
                    ipywidgets.Label(said.format(speed=wording.speed_unit()), layout={"width": "7em"}),
                    *(self.numbers[key] for key in keys),
                ]
            )
            for said, keys in _ROWS
            if keys[0] in typed
        ]
        self.children[0].children = [*rows, *([self._keep] if rows else []), self.answer]
        self.tell(machine)

    def tell(self, machine: Machine | None) -> None:
        """Say the grid in the folded line."""
        said = f"{kind_of(machine)}, {grid_of(machine)}" if machine is not None else "none, heart rate only"
        self.titles = (f"The machine: {said}",)


def _per_shown(key: str) -> float:
    """What a typed key's unit, km/h for speeds, has more or less than the one that is shown."""
    return wording.mps_of_unit() / KMH_MPS if key.endswith("_kmh") else 1.0


def _number(name: str, name_width: float, value: float) -> ipywidgets.FloatText:
    return ipywidgets.FloatText(
        description=name,
        value=value,
        style={"description_width": f"{name_width}em"},
        layout={"width": f"{name_width + 6}em"},
    )
