"""Compares `calc wire` with the rule of ASTM B258 in mpmath, the inch of scipy.constants, and the guides restated here.

Diameters: the geometric series between the two fixed points (0000 = 0.46 in, 36 = 0.005 in). Bounds: true currents and lays
drawn inside must stay inside. Aspects and thinnest gauges: by the rules, searched one by one.
"""

from common import Score, program, run_lines, seeded, values_of
from mpmath import mp, mpf, pi
from scipy import constants

CASES = 800
mp.prec = 120
INCH = mpf(constants.inch) * 1000
CHASSIS = dict(
    zip(
        range(10, 41),
        [
            55,
            47,
            41,
            35,
            32,
            28,
            22,
            19,
            16,
            14,
            11,
            9,
            7,
            4.7,
            3.5,
            2.7,
            2.2,
            1.7,
            1.4,
            1.2,
            0.86,
            0.7,
            0.53,
            0.43,
            0.33,
            0.27,
            0.21,
            0.17,
            0.13,
            0.11,
            0.09,
        ],
    )
)
LABORATORY = [(0.05, 1.0), (0.08, 1.5), (0.15, 2.0), (0.25, 4.0)]
USUAL = {"z_n": (30, 32), "h0_oo": (28, 30), "o": (26, 28), "large": (22, 24)}
JOBS = {"lights": (32, 36), "speaker": (28, 32), "feeder": (10, 24), "bus": (10, 14)}


def diameter(n):
    """Millimetres: 39 equal ratios from 0.46 in down to 0.005 in, the first of which is gauge −3."""
    ratio = (mpf("0.46") / mpf("0.005")) ** (mpf(1) / 39)
    return mpf("0.46") * INCH / ratio ** (n + 3)


def area(d):
    return pi / 4 * d * d


def careful(a):
    """700 circular mil per A; a circular mil is the area of a circle of 0.001 in."""
    return a / area(INCH / 1000) / 700


def maker(rng):
    one = {"loop_mm": round(10 ** rng.uniform(1, 4), 1), "current_a": round(10 ** rng.uniform(-2.5, 1), 4)}
    size = rng.random()
    if size < 0.5:
        one["awg"] = rng.randint(10, 40)
    elif size < 0.7:
        one["diameter_mm"] = round(rng.uniform(0.08, 2.5), 3)
    elif size < 0.9:
        one["area_mm2"] = round(10 ** rng.uniform(-2.2, 0.6), 4)
    if rng.random() < 0.7:
        one["stranded"] = rng.random() < 0.5
    if rng.random() < 0.5:
        one["copper_c"] = round(rng.uniform(-20, 120), 1)
    if rng.random() < 0.5:
        one["current_meter"] = {
            "percent": round(rng.uniform(0, 4), 1),
            "digits": rng.randint(0, 5),
            "resolution": 0.001,
        }
    if rng.random() < 0.6:
        one["most_drop_v"] = round(10 ** rng.uniform(-2.5, 0.5), 3)
    if rng.random() < 0.7:
        one["job"] = rng.choice(["pickup", "motor", *JOBS])
    if rng.random() < 0.7:
        one["size"] = rng.choice(list(USUAL))
    return one


def per_m(one, a):
    return mpf(1) / 58 / a * (1 + mpf("0.00393") * (mpf(one.get("copper_c", 20)) - 20))


def reach(one):
    meter = one.get("current_meter", {"percent": 0, "digits": 0, "resolution": 0})
    return meter["percent"] / 100 * one["current_a"] + meter["digits"] * meter["resolution"]


def lay(one):
    return 1.0 if one.get("stranded") is False else 1.05


def close(ours, theirs, within=1e-9):
    return abs(ours - theirs) <= within * max(abs(theirs), mpf("1e-12"))


def compare_wire(score, rng, one, answer, values, d):
    a = area(d)
    metres = mpf(one["loop_mm"]) / 1000
    amps = mpf(one["current_a"])
    ohm = per_m(one, a) * metres
    gauge = 36 - 39 * mp.log(d / (mpf("0.005") * INCH)) / mp.log(92)
    wanted = {
        "awg": gauge,
        "diameter_mm": d,
        "area_mm2": a,
        "resistance_ohm": ohm,
        "ohm_per_km": per_m(one, a) * 1000,
        "drop_v": amps * ohm,
        "heat_w": amps**2 * ohm,
        "heat_w_per_m": amps**2 * ohm / metres,
        "density_a_mm2": amps / a,
        "careful_a": careful(a),
        # 8.96 g/cm³ and 0.385 J/(g·K): W per metre over J/K of that metre.
        "rise_k_per_s": amps**2 * per_m(one, a) / (a * 1000 * mpf("0.00896") * mpf("0.385")),
    }
    for name, theirs in wanted.items():
        score.check(close(values[name]["value"], theirs), f"{name} {values[name]['value']} {float(theirs)}", one)
    for _ in range(4):
        i = max(one["current_a"] + reach(one) * rng.choice([-1, 1, rng.uniform(-1, 1)]), 0)
        longer = 1 + (lay(one) - 1) * rng.choice([0, 1, rng.random()])
        for name, real in (("drop_v", i * float(ohm) * longer), ("heat_w", i * i * float(ohm) * longer)):
            ends = values[name]
            score.check(ends["lo"] - 1e-12 <= real <= ends["hi"] * (1 + 1e-12) + 1e-15, f"{name} {real} outside", one)
    compare_aspects(score, one, answer, a, gauge, float(ohm))


def compare_aspects(score, one, answer, a, gauge, ohm):
    high = one["current_a"] + reach(one)
    whole = int(mp.ceil(gauge - mpf("1e-6")))
    guides = [float(careful(a))]
    if whole in CHASSIS:
        guides.append(CHASSIS[whole])
    if a <= 0.26:
        guides += [amps for size, amps in LABORATORY if size <= a * (1 + mpf("1e-6"))][-1:]
    finding = next(f for f in answer["findings"] if "the guides let it carry" in f["sentence"])
    low, top = guides[0], max(guides)
    if all(abs(high / g - 1) > 1e-7 for g in guides):
        wanted = "danger" if high > top else "caution" if high > low else "clear"
        score.check(finding["aspect"] == wanted, f"guides {finding['aspect']}, by the rule {wanted}", one)
    if "most_drop_v" in one:
        worst, most = high * ohm * lay(one), one["most_drop_v"]
        finding = next(f for f in answer["findings"] if f["sentence"].startswith("It loses"))
        if all(abs(worst / (n * most) - 1) > 1e-7 for n in (1, 2)):
            wanted = "danger" if worst > 2 * most else "caution" if worst > most else "clear"
            score.check(finding["aspect"] == wanted, f"drop {finding['aspect']}, by the rule {wanted}", one)
    if "job" in one:
        usual = JOBS.get(one["job"]) or USUAL.get(one.get("size"))
        finding = next(f for f in answer["findings"] if f["formula"] == "gauge within the usual range")
        off = None if usual is None else max(usual[0] - 0.5 - gauge, gauge - usual[1] - 0.5)
        if off is None or abs(off) > 1e-6:
            wanted = "unlit" if off is None else "caution" if off > 0 else "clear"
            score.check(finding["aspect"] == wanted, f"job {finding['aspect']}, by the rule {wanted}", one)


def compare_choice(score, one, values):
    """Thinnest gauges, searched one by one."""
    high = one["current_a"] + reach(one)

    def thinnest(fits):
        return next((n for n in range(40, 9, -1) if fits(n)), None)

    rules = {"careful_awg": lambda n: careful(area(diameter(n))) >= high, "generous_awg": lambda n: CHASSIS[n] >= high}
    if "most_drop_v" in one:
        metres = one["loop_mm"] / 1000
        rules["drop_awg"] = lambda n: high * per_m(one, area(diameter(n))) * metres * lay(one) <= one["most_drop_v"]
    for name, fits in rules.items():
        ours, theirs = values.get(name, {}).get("value"), thinnest(fits)
        score.check(ours == theirs, f"{name} {ours} {theirs}", one)


def main():
    path = program()
    rng = seeded("wire")
    score = Score("wire")
    inputs = [maker(rng) for _ in range(CASES)]
    for one, answer in zip(inputs, run_lines(path, "wire", inputs)):
        if "refused" in answer:
            score.check(False, f"refused: {answer['refused']}", one)
            continue
        values = values_of(answer)
        d = None
        if "awg" in one:
            d = diameter(one["awg"])
        elif "diameter_mm" in one:
            d = mpf(one["diameter_mm"])
        elif "area_mm2" in one:
            d = mp.sqrt(4 * mpf(one["area_mm2"]) / pi)
        if d is None:
            score.check("drop_v" not in values and answer["aspect"] == "unlit", "a drop without a wire", one)
        else:
            compare_wire(score, rng, one, answer, values, d)
        compare_choice(score, one, values)
        for finding in answer["findings"]:
            whole = all(finding[part] for part in ("sentence", "formula", "source", "would_change", "inputs"))
            score.check(whole, f"a finding lacks a part: {finding}", one)
    score.end()


if __name__ == "__main__":
    main()
