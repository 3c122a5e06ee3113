import numpy as np
import pytest

from coachlib.measures.recording.plausibility import plausibility
from coachlib.report.words.catalogue import sentence as sentence_of

LOAD = np.array([8.0, 9.0, 10.0, 11.0])


@pytest.mark.parametrize(
    ("given", "sentence"),
    [
        ({"hr_max_bpm": 383}, "a maximum heart rate of 383 bpm is above 230"),
        ({"hr_max_bpm": 120, "age_y": 30}, "a maximum heart rate of 120 bpm lies 72 bpm from the 192 bpm usual at 30 years"),
        ({"hr_rest_bpm": 128}, "a resting heart rate of 128 bpm is above 110"),
        ({"vo2_rest": 52.0}, "a resting oxygen uptake of 52 ml/kg/min is above 15"),
        ({"vo2_max": 457.0}, "a maximum oxygen uptake of 457 ml/kg/min is above 100"),
        ({"load": np.array([8.0, 9.0, 9.0])}, "the load does not rise from stage 2 to 3 (9 to 9)"),
        ({"hr_bpm": np.array([120.0, 140.0, 136.5])}, "heart rate falls from stage 2 to 3 (140 to 136.5 bpm)"),
        ({"hr_bpm": np.array([120.0, 240.0])}, "a heart rate of 240 bpm in stage 2 is above 230"),
        ({"vo2": np.array([30.0, 120.0])}, "an oxygen uptake of 120 ml/kg/min in stage 2 is above 100"),
        ({"vo2": np.array([38.9, 31.2])}, "oxygen uptake falls from stage 1 to 2 (38.9 to 31.2 ml/kg/min)"),
        ({"lactate": np.array([7.43, 2.48])}, "lactate falls from stage 1 to 2 (7.43 to 2.48 mmol/l)"),
    ],
)  # fmt: skip
def test_each_slip_is_said(given, sentence):
    assert [sentence_of(c) for c in plausibility(**given)] == [sentence]


def test_a_sound_test_is_left_in_peace():
    said = plausibility(
        LOAD,
        np.array([120.0, 135.0, 133.0, 160.0]),
        vo2=np.array([30.0, np.nan, 28.0, 40.0]),
        lactate=np.array([2.5, 1.2, np.nan, 3.0]),
        hr_rest_bpm=48,
        hr_max_bpm=188,
        age_y=30,
        vo2_rest=6,
        vo2_max=60,
    )
    assert said == ()


def test_nothing_given_nothing_said():
    assert plausibility() == ()
