"""Compares `calc trace` with scipy's periodogram and with made-up logs whose steps and swings are known.

Swing: scipy.signal.periodogram (Hann window, straight trend off, padded so far that a bin is a thousandth of its width), and
scipy.optimize.least_squares of a sine on the same samples. Plateaus: known steps under noise, their count, edges and means.
The logs are written in the ways loggers write them.
"""

import numpy as np
from common import Score, program, run_lines, seeded, values_of
from scipy.optimize import least_squares
from scipy.signal import periodogram

SWINGS = 120
STEPS = 120


def written(rng, time, amps):
    """A log of these samples, and the fields that go with it."""
    separator = rng.choice([";", "\t", ",", " "])
    comma = separator != "," and rng.random() < 0.4
    time_unit, current_unit = rng.choice([("s", "A"), ("ms", "mA"), ("s", "mA")])
    one = {}
    lines = []
    style = rng.choice(["bracket", "row", "given", "underscore"])
    if style == "bracket":
        lines.append(separator.join([f"time({time_unit})", f"current({current_unit})"]))
    elif style == "underscore":
        lines.append(separator.join([f"t_{time_unit}", f"i_{current_unit}"]))
    elif style == "row":
        lines += [separator.join(["time", "current"]), separator.join([time_unit, current_unit])]
    else:
        one = {"time_unit": time_unit.lower(), "current_unit": current_unit.lower()}
    for t, a in zip(time, amps):
        row = separator.join(
            [f"{t * (1e3 if time_unit == 'ms' else 1):.6f}", f"{a * (1e3 if current_unit == 'mA' else 1):.6f}"]
        )
        lines.append(row.replace(".", ",") if comma else row)
    one["text"] = rng.choice(["\n", "\r\n"]).join(lines)
    return one


def swinging(rng, noise):
    """One steady stretch with a swing of known frequency and strength."""
    rate = rng.choice([20.0, 50.0, 200.0])
    length = rng.uniform(6, 20)
    hz = rng.uniform(4 / length, min(8.0, 0.35 * rate))
    mean = rng.uniform(0.1, 1.0)
    swing = rng.uniform(0.05, 0.6)
    time = np.arange(int(length * rate)) / rate
    amps = mean * (1 + swing / 2 * np.sin(2 * np.pi * hz * time + rng.uniform(0, 6.28)))
    amps = amps + mean * rng.uniform(-0.05, 0.05) * time / length
    # Under a Hann window the peak of this noise stays nine times below that of the swing.
    sigma = min(mean * rng.uniform(0.001, 0.03), mean * swing / 2 * np.sqrt(len(time)) / 18.4)
    amps = amps + noise.normal(0, sigma, len(time))
    one = written(rng, time, amps)
    one["step_a"] = 5.0
    return one, (time, amps, rate, hz, sigma, mean * swing)


def by_scipy(amps, rate):
    """The peak between three turns in the stretch and 0.45 of the rate or 20 Hz."""
    n = len(amps)
    nfft = 2 ** int(np.ceil(np.log2(n * 1000)))
    f, p = periodogram(amps, fs=rate, window="hann", detrend="linear", nfft=nfft, scaling="spectrum")
    band = (f >= 3 * rate / n) & (f <= min(0.45 * rate, 20))
    at = np.argmax(np.where(band, p, 0))
    # The power of a sine of amplitude A is A²/2; its swing is 2 A.
    return f[at], 2 * np.sqrt(2 * p[at])


def by_least_squares(time, amps, hz):
    """The sine that fits best, with a straight line beneath it."""

    def off(x):
        return (
            x[0] + x[1] * time + x[2] * np.sin(2 * np.pi * x[4] * time) + x[3] * np.cos(2 * np.pi * x[4] * time) - amps
        )

    best = least_squares(off, [amps.mean(), 0, amps.std(), amps.std(), hz], x_scale=[1, 1, 1, 1, 0.01 * hz])
    return best.x[4], 2 * np.hypot(best.x[2], best.x[3])


def compare_swing(score, one, answer, made):
    time, amps, rate, hz, sigma, swing = made
    short = {**one, "text": one["text"][:60]}
    values = values_of(answer)
    score.check(values["plateaus"]["value"] == 1, "one stretch", short)
    ours, strength = values["plateau_1_swing_hz"]["value"], values["plateau_1_swing_a"]["value"]
    scipy_hz, scipy_a = by_scipy(amps, rate)
    width = rate / len(amps)
    score.check(abs(ours - scipy_hz) < 0.01 * width, f"{ours} Hz, scipy {scipy_hz}, width {width}", short)
    score.check(abs(strength / scipy_a - 1) < 0.005, f"swing {strength}, scipy {scipy_a}", short)
    fit_hz, fit_a = by_least_squares(time, amps, scipy_hz)
    # What noise does to the best fit of a sine (Cramér and Rao): the window makes it half as much again at most, and two
    # estimates of the same samples are held to six of that, on top of what leaks from the other end of the spectrum.
    doubt = 2 * sigma * np.sqrt(2 / len(amps))
    hz_doubt = np.sqrt(6) / np.pi * sigma / (swing / 2 * np.sqrt(len(amps))) * width
    hz_reach, reach = 9 * hz_doubt + 0.03 * width, 9 * doubt + 0.02 * swing
    score.check(abs(ours - hz) < hz_reach, f"{ours} Hz, made {hz}", short)
    score.check(abs(ours - fit_hz) < hz_reach, f"{ours} Hz, least squares {fit_hz}", short)
    score.check(abs(strength - fit_a) < reach, f"swing {strength}, least squares {fit_a}", short)
    score.check(values["plateau_1_swing_above_floor"]["value"] >= 6, "it does not stand out", short)


def stepped(rng, noise):
    """Steps of known place and height under noise, each at least one and a half shortest plateaus long."""
    rate = rng.choice([20.0, 50.0, 100.0])
    sigma = rng.uniform(0.001, 0.01)
    least = 0.8
    level, lengths, levels = rng.uniform(0, 0.6), [], []
    for _ in range(rng.randint(1, 7)):
        lengths.append(int(rng.uniform(1.5, 8) * least * rate))
        levels.append(level)
        level = abs(level + rng.choice([-1, 1]) * rng.uniform(0.06, 0.4))
        if abs(level - levels[-1]) < 0.06:
            level = levels[-1] + 0.2
    amps = np.concatenate([np.full(n, a) for n, a in zip(lengths, levels)])
    amps = amps + noise.normal(0, sigma, len(amps))
    time = np.arange(len(amps)) / rate
    for _ in range(rng.randint(0, 3)):
        amps[rng.randrange(len(amps))] += rng.uniform(0.3, 2)
    one = written(rng, time, amps)
    one.update(step_a=0.04, least_s=least)
    return one, (lengths, levels, rate, sigma, amps)


def compare_steps(score, one, answer, made):
    lengths, levels, rate, sigma, amps = made
    short = {**one, "text": one["text"][:60], "lengths": lengths, "levels": levels}
    values = values_of(answer)
    found = int(values["plateaus"]["value"])
    score.check(found == len(levels), f"{found} plateaus of {len(levels)}", short)
    if found != len(levels):
        return
    start = 0
    for i, (length, level) in enumerate(zip(lengths, levels), 1):
        place = values[f"plateau_{i}_from_s"]["value"] * rate
        score.check(abs(place - start) <= 2.01, f"plateau {i} begins at {place}, made {start}", short)
        # A spike lifts the mean by its share; five standard errors for the noise.
        off = np.abs(amps[max(start - 2, 0) : start + length + 2] - level)
        spikes = np.sum(off[off > 0.25])
        reach = 5 * sigma / np.sqrt(0.7 * length) + spikes / (0.7 * length) + 1e-6
        mean = values[f"plateau_{i}_mean_a"]["value"]
        score.check(abs(mean - level) <= reach, f"plateau {i} mean {mean}, made {level}", short)
        peak = values[f"plateau_{i}_peak_a"]["value"]
        inside = amps[start + 2 : start + length - 2].max()
        near = amps[max(start - 2, 0) : start + length + 2].max()
        score.check(inside - 1e-5 <= peak <= near + 1e-5, f"plateau {i} peak {peak}, made {inside} to {near}", short)
        start += length


def main():
    path = program()
    rng = seeded("trace")
    noise = np.random.default_rng(rng.randrange(2**32))
    score = Score("trace")
    for make, compare, count in ((swinging, compare_swing, SWINGS), (stepped, compare_steps, STEPS)):
        cases = [make(rng, noise) for _ in range(count)]
        for (one, made), answer in zip(cases, run_lines(path, "trace", [one for one, _ in cases])):
            if "refused" in answer:
                score.check(False, f"refused: {answer['refused']}", {**one, "text": one["text"][:80]})
                continue
            compare(score, one, answer, made)
            for finding in answer["findings"]:
                whole = all(finding[part] for part in ("sentence", "formula", "source", "would_change", "inputs"))
                score.check(whole, f"a finding lacks a part: {finding}")
    score.end()


if __name__ == "__main__":
    main()
