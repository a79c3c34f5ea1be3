"""Compares `calc load` with interval arithmetic by mpmath, and its aspects with the rules restated here.

For each value: our bounds must contain the interval that mpmath finds for the tightest form of the formula, and be no
wider than a billionth beyond it.
"""

from common import Score, contains_tightly, program, run_lines, seeded, values_of
from mpmath import iv, mp

CASES = 1500
iv.prec = 160
mp.prec = 160
ALPHA = 0.00393


def maker(rng):
    """One random load test; readings have the decimals a meter shows."""

    def sometimes(share, value):
        return value if rng.random() < share else None

    def meter(resolution):
        if rng.random() < 0.3:
            return None
        return {
            "percent": round(rng.choice([0, rng.uniform(0, 5)]), 2),
            "digits": rng.randint(0, 5),
            "resolution": rng.choice([resolution, resolution / 10]),
        }

    size = 10 ** rng.uniform(-1.5, 0.7)
    held = round(size * rng.uniform(0.5, 3), 3)
    slipping = round(size * rng.uniform(0.1, 2), 3)
    free = round(rng.choice([slipping, held]) * rng.uniform(0.05, 1.3), 3)
    cruise = round(rng.choice([free, slipping]) * rng.uniform(0.8, 1.5), 3)
    volts = round(rng.uniform(3, 20), 2)
    one = {
        "test_v": volts,
        "free_a": sometimes(0.9, max(free, 0.001)),
        "cruise_a": sometimes(0.5, min(max(cruise, 0.001), 20)),
        "slipping_a": sometimes(0.9, max(slipping, 0.001)),
        "held_a": sometimes(0.85, max(held, 0.001)),
        "held_test_v": sometimes(0.4, round(rng.uniform(1, volts), 2)),
        "winding_ohm": sometimes(0.7, round(max(volts / held * rng.uniform(0.5, 1.5), 0.1), 2)),
        "winding_c": rng.choice([20.0, round(rng.uniform(-5, 90), 1)]),
        "track_v": sometimes(0.8, round(rng.uniform(8, 24), 1)),
        "bridge_drop_v": rng.choice([1.4, round(rng.uniform(0, 2), 2)]),
        "decoder_output_v": sometimes(0.3, round(rng.uniform(5, 20), 2)),
        "current_meter": meter(0.01),
        "voltage_meter": meter(0.1),
        "ohm_meter": meter(0.1),
        "friction_clear_below": rng.choice([0.5, round(rng.uniform(0.2, 0.6), 2)]),
        "friction_danger_above": rng.choice([0.75, round(rng.uniform(0.6, 0.95), 2)]),
        "motors": rng.choice([1, 1, 1, 2, 3]),
    }
    if one["held_a"] is None:
        one["held_refused"] = rng.random() < 0.5
    return {name: value for name, value in one.items() if value is not None}


def reading(value, meter):
    """A reading as an interval: value ± (percent/100 value + digits resolution), never below zero. A low end within a
    billionth of the value from zero counts as zero: the meter can't tell the reading from nothing."""
    if value is None:
        return None
    if meter is None:
        return iv.mpf(value)
    spread = iv.mpf(meter["percent"]) / 100 * iv.mpf(value) + iv.mpf(meter["digits"]) * iv.mpf(meter["resolution"])
    if spread.b == 0:
        return iv.mpf(value)
    low, high = (iv.mpf(value) - spread).a, (iv.mpf(value) + spread).b
    return iv.mpf([0 if low <= mp.mpf("1e-9") * value else low, high])


def known(*parts):
    return all(part is not None for part in parts)


def hump(free, volts, ohms):
    """V i − R i² over an interval of i, for one V and one R: by completing the square, i stands once."""
    top = volts / (2 * ohms)
    return volts * volts / (4 * ohms) - ohms * (free - top) ** 2


def friction_power(free, volts, held_volts, held):
    """V I_free − I_free² R. With R a reading of its own it rises with V and falls with R. With R = V / I_held it is V
    times something that rises with I_held."""
    if held_volts is not None:
        ohms = held_volts / held
        low = hump(free, iv.mpf(volts.a), iv.mpf(ohms.b)).a
        high = hump(free, iv.mpf(volts.b), iv.mpf(ohms.a)).b
        return iv.mpf([low, high])
    low = hump(free, iv.mpf(1), 1 / iv.mpf(held.a)).a
    high = hump(free, iv.mpf(1), 1 / iv.mpf(held.b)).b
    return volts * iv.mpf([low, high])


def copper(c):
    return 1 + iv.mpf(ALPHA) * (iv.mpf(c) - 20)


def reference(one):
    """Every value that can be worked out, as intervals."""
    amps, volts = one.get("current_meter"), one.get("voltage_meter")
    v = reading(one["test_v"], volts)
    free, slipping, held = (reading(one.get(name), amps) for name in ("free_a", "slipping_a", "held_a"))
    held_volts = reading(one.get("held_test_v"), volts)
    winding = reading(one.get("winding_ohm"), one.get("ohm_meter"))
    output = reading(one.get("decoder_output_v"), volts)
    if output is None and "track_v" in one:
        output = reading(one["track_v"], volts) - iv.mpf(one["bridge_drop_v"])
        output = iv.mpf([max(output.a, 0), max(output.b, 0)])
    out = {}
    if known(free, slipping) and slipping.a > 0:
        out["friction_share"] = free / slipping
    if known(output):
        out["decoder_output_v"] = output
    if known(slipping):
        out["slipping_at_output_a"] = slipping
    if known(free):
        out["input_free_w"] = v * free
    warm = copper(one["winding_c"])
    over_cold = warm / copper(min(20.0, one["winding_c"]))
    over_hot = warm / copper(80.0)
    when_held = v if held_volts is None else held_volts
    if known(held) and held.a > 0:
        ohms = when_held / held
        out["resistance_ohm"] = ohms
        if one["motors"] > 1:
            out["resistance_each_ohm"] = ohms * one["motors"]
        if known(free):
            out["copper_loss_free_w"] = free**2 * ohms
            share = free / held
            out["back_emf_free_v"] = v * (1 - share) if held_volts is None else v - free * ohms
            out["friction_power_w"] = friction_power(free, v, held_volts, held)
        if known(winding):
            out["brush_and_contact_ohm"] = ohms - winding
        if known(winding) and winding.a > 0:
            out["disagreement"] = abs(ohms / winding - 1)
    for name, current in (("cruise", reading(one.get("cruise_a"), amps)), ("slipping", slipping)):
        if not known(current):
            continue
        out[f"input_{name}_w"] = v * current
        if known(held) and held.a > 0:
            out[f"copper_loss_{name}_w"] = current**2 * ohms
            share = current / held
            out[f"back_emf_{name}_v"] = v * (1 - share) if held_volts is None else v - current * ohms
            out[f"shaft_power_{name}_w"] = friction_power(current, v, held_volts, held)
    if known(held, output) and when_held.a > 0:
        out["held_at_output_a"] = held * output / when_held * over_cold
        out["held_hot_at_output_a"] = held * output / when_held * over_hot
    if held is None and known(winding, output) and winding.a > 0:
        out["held_stand_in_a"] = output / winding * over_cold
    return out, (free, slipping, held, v, held_volts, winding)


def compare_values(score, one, answer, wanted):
    values = values_of(answer)
    score.check(set(values) == set(wanted), f"values {sorted(set(values) ^ set(wanted))} on one side only", one)
    for name in set(values) & set(wanted):
        ours, theirs = values[name], wanted[name]
        what = f"{name}: ours {ours['lo']!r} to {ours['hi']!r}, mpmath {float(theirs.a)!r} to {float(theirs.b)!r}"
        score.check(contains_tightly(ours, theirs), what, one)


def aspects(one, wanted, parts):
    """Aspects by the rules of the load test, from mpmath's bounds. None where it stands on the edge of a limit."""
    free, slipping, held, volts, held_volts, winding = parts
    edge = mp.mpf("1e-8")
    out = {"mechanism": "unlit", "winding": "unlit", "order": "unlit"}
    if "friction_share" in wanted:
        worst = wanted["friction_share"].b
        clear, danger = one["friction_clear_below"], one["friction_danger_above"]
        if abs(worst - clear) < edge or abs(worst - danger) < edge:
            out["mechanism"] = None
        else:
            out["mechanism"] = "danger" if worst > danger else "clear" if worst < clear else "caution"
    if "disagreement" in wanted:
        worst = wanted["disagreement"].b
        near = abs(worst - mp.mpf("0.25")) < edge
        out["winding"] = None if near else "clear" if worst < mp.mpf("0.25") else "caution"
    at_test = held
    if known(held, held_volts):
        at_test = held / held_volts * volts if held_volts.a > 0 else None
    pairs = [(free, slipping), (slipping, at_test), (free, at_test)]
    pairs = [(less, more) for less, more in pairs if known(less, more)]
    if any(abs(less.a - more.b) < edge for less, more in pairs):
        out["order"] = None
    elif any(less.a > more.b for less, more in pairs):
        out["order"] = "caution"
    elif known(free, slipping, at_test):
        out["order"] = "clear"
    return out


def rule_of(finding):
    """Which rule a finding is of, by its formula."""
    formula = finding["formula"]
    if formula.startswith("I_free / I_slip"):
        return "mechanism"
    if formula.startswith("|R / R_winding"):
        return "winding"
    return "order" if formula.startswith("I_free ≤") else "held"


def compare_aspects(score, one, answer, wanted):
    ours = {rule_of(finding): finding["aspect"] for finding in answer["findings"]}
    for rule, aspect in wanted.items():
        if aspect is not None:
            score.check(ours.get(rule) == aspect, f"{rule}: ours {ours.get(rule)}, by the rules {aspect}", one)
    held = None if "held_a" in one else "unlit"
    score.check(ours.get("held") == held, f"held: ours {ours.get('held')}, by the rules {held}", one)
    order = ["clear", "caution", "unlit", "danger"]
    worst = max(ours.values(), key=order.index)
    score.check(answer["aspect"] == worst, f"answer {answer['aspect']}, its worst finding {worst}", one)


def main():
    path = program()
    rng = seeded("load")
    score = Score("load")
    inputs = [maker(rng) for _ in range(CASES)]
    for one, answer in zip(inputs, run_lines(path, "load", inputs)):
        if "refused" in answer:
            score.check(False, f"refused: {answer['refused']}", one)
            continue
        wanted, parts = reference(one)
        compare_values(score, one, answer, wanted)
        compare_aspects(score, one, answer, aspects(one, wanted, parts))
    score.end()


if __name__ == "__main__":
    main()
