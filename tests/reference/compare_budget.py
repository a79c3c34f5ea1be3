"""Compares `calc budget` with interval arithmetic by mpmath, and every row's aspect with the rules restated here.

Demand: motor in the load case, plus count times current of each load. Headroom: (rating - demand) / rating. Our bounds
must contain mpmath's interval and be no wider than a billionth beyond it.
"""

from common import Score, contains_tightly, program, run_lines, seeded, values_of
from compare_load import known, reading
from compare_load import maker as load_maker
from compare_load import reference as load_reference
from mpmath import iv, mp

CASES = 1500
NEAR = mp.mpf("1e-9")


def maker(rng):
    """A random load test, loads and ratings around what they ask."""

    def sometimes(share, value):
        return value if rng.random() < share else None

    def basis():
        return rng.choice(["measured", "measured", "measured", "data_sheet", "guess"])

    test = load_maker(rng)
    held = test.get("held_a", 1.0)
    loads = []
    for n in range(rng.randint(0, 4)):
        amps = sometimes(0.9, round(rng.uniform(0, 0.4), 3))
        one = {
            "name": f"load {n}",
            "kind": rng.choice(["lamp", "led", "sound", "smoke", "store", "other"]),
            "amps_a": amps,
            "count": rng.choice([1, 1, 2, 3]),
            "output": sometimes(0.6, rng.choice(["white", "yellow", "green"])),
            "basis": basis(),
            "meter": sometimes(0.4, {"percent": 1.5, "digits": 3, "resolution": 0.001}),
        }
        loads.append({name: value for name, value in one.items() if value is not None})

    def rating():
        return sometimes(0.9, round(max(held * rng.uniform(0.3, 2.5), 0.01), 2))

    decoder = {
        "motor_continuous_a": rating(),
        "motor_peak_a": rating(),
        "motor_peak_s": sometimes(0.5, 2.0),
        "total_continuous_a": rating(),
        "function_a": sometimes(0.8, round(rng.uniform(0.05, 0.8), 2)),
        "outputs": [{"output": "white", "rating_a": round(rng.uniform(0.05, 0.8), 2)}] if rng.random() < 0.4 else [],
        "basis": rng.choice(["data_sheet", "data_sheet", "measured", "guess"]),
    }
    return {
        "load": test,
        "motor_basis": basis(),
        "loads": loads,
        "decoder": {name: value for name, value in decoder.items() if value is not None},
        "governing": rng.choice(["held", "held", "slipping"]),
        "want_headroom_held": rng.choice([0.1, round(rng.uniform(0, 0.5), 2)]),
        "want_headroom_slipping": rng.choice([0.2, round(rng.uniform(0, 0.5), 2)]),
    }


class Demand:
    """Sum of intervals, whether it is all known, whether it is all measured."""

    def __init__(self):
        self.sum, self.complete, self.measured = iv.mpf(0), True, True

    def add(self, amps, measured):
        if amps is None:
            self.complete = False
        else:
            self.sum += amps
            self.measured = self.measured and measured


def motor(one, case):
    """The motor's current in a case and whether it is measured. A winding stands in for a held current, unmeasured."""
    values, _ = load_reference(one["load"])
    measured = one["motor_basis"] == "measured"
    if case == "slipping":
        return values.get("slipping_at_output_a"), measured
    if "held_at_output_a" in values:
        return values["held_at_output_a"], measured
    return values.get("held_stand_in_a"), False


def demand(one, case, loads):
    out = Demand()
    if case:
        out.add(*motor(one, case))
    for load in loads:
        amps = reading(load.get("amps_a"), load.get("meter"))
        out.add(None if amps is None else amps * load["count"], load["basis"] == "measured")
    return out


def verdict(rating, asked, above, wanted, guessed):
    """A row's aspect, decided on the bad end. `None` where it stands on the edge of a limit."""
    if rating is None:
        return "unlit"
    bad = asked.sum.b
    if abs(bad - rating) < NEAR * 100 and bad != rating:
        return None
    over = bad > rating
    if over and above == "danger":
        return "danger"
    if not asked.complete or not asked.measured or guessed:
        return "unlit"
    left = 1 - bad / mp.mpf(rating)
    if not over and wanted and abs(left - wanted) < NEAR * 100:
        return None
    return "caution" if over or left < wanted else "clear"


def peak_or_cover(decoder, held):
    """The peak rating; where none is given, the continuous one as long as it holds the held current at its bad end."""
    if "motor_peak_a" in decoder:
        return decoder["motor_peak_a"]
    continuous = decoder.get("motor_continuous_a")
    return continuous if continuous is not None and held.complete and held.sum.b <= continuous + NEAR else None


def rows(one):
    """Every row by (name of its rating, load case): rating, demand, aspect above, headroom wanted."""
    decoder, governing = one["decoder"], one["governing"]
    wants = {"held": one["want_headroom_held"], "slipping": one["want_headroom_slipping"]}

    def if_governing(case):
        return wants[case] if governing == case else 0

    out = {}
    continuous, total = decoder.get("motor_continuous_a"), decoder.get("total_continuous_a")
    out["motor peak rating", "held"] = (peak_or_cover(decoder, demand(one, "held", [])), demand(one, "held", []), "danger", 0)
    out["motor continuous rating", "held"] = (continuous, demand(one, "held", []), "caution", if_governing("held"))
    out["motor continuous rating", "slipping"] = (continuous, demand(one, "slipping", []), "danger", wants["slipping"])
    for case in ("held", "slipping"):
        above = "danger" if governing == case else "caution"
        out["total continuous rating", case] = (total, demand(one, case, one["loads"]), above, if_governing(case))
    own = {each["output"]: each["rating_a"] for each in decoder["outputs"]}
    for output in sorted({load["output"] for load in one["loads"] if "output" in load}):
        on_it = [load for load in one["loads"] if load.get("output") == output]
        rating = own.get(output, decoder.get("function_a"))
        out[f"output {output} rating", "any"] = (rating, demand(one, None, on_it), "danger", 0)
    return out


def compare_values(score, one, answer, wanted):
    values = values_of(answer)
    names, outputs = set(), 0
    for (rating_name, case), (rating, asked, _, _) in wanted.items():
        if case == "any":
            outputs += 1
            key = f"function_{outputs}"
        else:
            key = rating_name.removesuffix(" rating").replace(" ", "_") + f"_{case}"
        expected = {}
        if asked.complete:
            expected[f"{key}_demand_a"] = asked.sum
            if rating is not None:
                expected[f"{key}_headroom"] = 1 - asked.sum / iv.mpf(rating)
        for name, theirs in expected.items():
            names.add(name)
            ours = values.get(name)
            if ours is None:
                score.check(False, f"{name} is missing", one)
                continue
            what = f"{name}: ours {ours['lo']!r} to {ours['hi']!r}, mpmath {float(theirs.a)!r} to {float(theirs.b)!r}"
            score.check(contains_tightly(ours, theirs), what, one)
    score.check(set(values) == names, f"values {sorted(set(values) ^ names)} on one side only", one)


def compare_aspects(score, one, answer, wanted):
    ours, order = {}, None
    for finding in answer["findings"]:
        inputs = {named["name"]: named["value"] for named in finding["inputs"]}
        if "load case" not in inputs:
            order = finding["aspect"]
            continue
        rating = next(name for name in inputs if name.endswith(" rating"))
        ours[rating, inputs["load case"]] = finding["aspect"]
    score.check(set(ours) == set(wanted), f"rows {sorted(set(ours) ^ set(wanted))} on one side only", one)
    guessed = one["decoder"]["basis"] == "guess"
    for key, (rating, asked, above, want) in wanted.items():
        aspect = verdict(rating, asked, above, want, guessed)
        if aspect is not None:
            score.check(ours.get(key) == aspect, f"{key}: ours {ours.get(key)}, by the rules {aspect}", one)
    _, (_, slipping, held, volts, held_volts, _) = load_reference(one["load"])
    if known(held, held_volts):
        held = held / held_volts * volts if held_volts.a > 0 else None
    if known(slipping, held) and abs(slipping.a - held.b) > NEAR * 100:
        wrong = "caution" if slipping.a > held.b else None
        score.check(order == wrong, f"order of slipping and held: ours {order}, by the rules {wrong}", one)
    ranks = ["clear", "caution", "unlit", "danger"]
    worst = max([*ours.values(), *([order] if order else [])], key=ranks.index)
    score.check(answer["aspect"] == worst, f"answer {answer['aspect']}, its worst finding {worst}", one)


def main():
    path = program()
    rng = seeded("budget")
    score = Score("budget")
    inputs = [maker(rng) for _ in range(CASES)]
    for one, answer in zip(inputs, run_lines(path, "budget", inputs)):
        if "refused" in answer:
            score.check(False, f"refused: {answer['refused']}", one)
            continue
        wanted = rows(one)
        compare_values(score, one, answer, wanted)
        compare_aspects(score, one, answer, wanted)
    score.end()


if __name__ == "__main__":
    main()
