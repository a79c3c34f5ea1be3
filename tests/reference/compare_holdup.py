"""Compares `calc holdup` with ngspice, which is given the same circuit cell by cell.

Discharge: every cell with its ESR and balancing resistor, a diode of the exponential law, a constant current, a constant
power or a resistor, until the decoder's voltage falls to the cut-off. Charging: the same cells through a resistor. A
line-up: all stores on one source. Times, currents and energies must agree within 1 %.
"""

import math
import os
import re
import subprocess
import tempfile
from concurrent.futures import ThreadPoolExecutor

from common import Score, program, run_lines, seeded, values_of

DISCHARGES = 260
LEAST = 60
CHARGES = 60
LINE_UPS = 40
WITHIN = 0.01
SATURATION_A = 1e-12
# Thermal voltage at 27 °C, where ngspice works: k T / q.
THERMAL_V = 1.380649e-23 * 300.15 / 1.602176634e-19


def spice(netlist, names):
    """Measured values of one batch run; None where one was not found."""
    with tempfile.TemporaryDirectory() as folder:
        path = os.path.join(folder, "circuit.cir")
        with open(path, "w", encoding="utf-8") as file:
            file.write(netlist)
        done = subprocess.run(["ngspice", "-b", path], capture_output=True, text=True, timeout=120)
    found = {}
    for name in names:
        hit = re.search(rf"^{name}\s*=\s*([-+0-9.eE]+)", done.stdout, re.MULTILINE)
        found[name] = float(hit.group(1)) if hit else None
    return found


def diode_drop(amps):
    return THERMAL_V * math.log1p(amps / SATURATION_A)


def cells(store, cell_f, full_v):
    """The cells of a store between `top` and 0, charged to full_v together."""
    n, m = store["series"], store["parallel"]
    lines = []
    for string in range(m):
        for cell in range(n):
            low = "0" if cell == 0 else f"n{string}_{cell}"
            high = "top" if cell == n - 1 else f"n{string}_{cell + 1}"
            tag = f"{string}_{cell}"
            lines.append(f"C{tag} i{tag} {low} {cell_f!r} IC={full_v / n!r}")
            lines.append(f"R{tag} {high} i{tag} {max(store['esr_ohm'], 1e-6)!r}")
            if "balance_ohm" in store:
                lines.append(f"B{tag}r {high} {low} I=V({high},{low})/{store['balance_ohm']!r}")
            if store.get("leakage_a"):
                lines.append(f"I{tag} i{tag} {low} {store['leakage_a']!r}")
    return lines


def drawn(load, floor):
    """The load as a current source or a resistor from `out`. A constant power stops rising below `floor` volts."""
    if "current_a" in load:
        return f"ILOAD out 0 {load['current_a']!r}"
    if "power_w" in load:
        return f"BLOAD out 0 I={load['power_w']!r}/max(V(out),{floor!r})"
    return f"RLOAD out 0 {load['resistance_ohm']!r}"


def discharge(one, cell_f, until_s):
    store, load = one["store"], one["load"]
    step = until_s / 1500
    # Where no lower voltage carries the power: u = √(P ESR). Below it the voltage falls at once, so the time is
    # that of the collapse whatever the cut-off, and is read a little below it, where ngspice still has a solution.
    collapse = math.sqrt(load.get("power_w", 0) * store["esr_ohm"] * store["series"] / store["parallel"])
    end = load["cutoff_v"] if collapse < load["cutoff_v"] else 0.9 * collapse
    lines = [
        "discharge",
        *cells(store, cell_f, one["supply"]["full_v"]),
        f".model dio D(IS={SATURATION_A} N=1)",
        "DOUT top out dio",
        # A ten-thousandth of the store at the decoder: without it ngspice finds no first point, and none after a
        # constant power has collapsed.
        f"COUT out 0 {cell_f * store['parallel'] / store['series'] * 1e-4!r} IC={one['supply']['full_v'] - 0.7!r}",
        drawn(load, max(0.8 * collapse, 0.3)),
        f".tran {step!r} {until_s!r} 0 {step!r} UIC",
        f".meas tran held WHEN v(out)={end!r} FALL=LAST",
        ".end",
    ]
    return spice("\n".join(lines) + "\n", ["held"])["held"]


def longest(one, cell_f):
    """A time by which the store is surely empty: all of its charge at the least current."""
    store, load = one["store"], one["load"]
    full = one["supply"]["full_v"]
    farad = cell_f * store["parallel"] / store["series"]
    least = {
        "current_a": load.get("current_a"),
        "power_w": load.get("power_w", 0) / full,
        "resistance_ohm": load["cutoff_v"] / load.get("resistance_ohm", math.inf),
    }
    amps = next(least[name] for name in least if name in load)
    return 1.1 * farad * (full - load["cutoff_v"]) / amps


def a_store(rng):
    store = {
        "kind": rng.choice(["electrolytic", "double_layer"]),
        "cell_f": 10 ** rng.uniform(-3.3, 0.7),
        "series": rng.randint(1, 6),
        "parallel": rng.randint(1, 3),
    }
    return store


def a_discharge(rng, collapse=False):
    """A random store and load. With `collapse`, a constant power that the ESR cannot carry down to the cut-off."""
    store = a_store(rng)
    scale = store["series"] / store["parallel"]
    full, cutoff = rng.uniform(10, 18), rng.uniform(3.5, 6.5)
    kind = "power_w" if collapse else rng.choice(["current_a", "power_w", "resistance_ohm"])
    amps = 10 ** rng.uniform(-1.3, 0)
    middle = math.sqrt(full * cutoff)
    size = {"current_a": amps, "power_w": amps * middle, "resistance_ohm": middle / amps}[kind]
    if collapse:
        whole = rng.uniform(1.3, 2.5) * cutoff**2 / size
        whole = min(whole, 0.4 * (full - 0.7) ** 2 / (4 * size))
    else:
        whole = rng.uniform(0, 0.12) * cutoff / (amps * full / cutoff)
    store["esr_ohm"] = whole / scale
    if rng.random() < 0.4:
        store["balance_ohm"] = middle / store["series"] / amps * store["parallel"] * rng.uniform(5, 50)
    if rng.random() < 0.4:
        store["leakage_a"] = amps * rng.uniform(0, 0.05) / store["parallel"]
    load = {kind: size, "cutoff_v": cutoff, "diode_v": diode_drop(amps)}
    return {"store": store, "supply": {"full_v": full}, "load": load, "crossing": {"wanted_s": rng.uniform(0.05, 5)}}


def close(ours, theirs):
    return ours is not None and theirs is not None and abs(ours - theirs) <= WITHIN * abs(theirs) + 1e-9


def value(answer, name):
    return values_of(answer).get(name, {"value": None})["value"]


def check_discharges(rng, score, path, pool):
    inputs = [a_discharge(rng) for _ in range(DISCHARGES)] + [a_discharge(rng, True) for _ in range(20)]
    answers = run_lines(path, "holdup", inputs)
    ours = [value(answer, "hold_s") for answer in answers]

    def theirs(one):
        return discharge(one, one["store"]["cell_f"], longest(one, one["store"]["cell_f"]))

    for one, mine, held in zip(inputs, ours, pool.map(theirs, inputs)):
        score.check(close(mine, held), f"hold_s: ours {mine}, ngspice {held}", one)


def check_least(rng, score, path, pool):
    """A store of the least size, given to ngspice, holds just the time wanted."""
    inputs = [a_discharge(rng) for _ in range(LEAST)]
    answers = run_lines(path, "holdup", inputs)

    def theirs(pair):
        one, answer = pair
        least = value(answer, "least_store_f")
        cell_f = least * one["store"]["series"] / one["store"]["parallel"]
        return discharge(one, cell_f, max(longest(one, cell_f), 1.2 * one["crossing"]["wanted_s"]))

    pairs = list(zip(inputs, answers))
    for (one, answer), held in zip(pairs, pool.map(theirs, pairs)):
        want = one["crossing"]["wanted_s"]
        least = value(answer, "least_store_f")
        score.check(close(want, held), f"least_store_f {least}: wanted {want}, ngspice {held}", one)


def a_charge(rng):
    store = a_store(rng)
    ohm = 10 ** rng.uniform(1, 2.7)
    store["esr_ohm"] = ohm * rng.uniform(0, 0.2) / (store["series"] / store["parallel"])
    full = rng.uniform(5, 18)
    return {
        "store": store,
        "supply": {"full_v": full},
        "charge": {"ohm": ohm},
        "make_safe": {"resistor": {"ohm": ohm}, "safe_v": full * rng.uniform(0.03, 0.5)},
    }


def charge(one):
    """Surge, times to 95 and 99 %, power and energy in the resistor, and the way down to the safe voltage."""
    store, ohm, full = one["store"], one["charge"]["ohm"], one["supply"]["full_v"]
    farad = store["cell_f"] * store["parallel"] / store["series"]
    tau = (ohm + store["esr_ohm"] * store["series"] / store["parallel"]) * farad
    step = tau / 400
    n = store["series"]
    inside = f"par('v(i0_0)*{n}')"
    lines = [
        "charge",
        *cells(store, store["cell_f"], 0.0),
        f"VS in 0 DC {full!r}",
        f"RC in top {ohm!r}",
        f"BE 0 e I=V(in,top)*V(in,top)/{ohm!r}",
        "CE e 0 1 IC=0",
        f".tran {step!r} {12 * tau!r} 0 {step!r} UIC",
        f".meas tran peak MAX par('v(in,top)/{ohm!r}')",
        f".meas tran t95 WHEN {inside}={0.95 * full!r} RISE=1",
        f".meas tran t99 WHEN {inside}={0.99 * full!r} RISE=1",
        f".meas tran joule FIND v(e) AT={11.9 * tau!r}",
        ".end",
    ]
    up = spice("\n".join(lines) + "\n", ["peak", "t95", "t99", "joule"])
    safe = one["make_safe"]["safe_v"]
    lines = [
        "discharge before work",
        *cells(store, store["cell_f"], full),
        f"RD top 0 {ohm!r}",
        f".tran {step!r} {6 * tau!r} 0 {step!r} UIC",
        f".meas tran safe WHEN {inside}={safe!r} FALL=1",
        ".end",
    ]
    return {**up, **spice("\n".join(lines) + "\n", ["safe"])}


def check_charges(rng, score, path, pool):
    inputs = [a_charge(rng) for _ in range(CHARGES)]
    names = {
        "inrush_a": "peak",
        "charge_95_s": "t95",
        "charge_99_s": "t99",
        "charge_j": "joule",
        "safe_after_s": "safe",
    }
    for one, answer, found in zip(inputs, run_lines(path, "holdup", inputs), pool.map(charge, inputs)):
        for ours, theirs in names.items():
            mine = value(answer, ours)
            score.check(close(mine, found[theirs]), f"{ours}: ours {mine}, ngspice {found[theirs]}", one)


def a_line_up(rng):
    others = [
        {
            "count": rng.randint(1, 6),
            "store_f": 10 ** rng.uniform(-3, 0),
            "ohm": 10 ** rng.uniform(1.3, 2.5),
            "full_v": 13.0,
        }
        for _ in range(rng.randint(1, 5))
    ]
    peak = sum(o["count"] * o["full_v"] / o["ohm"] for o in others)
    other_a = rng.uniform(0.1, 1)  # a booster below 0.1 A is refused
    return {
        "store": {},
        "booster": {"others": others, "other_a": other_a, "trip_a": other_a + peak * rng.uniform(0.1, 0.9)},
    }


def line_up(one):
    booster = one["booster"]
    slowest = max(o["ohm"] * o["store_f"] for o in booster["others"])
    step = slowest / 4000
    lines = ["line-up", "VS in 0 DC 13", f"IO in 0 {booster['other_a']!r}"]
    for i, o in enumerate(booster["others"]):
        for k in range(o["count"]):
            lines += [f"R{i}_{k} in a{i}_{k} {o['ohm']!r}", f"C{i}_{k} a{i}_{k} 0 {o['store_f']!r} IC=0"]
    # The shortest pulses want a fine step at the start, the longest a long run: two runs.
    total = "par('-i(VS)')"
    end = [f".tran {step!r} {6 * slowest!r} 0 {step!r} UIC", f".meas tran over WHEN {total}={booster['trip_a']!r} FALL=1"]
    long = spice("\n".join([*lines, *end, ".end"]) + "\n", ["over"])
    # A quick store among slow ones turns below the trip within a few of those steps: measured again, finely.
    if long["over"] is not None and 0 < long["over"] < 200 * step:
        fine = long["over"] / 2000
        end = [f".tran {fine!r} {3 * long['over']!r} 0 {fine!r} UIC", end[1]]
        long = spice("\n".join([*lines, *end, ".end"]) + "\n", ["over"])
    quick = min(o["ohm"] * o["store_f"] for o in booster["others"]) / 1000
    start = [f".tran {quick!r} {200 * quick!r} 0 {quick!r} UIC", f".meas tran peak MAX {total}"]
    short = spice("\n".join([*lines, *start, ".end"]) + "\n", ["peak"])
    return {**long, **short}


def check_line_ups(rng, score, path, pool):
    inputs = [a_line_up(rng) for _ in range(LINE_UPS)]
    for one, answer, found in zip(inputs, run_lines(path, "holdup", inputs), pool.map(line_up, inputs)):
        for ours, theirs in (("line_up_peak_a", "peak"), ("line_up_over_s", "over")):
            mine = value(answer, ours)
            score.check(close(mine, found[theirs]), f"{ours}: ours {mine}, ngspice {found[theirs]}", one)


def main():
    rng = seeded("holdup")
    path = program()
    score = Score("holdup")
    with ThreadPoolExecutor(2) as pool:
        for check in (check_discharges, check_least, check_charges, check_line_ups):
            before = score.passed + score.failed
            check(rng, score, path, pool)
            print(f"holdup: {check.__name__[6:]} {score.passed + score.failed - before} values compared with ngspice")
    score.end()


if __name__ == "__main__":
    main()
