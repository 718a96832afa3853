"""Pools the catalogue's observations anew, in NumPy and SciPy, and holds the program's pools to it.

Standard input: the CSV of `tamis check-data --export-rows`: every observation that counts, on the fresh
basis (`record` = `row`), and the program's estimates before (`pool`) and after (`fitted`) sums are fitted.
Nothing of the program's arithmetic is used: the model is written out again from the documentation of
crates/catalogue/src/pool/mod.rs and compose/conserve.rs, with Brent's root finder in place of Newton's
steps and SciPy's digamma and normal points in place of constants.

Tolerance, of numerics and not of the model: 1e-6 relative, for the mean and for the spread of every food,
state and analyte. Those with several sources are counted apart, since only they pool.
"""

import csv
import math
import sys
from collections import defaultdict

import numpy as np
from scipy.optimize import brentq
from scipy.special import digamma
from scipy.stats import norm

TOLERANCE = 1e-6
Z95 = norm.ppf(0.95)
ABSOLUTE = 0.05
LEVEL, OWN = 10.0, 4.0
GRADE = {"measured": 0.0, "secondary": 0.10, "recalled": 0.30, "inferred": 0.50, "practice": 0.60}
CARRIERS = {
    "fructans", "galactans", "lactose", "fructose", "glucose", "sorbitol", "mannitol", "other_polyols",
    "sucrose", "total_polyols",
}
SUGARS = ["lactose", "fructose", "glucose", "sucrose"]
SOLIDS = [
    "fructans", "galactans", "lactose", "fructose", "glucose", "sorbitol", "mannitol", "other_polyols",
    "sucrose", "starch",
]


def interval(low, high):
    """Logarithm of the mean, and log variance, of an interval read as 5 % and 95 % points."""
    low = max(low, high / 30)
    s = min(math.log(high / low) / (2 * Z95), 2.1)
    return 0.5 * math.log(low * high) + s * s / 2, s * s


def number(text):
    return float(text) if text else None


def read(stream):
    cells, given = defaultdict(list), {"pool": {}, "fitted": {}}
    for r in csv.DictReader(stream):
        key = (r["food"], r["state"], r["analyte"])
        if r["record"] == "row":
            cells[key].append(r)
        else:
            given[r["record"]][key] = (float(r["mean"]), float(r["log_sd"]))
    return cells, given


def log_bias(freedom):
    return digamma(freedom / 2) - np.log(freedom / 2)


def drawn(up, own, freedom, weight=LEVEL):
    return (weight * up + freedom * own) / (weight + freedom)


class Model:
    def __init__(self, cells):
        self.cells = cells
        self.klass = {k: rows[0]["class"] for k, rows in cells.items()}
        self.samples = {}
        self.between = {}
        groups = {(k[2], self.klass[k]) for k in cells}
        for group in groups:
            self.samples[group] = self.sample_level(*group)
        self.voices = {k: self.found(k)[0] for k in cells}
        every = {bulk: self.level(lambda k, b=bulk: (k[2] not in CARRIERS) == b) for bulk in (True, False)}
        by_analyte = {a: self.level(lambda k, a=a: k[2] == a) for a in {a for a, _ in groups}}
        by_class = {g: self.level(lambda k, g=g: (k[2], self.klass[k]) == g) for g in groups}
        for analyte, klass in groups:
            up = drawn(0.0625, *every[analyte not in CARRIERS])
            up = drawn(up, *by_analyte[analyte])
            self.between[analyte, klass] = drawn(up, *by_class[analyte, klass])

    def sample_level(self, analyte, klass):
        def level(keep):
            f = e = 0.0
            for key, rows in self.cells.items():
                if keep(key):
                    for r in rows:
                        if r["spread"]:
                            free = float(r["freedom"])
                            f += free
                            e += free * (math.log(float(r["spread"])) - log_bias(free))
            return (e / f, f) if f else (0.0, 0.0)

        bulk = analyte not in CARRIERS
        e = math.log(0.04) - log_bias(OWN)
        e = drawn(e, *level(lambda k: (k[2] not in CARRIERS) == bulk))
        e = drawn(e, *level(lambda k: k[2] == analyte))
        e = drawn(e, *level(lambda k: k[2] == analyte and self.klass[k] == klass))
        return math.exp(e + log_bias(OWN))

    def found(self, key):
        """One (y, v) a source in an array, and the squares of rows around their source with their freedom."""
        rows = [r for r in self.cells[key] if r["kind"] == "found"]
        if not rows:
            return np.empty((0, 2)), (0.0, 0.0)
        sample = self.samples[key[2], self.klass[key]]
        logs = np.log([float(r["value"]) for r in rows])
        floor = math.log1p((ABSOLUTE / math.exp(logs.mean())) ** 2)
        spread = np.array(
            [drawn(sample, float(r["spread"]), float(r["freedom"]), OWN) if r["spread"] else sample for r in rows]
        )
        weight = np.array([float(r["samples"]) for r in rows]) / spread
        names = np.array([r["source"] for r in rows])
        grades = np.array([GRADE[r["grade"]] ** 2 for r in rows])
        out, squares = [], 0.0
        for name in np.unique(names):
            own = names == name
            y = np.average(logs[own], weights=weight[own])
            out.append((y, 1 / weight[own].sum() + np.average(grades[own], weights=weight[own]) + floor))
            squares += ((logs[own] - y) ** 2).sum()
        return np.array(out), (squares, len(rows) - len(out))

    def level(self, keep):
        pools = [v for k, v in self.voices.items() if keep(k) and len(v) > 1]
        return root(pools), float(sum(len(p) - 1 for p in pools))

    def pool(self, key):
        rows = self.cells[key]
        group = (key[2], self.klass[key])
        found, (squares, freedom) = self.found(key)
        others = []
        for r in rows:
            if r["kind"] == "below":
                others.append((*interval(0.0, float(r["value"])), float(r["value"])))
            elif r["kind"] == "judged":
                others.append((*interval(float(r["low"]), float(r["high"])), None))
        if not len(found):
            y, v = np.array([o[0] for o in others]), np.array([o[1] for o in others])
            m = np.average(y, weights=1 / v)
            return m, np.average(v + (y - m) ** 2, weights=1 / v)
        between = drawn(self.between[group], root([found]), len(found) - 1.0, OWN)
        told = np.array([*found, *[o[:2] for o in others if o[2] is None]])
        centre = np.average(told[:, 0], weights=1 / (between + told[:, 1]))
        counted = np.array([*told, *[o[:2] for o in others if o[2] is not None and o[2] < math.exp(centre) * (1 - 1e-9)]])
        w = 1 / (between + counted[:, 1])
        m = math.log(np.average(np.exp(counted[:, 0]), weights=w))
        for r in rows:
            if r["spread"]:
                squares += float(r["freedom"]) * float(r["spread"])
                freedom += float(r["freedom"])
        sample = (OWN * self.samples[group] + squares) / (OWN + freedom)
        return m, between + 1 / w.sum() + sample


def root(pools):
    freedom = sum(len(p) - 1 for p in pools)
    if freedom < 1:
        return 0.0

    def excess(between):
        total = -freedom
        for p in pools:
            w = 1 / (between + p[:, 1])
            total += (w * (p[:, 0] - np.average(p[:, 0], weights=w)) ** 2).sum()
        return total

    if excess(0.0) <= 0:
        return 0.0
    return 16.0 if excess(16.0) >= 0 else brentq(excess, 0.0, 16.0, xtol=1e-15, rtol=1e-14)


def fitted(pools, detected):
    """The pools of one food and state with their means moved to where their sums fit."""
    out = {a: m for a, (m, _) in pools.items()}
    wide = {a: math.expm1(s * s) for a, (_, s) in pools.items()}

    def fit(parts, bound):
        v = {a: wide[a] * out[a] ** 2 for a in parts if a in out}
        excess = sum(out[a] for a in v) - bound[0]
        whole = sum(v.values()) + bound[1]
        if excess <= 0 or whole <= 0:
            return None
        for a in v:
            out[a] = max(out[a] - v[a] * excess / whole, 0.2 * out[a])
        return bound[0] + bound[1] * excess / whole

    if "total_sugars" in out and detected["total_sugars"]:
        moved = fit(SUGARS, (out["total_sugars"], wide["total_sugars"] * out["total_sugars"] ** 2))
        if moved is not None:
            out["total_sugars"] = moved
    if "water" in out:
        moved = fit(SOLIDS, (100 - out["water"], wide["water"] * out["water"] ** 2))
        if moved is not None:
            out["water"] = max(100 - moved, 0.0)
    return {a: (m, pools[a][1]) for a, m in out.items()}


def apart(ours, given):
    return max(abs(o - g) / max(abs(g), 1e-12) for o, g in zip(ours, given, strict=True))


def main():
    cells, given = read(sys.stdin)
    model = Model(cells)
    bad, several, worst = [], 0, 0.0
    by_food = defaultdict(dict)
    for key, rows in cells.items():
        m, variance = model.pool(key)
        # The program keeps a mean and a spread of at most 2 on the log scale, within 0 to 100 g.
        mean, spread = min(math.exp(m), 100.0), math.sqrt(min(variance, 4.0))
        by_food[key[:2]][key[2]] = (mean, spread)
        several += len({r["source"] for r in rows}) > 1
        off = apart((mean, spread), given["pool"][key])
        worst = max(worst, off)
        if off > TOLERANCE:
            bad.append(f"{' '.join(key)}: {mean:.9g} {spread:.9g}, the program {given['pool'][key]}")
    moved = 0
    for food, pools in by_food.items():
        detected = {a: any(r["kind"] == "found" for r in cells[(*food, a)]) for a in pools}
        for analyte, ours in fitted(pools, detected).items():
            theirs = given["fitted"][(*food, analyte)]
            moved += apart(pools[analyte], theirs) > TOLERANCE
            off = apart(ours, theirs)
            worst = max(worst, off)
            if off > TOLERANCE:
                bad.append(f"{' '.join(food)} {analyte} fitted: {ours}, the program {theirs}")
    unmatched = given["pool"].keys() ^ cells.keys()
    bad += [f"{' '.join(key)}: on one side only" for key in sorted(unmatched)]
    print("\n".join(bad[:20]))
    print(
        f"{len(cells)} pools, {several} of several sources, {moved} moved by their sums; largest relative "
        f"difference {worst:.1e}, {len(bad)} over {TOLERANCE:.0e}"
    )
    sys.exit(bool(bad) or several < 100)


if __name__ == "__main__":
    main()
