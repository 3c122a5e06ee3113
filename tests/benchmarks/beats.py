"""Time and scatter of alpha1 on simulated beats, before and after correction.

Run: python tests/benchmarks/beats.py
"""

import statistics
import time

import numpy as np

from coachlib.measures.first_threshold.beats import alpha1, corrected_beats, flagged_beats

MEAN_S, SD_S, WIDTH_S = 0.4, 0.006, 120.0


def simulated(rng, n, exponent):
    """Beats whose spectrum falls so that long series scale with ``exponent``."""
    spectrum = np.fft.rfft(rng.normal(size=n))
    frequency = np.fft.rfftfreq(n)
    frequency[0] = frequency[1]
    noise = np.fft.irfft(spectrum * frequency ** (0.5 - exponent), n)
    return MEAN_S + SD_S * (noise - noise.mean()) / noise.std()


def spoilt(rng, rr_s, share):
    """Early beats with a long one after, and missed beats, one half each of the share."""
    rr_s = rr_s.copy()
    at = np.sort(rng.choice(np.arange(20, rr_s.size - 20, 4), int(share * rr_s.size), replace=False))
    early = rng.random(at.size) < 0.5
    shift = rng.uniform(0.15, 0.3, early.sum()) * rr_s[at[early]]
    rr_s[at[early]] -= shift
    rr_s[at[early] + 1] += shift
    rr_s[at[~early]] += rr_s[at[~early] + 1]
    return np.delete(rr_s, at[~early] + 1)


def timing():
    """Milliseconds for an hour of beats at two steps, with flagging and correcting."""
    rr_s = simulated(np.random.default_rng(1), 9000, 0.75)
    for step_s in (5.0, 1.0):
        taken = []
        for _ in range(30):
            begin = time.process_time()
            corrected = corrected_beats(rr_s, flagged_beats(rr_s))
            centre_s, _ = alpha1(corrected, width_s=WIDTH_S, step_s=step_s)
            taken.append(1e3 * (time.process_time() - begin))
        print(
            f"one hour, {rr_s.size} beats, {centre_s.size} windows {step_s:g} s apart: {statistics.median(taken):.1f} ms"
        )


def scatter():
    """Mean and SD of alpha1 in a clean window, and what artefacts leave before and after correction."""
    rng = np.random.default_rng(2)
    for exponent in (0.5, 0.75, 1.0):
        clean = [simulated(rng, 3000, exponent) for _ in range(40)]
        true = [alpha1(rr, width_s=WIDTH_S, step_s=WIDTH_S)[1] for rr in clean]
        print(f"exponent {exponent:g}: alpha1 {np.mean(true):.2f}, SD in one window {np.std(true):.3f}")
        for share in (0.005, 0.01, 0.03, 0.05):
            left = {"as recorded": [], "corrected": []}
            for rr, values in zip(clean, true, strict=True):
                bad = spoilt(rng, rr, share)
                mended = corrected_beats(bad, flagged_beats(bad))
                for name, series in (("as recorded", bad), ("corrected", mended)):
                    found = alpha1(series, width_s=WIDTH_S, step_s=WIDTH_S)[1]
                    left[name].append(np.nanmean(found) - values.mean())
            said = ", ".join(f"{name} {np.mean(errors):+.2f}" for name, errors in left.items())
            print(f"  {100 * share:g} % artefacts: {said}")


def main():
    """Print times, then errors."""
    timing()
    scatter()


if __name__ == "__main__":
    main()
