"""Compares `calc gap` with a brute-force sweep in exact fractions.

The reference stands every wheel on the route, piece by piece between all places where anything can change, and asks of
each piece whether a wheel touches live rail. Lengths must be equal.
"""

from fractions import Fraction

from common import Score, program, run_lines, seeded, values_of

CASES = 800
SIDES = ("left", "right")


def maker(rng):
    """A random locomotive over a random route, on a grid of a thousandth of a millimetre or a coarse one, where
    edges meet."""
    fine = rng.random() < 0.5

    def at(low, high):
        return round(rng.uniform(low, high), 3) if fine else float(rng.randrange(int(low), int(high), 5))

    wheels = []
    for _ in range(rng.randint(0, 10)):
        wheel = {"position_mm": at(-150, 150), "rail": rng.choice(SIDES)}
        works = rng.choice([True, True, True, False, None])
        if works is not None:
            wheel["works"] = works
        wheels.append(wheel)
    one = {"wheels": wheels}
    rails = ("left", "right", "both")
    if rng.random() < 0.4:
        one["sequence"] = [
            {"length_mm": at(0, 120), "rail": rng.choice(rails), "live_after_mm": at(0, 80)}
            for _ in range(rng.randint(1, 6))
        ]
    else:
        one["dead"] = []
        for _ in range(rng.randint(1, 7)):
            start = at(-200, 600)
            end = round(start + at(0, 150), 3)
            one["dead"].append({"from_mm": start, "to_mm": end, "rail": rng.choice(rails)})
    if rng.random() < 0.4:
        one["carried_mm"] = at(0, 100)
    return one


def exact(value):
    """A number as it is written in decimals."""
    return Fraction(repr(value))


def route(one):
    """Dead stretches as (from, to, rail)."""
    if "dead" in one:
        return [(exact(s["from_mm"]), exact(s["to_mm"]), s["rail"]) for s in one["dead"]]
    out, place = [], Fraction(0)
    for piece in one["sequence"]:
        end = place + exact(piece["length_mm"])
        out.append((place, end, piece["rail"]))
        place = end + exact(piece["live_after_mm"])
    return out


def sweep(wheels, dead):
    """Dead pieces of travel of left rail, right rail and supply, joined where they touch; None where a rail has no
    wheel."""
    edges = sorted({end - p for p, _ in wheels for a, b, _ in dead for end in (a, b)})
    states = []
    for low, high in zip(edges, edges[1:]):
        middle = (low + high) / 2
        live = {side: False for side in SIDES}
        for p, side in wheels:
            stands = middle + p
            if not any(a < stands < b and rail in (side, "both") for a, b, rail in dead):
                live[side] = True
        states.append((low, high, live))
    there = {side: any(s == side for _, s in wheels) for side in SIDES}
    out = {side: joined(states, lambda live, s=side: not live[s]) if there[side] else None for side in SIDES}
    out["supply"] = joined(states, lambda live: not all(live.values())) if all(there.values()) else None
    return out


def joined(states, is_dead):
    pieces = []
    for low, high, live in states:
        if not is_dead(live):
            continue
        if pieces and pieces[-1][1] == low:
            pieces[-1][1] = high
        else:
            pieces.append([low, high])
    return pieces


def longest(pieces):
    return max((b - a for a, b in pieces), default=Fraction(0))


def total(pieces):
    return sum((b - a for a, b in pieces), Fraction(0))


def counted(one, hoped):
    return [(exact(w["position_mm"]), w["rail"]) for w in one["wheels"] if w.get("works", hoped)]


def same(ours, theirs):
    return ours is not None and abs(Fraction(ours) - theirs) <= Fraction(1, 10**9)


def check(score, one, answer):
    values = values_of(answer)
    dead = route(one)
    bad, good = sweep(counted(one, False), dead), sweep(counted(one, True), dead)
    for side, before in (("left", "left_"), ("right", "right_"), ("supply", "")):
        worst, best = bad[side], good[side]
        names = [before + "longest_mm", before + "total_mm", before + "breaks"]
        if worst is None:
            score.check(not any(n in values for n in names), f"{side}: a value without a wheel", one)
            continue
        for name, work in zip(names, (longest, total)):
            got = values[name]
            fits = same(got["value"], work(worst)) and same(got["hi"], work(worst)) and same(got["lo"], work(best))
            score.check(fits, f"{name}: {got}, swept {float(work(worst))}, {float(work(best))}", one)
        score.check(values[names[2]]["value"] == len(worst), f"{names[2]}: {len(worst)} swept", one)
    flipped = [(-p, SIDES[1 - SIDES.index(side)]) for p, side in counted(one, False)]
    turned = sweep(flipped, dead)["supply"]
    if turned is not None:
        got = values["turned_longest_mm"]["value"]
        score.check(same(got, longest(turned)), f"turned: {got}, swept {float(longest(turned))}", one)
    supply = bad["supply"] or []
    if len(supply) > 1:
        between = min(b[0] - a[1] for a, b in zip(supply, supply[1:]))
        got = values["least_live_mm"]["value"]
        score.check(same(got, between), f"least_live_mm: {got}, swept {float(between)}", one)
    check_aspect(score, one, answer, bad, good)


def check_aspect(score, one, answer, bad, good):
    """The rule: no wheel danger, no measured wheel unlit, a break caution without a store and danger beyond one, unlit
    where only unmeasured wheels could mend it."""
    order = ("clear", "caution", "unlit", "danger")
    aspects = []
    for side in SIDES:
        if bad[side] is None:
            aspects.append("danger" if good[side] is None else "unlit")
    if bad["supply"] is not None:
        worst, best = longest(bad["supply"]), longest(good["supply"])
        carried = exact(one.get("carried_mm", 0.0))
        if worst <= carried:
            aspects.append("clear")
        elif best <= carried:
            aspects.append("unlit")
        else:
            aspects.append("danger" if "carried_mm" in one else "caution")
    want = max(aspects, key=order.index)
    score.check(answer["aspect"] == want, f"aspect {answer['aspect']}, by the rule {want}", one)


def main():
    rng = seeded("gap")
    inputs = [maker(rng) for _ in range(CASES)]
    score = Score("gap")
    for one, answer in zip(inputs, run_lines(program(), "gap", inputs)):
        if "refused" in answer:
            score.check(False, f"refused: {answer['refused']}", one)
        else:
            check(score, one, answer)
    print(f"gap: {CASES} routes swept")
    score.end()


if __name__ == "__main__":
    main()
