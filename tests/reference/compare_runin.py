"""Compares `calc runin` with Welch's interval by scipy.stats, and its verdicts with the rules restated here."""

import warnings

from common import Score, program, run_lines, seeded, values_of
from scipy import stats

CASES = 800
KINDS = {
    "free_a": ("free_change_a", "current_meter"),
    "slipping_a": ("slipping_change_a", "current_meter"),
    "start_v": ("start_change_v", "voltage_meter"),
}
WORDS = {"free_a": "The free current", "slipping_a": "The slipping current", "start_v": "The starting voltage"}


def maker(rng):
    def readings(size):
        count = rng.choice([0, 1, 2, 3, 4, 6, 10])
        return [round(max(size * rng.gauss(1, 0.05), 0), 3) for _ in range(count)]

    def meter():
        return {"percent": round(rng.uniform(0, 3), 1), "digits": rng.randint(0, 3), "resolution": 0.001}

    base = {"free_a": rng.uniform(0.1, 0.5), "slipping_a": rng.uniform(0.3, 0.9), "start_v": rng.uniform(1.5, 5)}
    one = {"before": {"test_v": 12.0}, "after": {"test_v": rng.choice([12.0, 12.0, 12.0, 12.1, 9.0])}}
    for name, size in base.items():
        one["before"][name] = readings(size)
        one["after"][name] = readings(size * rng.uniform(0.7, 1.15))
    if not any(one[side][name] for side in ("before", "after") for name in KINDS):
        one["before"]["free_a"] = [0.2, 0.21]
    for name in ("current_meter", "voltage_meter"):
        if rng.random() < 0.85:
            one[name] = meter()
    if rng.random() < 0.6:
        one["same_meter"] = rng.random() < 0.7
    return one


def meter_reach(meter, same, before, after):
    steps = meter["digits"] * meter["resolution"]
    if same:
        return meter["percent"] / 100 * abs(after - before) + 2 * steps
    return meter["percent"] / 100 * (before + after) + 2 * steps


def welch(before, after):
    """Half the width of the 95 % interval of after − before."""
    if len(set(before)) == 1 and len(set(after)) == 1:
        return 0.0
    with warnings.catch_warnings():
        warnings.simplefilter("ignore")
        ends = stats.ttest_ind(after, before, equal_var=False).confidence_interval(0.95)
    return (ends.high - ends.low) / 2


def compare(score, one, answer, values, name):
    before, after = one["before"][name], one["after"][name]
    value, meter = KINDS[name]
    finding = [f for f in answer["findings"] if f["sentence"].startswith(WORDS[name])]
    if not before or not after:
        score.check(value not in values, f"{name}: a change without both sides", one)
        wanted = ["unlit"] if before or after else []
        score.check([f["aspect"] for f in finding] == wanted, f"{name}: {finding}", one)
        return
    mean_b, mean_a = sum(before) / len(before), sum(after) / len(after)
    reach, told = 0.0, meter in one
    if meter in one:
        reach += meter_reach(one[meter], one.get("same_meter"), mean_b, mean_a)
    if len(before) > 1 and len(after) > 1:
        reach += welch(before, after)
    else:
        told = False
    ours = values[value]
    ends = (mean_a - mean_b - reach, mean_a - mean_b + reach)
    for end, theirs in (("lo", ends[0]), ("hi", ends[1])):
        score.check(
            abs(ours[end] - theirs) < 1e-9 + 1e-8 * abs(reach), f"{name} {end}: {ours[end]}, scipy {theirs}", one
        )
    volts = one["before"]["test_v"], one["after"]["test_v"]
    alike = name == "start_v" or abs(volts[0] - volts[1]) <= 0.02 * max(volts)
    if min(abs(ends[0]), abs(ends[1])) < 1e-8:
        return
    wanted = "unlit" if not (told and alike) else "clear" if ends[1] < 0 else "caution" if ends[0] > 0 else "unlit"
    score.check(finding[0]["aspect"] == wanted, f"{name}: {finding[0]['aspect']}, by the rule {wanted}", one)


def main():
    path = program()
    rng = seeded("runin")
    score = Score("runin")
    inputs = [maker(rng) for _ in range(CASES)]
    for one, answer in zip(inputs, run_lines(path, "runin", inputs)):
        if "refused" in answer:
            score.check(False, f"refused: {answer['refused']}", one)
            continue
        values = values_of(answer)
        for name in KINDS:
            compare(score, one, answer, values, name)
        for finding in answer["findings"]:
            whole = all(finding[part] for part in ("sentence", "formula", "source", "would_change", "inputs"))
            score.check(whole, f"a finding lacks a part: {finding}", one)
    score.end()


if __name__ == "__main__":
    main()
