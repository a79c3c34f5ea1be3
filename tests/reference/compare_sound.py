"""Compares `calc sound` with numpy's nodal solution of the same network, and with scipy's transfer function of the closed
box: f3 found by brentq, the peak by minimize_scalar, the wanted box by brentq.
"""

import math

import numpy as np
from common import Score, program, run_lines, seeded, values_of
from scipy.optimize import brentq, minimize_scalar
from scipy.signal import freqs

CASES = 400


def network(rng, depth=0):
    if depth == 3 or rng.random() < 0.35:
        z = rng.choice([4.0, 8.0, 8.0, 16.0, 32.0, round(rng.uniform(3, 60), 1)])
        speaker = {"name": f"s{rng.randint(0, 9999)}", "impedance_ohm": z}
        if rng.random() < 0.8:
            speaker["measured_ohm"] = round(z * rng.uniform(0.7, 1.2), 1)
        if rng.random() < 0.8:
            speaker["rated_w"] = round(rng.uniform(0.1, 3), 2)
        if rng.random() < 0.8:
            speaker["moves"] = rng.choice(["outward", "outward", "inward"])
        return {"speaker": speaker}
    return {rng.choice(["series", "parallel"]): [network(rng, depth + 1) for _ in range(rng.randint(1, 3))]}


def maker(rng):
    one = {"network": network(rng)}
    if rng.random() < 0.85:
        one["least_load_ohm"] = rng.choice([3.0, 4.0, 8.0])
    kind = rng.random()
    if kind < 0.4:
        one["output_v"] = round(rng.uniform(0.5, 5), 2)
    elif kind < 0.8 and "least_load_ohm" in one:
        one["amplifier_w"] = round(rng.uniform(0.2, 3), 2)
    if rng.random() < 0.8:
        box = {
            "fs_hz": round(rng.uniform(80, 1200)),
            "qts": round(rng.uniform(0.25, 2), 2),
            "vas_cm3": round(10 ** rng.uniform(-1, 2), 2),
        }
        if rng.random() < 0.9:
            box["box_cm3"] = round(10 ** rng.uniform(-0.5, 2), 2)
        if rng.random() < 0.5:
            box["spread_percent"] = rng.choice([5, 15, 30])
        if rng.random() < 0.5:
            box["wanted_qtc"] = round(rng.uniform(0.5, 1.2), 2)
        if rng.random() < 0.7:
            box["band_low_hz"] = round(rng.uniform(150, 1500))
        one["closed_box"] = box
    return one


def edges(node, a, b, fresh, out):
    """The network as speakers between numbered points."""
    kind, parts = next(iter(node.items()))
    if kind == "speaker":
        out.append((a, b, parts))
    elif kind == "parallel":
        for part in parts:
            edges(part, a, b, fresh, out)
    else:
        for i, part in enumerate(parts):
            end = b if i == len(parts) - 1 else fresh()
            edges(part, a, end, fresh, out)
            a = end


def nodal(node, ohms):
    """Load and each speaker's share of the power, by solving the conductance matrix with 1 A driven in."""
    points = [2]

    def fresh():
        points[0] += 1
        return points[0] - 1

    links = []
    edges(node, 0, 1, fresh, links)
    size = points[0]
    matrix = np.zeros((size, size))
    for a, b, speaker in links:
        g = 1 / ohms(speaker)
        matrix[a, a] += g
        matrix[b, b] += g
        matrix[a, b] -= g
        matrix[b, a] -= g
    keep = [i for i in range(size) if i != 1]
    drive = np.zeros(size)
    drive[0] = 1
    volts = np.zeros(size)
    volts[keep] = np.linalg.solve(matrix[np.ix_(keep, keep)], drive[keep])
    powers = [(volts[a] - volts[b]) ** 2 / ohms(s) for a, b, s in links]
    return volts[0], [p / sum(powers) for p in powers], [s for _, _, s in links]


def magnitude(hz, fc, q):
    """|H| of the closed box by scipy.signal.freqs."""
    w = 2 * math.pi * fc
    _, h = freqs([1, 0, 0], [1, w / q, w * w], worN=[2 * math.pi * hz])
    return abs(h[0])


def close(ours, theirs, within=1e-9):
    return abs(ours - theirs) <= within * max(abs(theirs), 1e-9)


def lowest(fs, qts, vas, box):
    """f3 in Hz from the transfer function; the flat part is at 1."""
    root = math.sqrt(1 + vas / box)
    fc, q = fs * root, qts * root
    return brentq(lambda f: magnitude(f, fc, q) - math.sqrt(0.5), fc / 200, fc * 20, xtol=1e-10, rtol=1e-13), fc, q


def compare_box(score, rng, one, values):
    box = one["closed_box"]
    fs, qts, vas = box["fs_hz"], box["qts"], box["vas_cm3"]
    wanted = box.get("wanted_qtc", math.sqrt(0.5))
    got = values.get("wanted_box_cm3", {}).get("value")
    if wanted > qts * 1.0001:
        theirs = math.exp(brentq(lambda v: qts * math.sqrt(1 + vas / math.exp(v)) - wanted, -25, 25, xtol=1e-13))
        score.check(got is not None and close(got, theirs, 1e-7), f"wanted box {got} {theirs}", one)
    elif wanted < qts:
        score.check(got is None, f"wanted box {got} where there is none", one)
    if "box_cm3" not in box:
        score.check("f3_hz" not in values, "f3 without a box", one)
        return
    f3, fc, q = lowest(fs, qts, vas, box["box_cm3"])
    for name, theirs in (("f3_hz", f3), ("fc_hz", fc), ("qtc", q)):
        score.check(close(values[name]["value"], theirs, 1e-8), f"{name} {values[name]['value']} {theirs}", one)
    top = minimize_scalar(
        lambda x: -magnitude(fc * math.exp(x), fc, q), bounds=(-3, 6), method="bounded", options={"xatol": 1e-9}
    )
    peak = max(20 * math.log10(-top.fun), 0)
    # A shallow hump far above resonance is flat to within the finder's reach.
    score.check(abs(values["peak_db"]["value"] - peak) < 2e-3, f"peak {values['peak_db']['value']} {peak}", one)
    if "band_low_hz" in box:
        level = 20 * math.log10(magnitude(box["band_low_hz"], fc, q))
        score.check(abs(values["at_band_low_db"]["value"] - level) < 1e-9, f"level {level}", one)
    part = box.get("spread_percent", 0) / 100
    for _ in range(5):
        a, b, c = (1 + part * rng.choice([-1, 1, rng.uniform(-1, 1)]) for _ in range(3))
        real = dict(zip(("f3_hz", "fc_hz", "qtc"), lowest(fs * a, qts * b, vas * c, box["box_cm3"])))
        for name, value in real.items():
            ends = values[name]
            score.check(
                ends["lo"] * (1 - 1e-9) <= value <= ends["hi"] * (1 + 1e-9),
                f"{name} {value} outside {ends['lo']} to {ends['hi']}",
                one,
            )


def compare_aspects(score, one, answer, load, speakers):
    """Load, power and polarity by the rules."""
    least = one.get("least_load_ohm")
    measured = None
    if all("measured_ohm" in s for s in speakers):
        measured, _, _ = nodal(one["network"], lambda s: s["measured_ohm"])
    finding = next(f for f in answer["findings"] if f["sentence"].startswith("The speakers are"))
    if least is None:
        wanted = "unlit"
    elif load < least * (1 - 1e-7) or (measured is not None and measured < 0.8 * least * (1 - 1e-7)):
        wanted = "danger"
    else:
        wanted = "unlit" if measured is None else "clear"
    edge = least and any(abs(v / w - 1) < 1e-6 for v, w in ((load, least), (measured or 1e9, 0.8 * least)))
    if not edge:
        score.check(finding["aspect"] == wanted, f"load {finding['aspect']}, by the rule {wanted}", one)
    ways = {s.get("moves") for s in speakers}
    moves = [f for f in answer["findings"] if f["formula"] == "all cones move the same way"]
    if len(speakers) > 1:
        wanted = "caution" if {"outward", "inward"} <= ways else "unlit" if None in ways else "clear"
        score.check(moves[0]["aspect"] == wanted, f"polarity {moves[0]['aspect']}, by the rule {wanted}", one)
    else:
        score.check(not moves, "polarity of one speaker", one)


def main():
    path = program()
    rng = seeded("sound")
    score = Score("sound")
    inputs = [maker(rng) for _ in range(CASES)]
    for one, answer in zip(inputs, run_lines(path, "sound", inputs)):
        if "refused" in answer:
            score.check(False, f"refused: {answer['refused']}", one)
            continue
        values = values_of(answer)
        load, shares, speakers = nodal(one["network"], lambda s: s["impedance_ohm"])
        score.check(close(values["load_ohm"]["value"], load), f"load {values['load_ohm']['value']} {load}", one)
        volts = one.get("output_v") or (
            math.sqrt(one["amplifier_w"] * one["least_load_ohm"]) if "amplifier_w" in one else None
        )
        for i, share in enumerate(shares, 1):
            score.check(close(values[f"speaker_{i}_share"]["value"], share), f"share {i}", one)
            power = values.get(f"speaker_{i}_w", {}).get("value")
            theirs = None if volts is None else share * volts * volts / load
            score.check(power is None if theirs is None else close(power, theirs), f"power {i}: {power} {theirs}", one)
        compare_aspects(score, one, answer, load, speakers)
        if "closed_box" in one:
            compare_box(score, rng, one, values)
        for finding in answer["findings"]:
            whole = all(finding[part] for part in ("sentence", "formula", "source", "would_change", "inputs"))
            score.check(whole, f"a finding lacks a part: {finding}", one)
    score.end()


if __name__ == "__main__":
    main()
