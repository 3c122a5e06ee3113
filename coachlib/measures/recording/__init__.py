"""One recording before any question is asked of it: artefacts, steady stretches, the lag of heart rate."""
