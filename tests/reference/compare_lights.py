"""Compares `calc lights` with the eseries package, scipy's root finder and the relations restated here.

Resistors next up: eseries. Operating points of filament lamps: scipy.optimize.brentq. LEDs: by hand formula. Bounds: true
values drawn inside what meter, tolerance and spread allow must stay inside. Bands: read back by a table of its own.
"""

import math

import eseries
from common import Score, program, run_lines, seeded, values_of
from scipy.optimize import brentq

CASES = 600
SERIES = {"e12": (eseries.E12, 10), "e24": (eseries.E24, 5), "e96": (eseries.E96, 1)}
DIGITS = "black brown red orange yellow green blue violet grey white".split()
POWERS = {**{name: power for power, name in enumerate(DIGITS)}, "gold": -1, "silver": -2}
TOLERANCES = {"silver": 10, "gold": 5, "red": 2, "brown": 1, "green": 0.5, "blue": 0.25, "violet": 0.1}
RATINGS = [0.063, 0.1, 0.125, 0.25, 0.5, 1, 2, 3, 5]
ORDER = ["clear", "caution", "unlit", "danger"]


def maker(rng):
    def sometimes(share, value):
        return value if rng.random() < share else None

    def known(**fields):
        return {name: value for name, value in fields.items() if value is not None}

    def string(number):
        if rng.random() < 0.55:
            light = {
                "led": known(
                    forward_v=round(rng.uniform(1.6, 3.6), 2),
                    spread_v=sometimes(0.5, round(rng.uniform(0, 0.4), 2)),
                    wanted_a=round(10 ** rng.uniform(-3.3, -1.3), 5),
                    most_a=sometimes(0.8, round(10 ** rng.uniform(-2.5, -1), 4)),
                )
            }
        else:
            light = {
                "lamp": known(
                    rated_v=rng.choice([1.5, 3, 6, 12, 16]),
                    rated_a=round(rng.uniform(0.015, 0.12), 3),
                    cold_ratio=sometimes(0.3, round(rng.uniform(4, 15), 1)),
                )
            }
        led = "led" in light
        return known(
            name=f"string {number}",
            light=light,
            in_series=rng.choice([1, 1, 1, 2, 3]),
            share=sometimes(0.2, rng.randint(1, 4)),
            copies=sometimes(0.3, rng.randint(1, 4)),
            fitted_ohm=(
                sometimes(0.2, rng.choice([0.0, 33.0, 330.0, 1000.0, 1234.0]))
                if not led
                else sometimes(0.2, rng.choice([330.0, 1000.0, 2200.0]))
            ),
            tolerance_percent=sometimes(0.3, rng.choice([10, 5, 2, 1])),
            resistor_w=sometimes(0.3, rng.choice(RATINGS)),
            returns_to=sometimes(0.9, rng.choice(["common", "common", "common", "rail", "frame"])),
        )

    return known(
        track_v=round(rng.uniform(8, 22), 1),
        voltage_meter=sometimes(
            0.5, {"percent": round(rng.uniform(0, 3), 1), "digits": rng.randint(0, 5), "resolution": 0.01}
        ),
        drop_v=sometimes(0.4, round(rng.uniform(0, 2), 1)),
        series=rng.choice(list(SERIES)),
        total_rating_a=sometimes(0.8, round(rng.uniform(0.05, 1), 2)),
        outputs=[
            known(
                name=f"output {n}",
                rating_a=sometimes(0.8, round(rng.uniform(0.02, 0.5), 2)),
                strings=[string(i) for i in range(rng.randint(1, 3))],
            )
            for n in range(rng.randint(1, 3))
        ],
    )


def next_up(series, ohm):
    """By the eseries package; a hair is taken off so that 149.99999999999997 and 150 are one value."""
    return max(eseries.find_greater_than_or_equal(series, ohm * (1 - 1e-9)), 0.1)


def current(light, n, share, supply, ohm, off=0.0):
    """Current through the resistor; `off` shifts the forward voltage."""
    if "led" in light:
        left = supply - n * (light["led"]["forward_v"] + off)
        return max(left, 0) / ohm if ohm > 0 else 0
    volts, amps = light["lamp"]["rated_v"] * n, light["lamp"]["rated_a"] * share
    if supply <= 0:
        return 0
    over = brentq(
        lambda i: i * ohm + volts * (i / amps) ** (1 / 0.55) - supply,
        0,
        amps * (supply / volts) ** 0.55 * 1.001,
        xtol=1e-15,
        rtol=1e-13,
    )
    return over


def close(ours, theirs, within=1e-9):
    return abs(ours - theirs) <= within * max(abs(theirs), 1e-6)


def read_bands(words):
    *digits, power, tolerance = words
    value = int("".join(str(DIGITS.index(name)) for name in digits))
    return value * 10.0 ** POWERS[power], TOLERANCES[tolerance]


def compare_string(score, rng, one, string, values, at):
    """One string: resistor, current, heat, inrush, bounds."""
    light, n, share = string["light"], string["in_series"], string.get("share", 1)
    drop = one.get("drop_v", 1.4) / (2 if string.get("returns_to") in ("rail", "frame") else 1)
    supply = one["track_v"] - drop
    led = light.get("led")
    each = led["forward_v"] if led else light["lamp"]["rated_v"]
    wanted = (led["wanted_a"] if led else light["lamp"]["rated_a"]) * share
    exact = (supply - n * each) / wanted
    got = lambda name: values.get(f"{at}_{name}", {}).get("value")
    if exact > 0:
        score.check(close(got("exact_ohm"), exact), f"{at} exact: {got('exact_ohm')} {exact}", one)
        for name, (series, _) in SERIES.items():
            score.check(
                close(got(f"{name}_ohm"), next_up(series, exact)),
                f"{at} {name}: {got(f'{name}_ohm')} {next_up(series, exact)}",
                one,
            )
    else:
        score.check(got("exact_ohm") is None, f"{at} has an exact resistor, supply too low", one)
    series, tolerance = SERIES[one["series"]]
    tolerance = string.get("tolerance_percent", tolerance)
    ohm = string.get("fitted_ohm")
    if ohm is None and exact > 0:
        ohm = next_up(series, exact)
    score.check(got("resistor_ohm") is None if ohm is None else close(got("resistor_ohm"), ohm), f"{at} resistor", one)
    r = ohm or 0
    amps = current(light, n, share, supply, r)
    score.check(close(got("current_a"), amps, 1e-7), f"{at} current: {got('current_a')} {amps}", one)
    score.check(
        close(got("resistor_w"), amps * amps * r, 1e-6), f"{at} heat: {got('resistor_w')} {amps * amps * r}", one
    )
    heat = values[f"{at}_resistor_w"]["hi"]
    rating = next((w for w in RATINGS if w >= 2 * heat), None)
    edge = any(abs(w / (2 * heat) - 1) < 1e-6 for w in RATINGS) if heat else False
    if r > 0 and not edge:
        score.check(got("rating_w") == rating, f"{at} rating: {got('rating_w')} {rating}", one)
    meter = one.get("voltage_meter", {"percent": 0, "digits": 0, "resolution": 0})
    reach = meter["percent"] / 100 * one["track_v"] + meter["digits"] * meter["resolution"]
    for _ in range(6):
        track, part, off = (rng.choice([-1, 1, rng.uniform(-1, 1)]) for _ in range(3))
        volts = supply + track * reach
        real_ohm = r * (1 + part * tolerance / 100)
        real = current(light, n, share, volts, real_ohm, off * (led.get("spread_v", 0) if led else 0))
        for name, value in (("current_a", real), ("resistor_w", real * real * real_ohm)):
            ends = values[f"{at}_{name}"]
            slack = 1e-9 * max(abs(value), 1e-9)
            score.check(
                ends["lo"] - slack <= value <= ends["hi"] + slack,
                f"{at} {name}: {value} outside {ends['lo']} to {ends['hi']}",
                one,
            )
    if not led:
        cold = light["lamp"]["rated_v"] / light["lamp"]["rated_a"] / light["lamp"].get("cold_ratio", 10)
        rush = (supply + reach) / (r * (1 - tolerance / 100) + n * cold / share)
        rush = max(rush, values[f"{at}_current_a"]["hi"])
        score.check(close(got("inrush_a"), rush, 1e-6), f"{at} inrush: {got('inrush_a')} {rush}", one)
    return amps * string.get("copies", 1)


def compare_bands(score, one, finding):
    """Bands, letters and chip digits told with a string say the value that is told."""
    told = {named["name"]: named["value"] for named in finding["inputs"]}
    if "resistor" not in told or "chip digits" not in told:
        return
    number, unit = told["resistor"].split("\u00a0")
    ohm = float(number) * {"Ω": 1, "kΩ": 1e3, "MΩ": 1e6}[unit]
    printed = 0.06 * {"Ω": 1, "kΩ": 1e3, "MΩ": 1e6}[unit]
    for name in ("four bands", "five bands"):
        if name in told:
            value, _ = read_bands(told[name].split(":")[0].split())
            score.check(abs(value - ohm) <= printed, f"{name}: {told[name]} is {value}, told {ohm}", one)
    letters = told["marked"]
    place = next(i for i, c in enumerate(letters) if c in "RKM")
    value = float(letters[:place] + "." + letters[place + 1 :]) * {"R": 1, "K": 1e3, "M": 1e6}[letters[place]]
    score.check(abs(value - ohm) <= printed, f"{letters} is {value}, told {ohm}", one)


def compare_rating(score, one, answer, start, current, rating):
    """The aspect of a rating by the rule: danger above it, caution above 80 %, unlit where not known."""
    finding = next(f for f in answer["findings"] if start in f["sentence"] and "headroom" in f["formula"])
    edge = rating and any(abs(current["hi"] / limit - 1) < 1e-7 for limit in (rating, 0.8 * rating))
    if edge:
        return
    wanted = (
        "unlit"
        if rating is None
        else "danger" if current["hi"] > rating else "caution" if current["hi"] > 0.8 * rating else "clear"
    )
    score.check(finding["aspect"] == wanted, f"{start}: {finding['aspect']}, by the rule {wanted}", one)


def main():
    path = program()
    rng = seeded("lights")
    score = Score("lights")
    inputs = [maker(rng) for _ in range(CASES)]
    for one, answer in zip(inputs, run_lines(path, "lights", inputs)):
        if "refused" in answer:
            score.check(False, f"refused: {answer['refused']}", one)
            continue
        values = values_of(answer)
        total = 0
        for i, output in enumerate(one["outputs"], 1):
            amps = sum(
                compare_string(score, rng, one, s, values, f"output_{i}_string_{j}")
                for j, s in enumerate(output["strings"], 1)
            )
            score.check(
                close(values[f"output_{i}_a"]["value"], amps, 1e-7),
                f"output {i}: {values[f'output_{i}_a']['value']} {amps}",
                one,
            )
            compare_rating(
                score,
                one,
                answer,
                f"output {output['name']}" if "rating_a" not in output else f"Output {output['name']}",
                values[f"output_{i}_a"],
                output.get("rating_a"),
            )
            total += amps
        score.check(close(values["total_a"]["value"], total, 1e-7), f"total {values['total_a']['value']} {total}", one)
        start = "All outputs together" if "total_rating_a" in one else "What all outputs"
        compare_rating(score, one, answer, start, values["total_a"], one.get("total_rating_a"))
        for finding in answer["findings"]:
            compare_bands(score, one, finding)
            whole = all(finding[part] for part in ("sentence", "formula", "source", "would_change", "inputs"))
            score.check(whole, f"a finding lacks a part: {finding}", one)
        worst = max((f["aspect"] for f in answer["findings"]), key=ORDER.index)
        score.check(answer["aspect"] == worst, f"answer {answer['aspect']}, worst finding {worst}", one)
        ends = all(v["lo"] <= v["value"] <= v["hi"] and math.isfinite(v["hi"]) for v in answer["values"])
        score.check(ends, "a value outside its bounds", one)
    score.end()


if __name__ == "__main__":
    main()
