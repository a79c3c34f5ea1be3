"""Compares `calc heat` with scipy.optimize.curve_fit and scipy.stats on the same random logs.

Parameters must agree within 1 %, the half width of every interval within 5 %, and the aspect with the rule restated
here. Where ours gives no curve, scipy must find a time constant more than twice as long as the log, or none.
"""

import math
import warnings

import numpy as np
from common import Score, program, run_lines, seeded, values_of
from scipy.optimize import OptimizeWarning, curve_fit
from scipy.stats import t as student

CASES = 600


def maker(rng):
    """One random log; readings have the decimals a thermometer shows."""
    ambient, rise = rng.uniform(10, 35), rng.uniform(8, 80)
    tau = math.exp(rng.uniform(math.log(60), math.log(2400)))
    span = tau * rng.uniform(0.4, 5)
    count = rng.randint(4, 40)
    noise = rng.choice([0.05, 0.2, 0.5, 1.0])
    times = sorted({round(rng.uniform(0, span), 1) for _ in range(count)} | {0.0, round(span, 1)})
    points = [
        {"time_s": at, "temp_c": round(ambient + rise * -math.expm1(-at / tau) + rng.gauss(0, noise), 2)} for at in times
    ]
    one = {"points": points, "limit_c": round(ambient + rise * rng.uniform(0.6, 1.6), 1)}
    if rng.random() < 0.5:
        one["ambient_c"] = round(ambient, 1)
    if rng.random() < 0.5:
        one["level_percent"] = rng.choice([80, 90, 99, 99.9])
    return one


def reference(one):
    """Best fit by scipy from several starts: parameters (ambient, rise, tau), covariance, squares. None where none
    converges."""
    at = np.array([p["time_s"] for p in one["points"]])
    temp = np.array([p["temp_c"] for p in one["points"]])
    known = one.get("ambient_c")

    def curve(time, *p):
        ambient, rise, tau = (known, *p) if known is not None else p
        return ambient - rise * np.expm1(-time / tau)

    best = None
    for share in (0.3, 0.7, 1.5):
        start = [temp[-1] - temp[0], at[-1] * share]
        if known is None:
            start.insert(0, temp[0])
        try:
            with warnings.catch_warnings():
                warnings.simplefilter("ignore", OptimizeWarning)
                warnings.simplefilter("ignore", RuntimeWarning)
                found, covariance = curve_fit(curve, at, temp, p0=start, maxfev=20000)
        except RuntimeError:
            continue
        squares = float(((temp - curve(at, *found)) ** 2).sum())
        if found[-1] > 0 and math.isfinite(squares) and (best is None or squares < best[2]):
            best = (found, covariance, squares)
    return best


def close(ours, theirs, share, floor=0.0):
    return abs(ours - theirs) <= share * abs(theirs) + floor


def check_curve(score, one, answer, best):
    values = values_of(answer)
    found, covariance, squares = best
    at = np.array([p["time_s"] for p in one["points"]])
    temp = np.array([p["temp_c"] for p in one["points"]])
    ambient, rise, tau = (values[n]["value"] for n in ("ambient_c", "rise_k", "tau_s"))
    ours = float(((temp - ambient + rise * np.expm1(-at / tau)) ** 2).sum())
    if ours < squares * (1 - 1e-6):
        score.check(True, "ours lies closer to the readings")
        return False
    factor = float(student.ppf(0.5 + one.get("level_percent", 95) / 200, len(at) - len(found)))
    sums = {"rise_k": [len(found) - 2], "tau_s": [len(found) - 1], "final_c": list(range(len(found) - 1))}
    known = one.get("ambient_c", 0)
    for name, which in sums.items():
        want = float(sum(found[k] for k in which)) + (known if name == "final_c" else 0)
        half = factor * math.sqrt(sum(float(covariance[i][j]) for i in which for j in which))
        got = values[name]
        good = close(got["value"], want, 0.01) and close(got["hi"] - got["value"], half, 0.05, 1e-6)
        low = got["value"] - got["lo"]
        good = good and (close(low, half, 0.05, 1e-6) or (name == "tau_s" and got["lo"] == 0))
        score.check(good, f"{name}: ours {got['value']} ± {got['hi'] - got['value']}, scipy {want} ± {half}", one)
    residual = math.sqrt(squares / (len(at) - len(found)))
    got = values["residual_k"]["value"]
    score.check(close(got, residual, 0.01, 1e-6), f"residual_k: {got}, scipy {residual}", one)
    check_limit(score, one, values, best)
    return True


def check_limit(score, one, values, best):
    """Time to the limit, by the formula solved for t with scipy's parameters."""
    found = best[0]
    ambient = one.get("ambient_c", found[0])
    share = (one["limit_c"] - ambient) / found[-2]
    if 0 <= share < 0.98:
        want = -found[-1] * math.log1p(-share)
        got = values.get("time_to_limit_s", {"value": math.nan})["value"]
        score.check(close(got, want, 0.01, 0.5), f"time_to_limit_s: ours {got}, scipy {want}", one)
    elif share > 1.02:
        score.check("time_to_limit_s" not in values, "a limit above the settled temperature is never passed", one)


def check_aspect(score, one, answer):
    """Danger where the upper end or a reading passes the limit; clear only below it and settled for 5 minutes."""
    upper = values_of(answer).get("final_c", {"hi": math.nan})["hi"]
    over = max(p["temp_c"] for p in one["points"]) > one["limit_c"] or upper > one["limit_c"]
    if over:
        score.check(answer["aspect"] == "danger", f"{answer['aspect']}: passes the limit", one)
    elif math.isnan(upper):
        score.check(answer["aspect"] == "unlit", f"{answer['aspect']}: too short to tell", one)
    else:
        score.check(answer["aspect"] != "danger", f"{answer['aspect']}: stays below the limit", one)


def main():
    rng = seeded("heat")
    inputs = [maker(rng) for _ in range(CASES)]
    score = Score("heat")
    fitted = compared = 0
    for one, answer in zip(inputs, run_lines(program(), "heat", inputs)):
        if "refused" in answer:
            score.check(False, f"refused: {answer['refused']}", one)
            continue
        check_aspect(score, one, answer)
        best = reference(one)
        if "final_c" in values_of(answer):
            fitted += 1
            if best is not None:
                compared += check_curve(score, one, answer, best)
        else:
            span = one["points"][-1]["time_s"] - one["points"][0]["time_s"]
            short = best is None or span < 0.505 * best[0][-1] or len(one["points"]) < 4
            score.check(short, f"no curve, but scipy finds {best and best[0]}", one)
    score.check(compared >= 300, f"only {compared} curves compared")
    score.check(compared >= 0.9 * fitted, f"only {compared} of {fitted} curves compared")
    print(f"heat: {compared} curves of {CASES} compared with scipy")
    score.end()


if __name__ == "__main__":
    main()
