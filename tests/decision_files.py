"""Decisions as they stand in files: in the former form with a coach's comments, and about two sessions of one file."""

from coachlib.records.decisions import Decisions, Exclusion, FileDecisions, Stage, Trusted, Window

SHA = "0" * 64
FORMER = f"""\
# opened on a Monday
schema = 1   # the first
fit_sha256 = "{SHA}"
kind = "drift test"   # agreed with her

# the hour on the belt
[[window]]
start_s = 1800.0   # after the drink
stop_s = 5400.0
note = \"\"\"
two lines,
[[window]]
inside a text\"\"\"

# a greeting here
[[exclusion]]
start_s = 2412.0
stop_s = 2440.0
reason = "greeting"
# nothing below this line
"""
RIDE = Decisions(fit_sha256=SHA, part=0, kind="long", windows=(Window(start_s=60, stop_s=3000),))
RUN = Decisions(
    fit_sha256=SHA,
    part=2,
    kind="race",
    windows=(Window(start_s=0, stop_s=1200),),
    exclusions=(Exclusion(start_s=5, stop_s=9, reason="static"), Exclusion(start_s=50, stop_s=90)),
    stages=(Stage(start_s=0, stop_s=600, speed_mps=3.0),),
    trusted=(Trusted(quantity="hr_bpm", note="looked at it"), Trusted(start_s=4, stop_s=8)),
)
BOTH = FileDecisions(fit_sha256=SHA, parts=(RIDE, RUN))
