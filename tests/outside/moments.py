"""Holds the loads of moment matching against a seeded Monte Carlo of a million draws in NumPy.

Standard input: the JSON that `cargo run -p tamis-tests --example moments` prints.

The draws: the grams of a line and what 100 g of it hold are independent log-normals; lines of one
food share their error, so one standard normal drives the grams of all of them and another each
analyte; different foods are independent. Fructose and glucose of one food are drawn with the log
correlation that makes their linear correlation 0.67, the constant of crates/scoring/src/parts.rs:
for log-normals cov(F, G) = mF mG (exp(r sF sG) - 1), hence r = ln(1 + 0.67 cF cG) / (sF sG).

Tolerances, chosen from theory before the first run:
- mean: a sum of means is exact, so only the error of sampling is allowed, five standard errors;
- 5 % and 95 % point: moment matching gets mean and variance right and skewness and kurtosis wrong.
  The expansion of Cornish and Fisher (1937, Revue de l'Institut International de Statistique
  5:307-320; recalled), to second order, says how far the point of a law with the skewness and
  kurtosis of the sample lies from that of the matched law. Twice that distance is allowed, for the
  terms left out, and four standard errors of a sample quantile, and 0.2 % of the mean.
Figures outside this tolerance are listed in BEYOND with the reason; one that is not listed fails,
and so does a listed one that is gone.
"""

import json
import sys

import numpy as np

DRAWS = 1_000_000
SEED = 20_251_125
CORRELATION = 0.67
Z95 = 1.6448536269514722
TOTALS = {
    "total_oligosaccharides": ["fructans", "galactans"],
    "total_polyols": ["sorbitol", "mannitol", "other_polyols"],
}
BEYOND = {
    ("wide spreads", "fructans", "high"): "excess kurtosis of 12: past the reach of the expansion",
    ("wide spreads", "total_oligosaccharides", "high"): "the same",
}
SINGLE = ["fructans", "galactans", "lactose", "sorbitol", "mannitol", "other_polyols"]


def draw(case, rng):
    """Grams of every analyte in the portion, one array of draws each."""
    normals = {}

    def normal(*key):
        if key not in normals:
            normals[key] = rng.standard_normal(DRAWS)
        return normals[key]

    sums = {}
    for line in case["components"]:
        food, amount, contents = line["food"], line["amount"], line["contents"]
        grams = log_normal(amount, normal(food, "grams"))
        both = "fructose" in contents and "glucose" in contents
        for analyte, content in contents.items():
            z = normal(food, analyte)
            if analyte == "glucose" and both:
                sf, sg = contents["fructose"]["log_sd"], content["log_sd"]
                cf, cg = (np.sqrt(np.expm1(s * s)) for s in (sf, sg))
                r = np.log1p(CORRELATION * cf * cg) / (sf * sg)
                z = r * normal(food, "fructose") + np.sqrt(1 - r * r) * z
            load = grams * log_normal(content, z) / 100
            sums[analyte] = sums.get(analyte, 0) + load
    return sums


def log_normal(estimate, z):
    s = estimate["log_sd"]
    return estimate["mean"] * np.exp(s * z - s * s / 2)


def cornish_fisher(z, skew, kurt):
    return (
        z
        + (z * z - 1) * skew / 6
        + (z**3 - 3 * z) * kurt / 24
        - (2 * z**3 - 5 * z) * skew * skew / 36
    )


def matched(kind, mean, sd):
    """Skewness and excess kurtosis of the law that is matched."""
    if kind == "normal":
        return 0.0, 0.0
    c2 = (sd / mean) ** 2
    w = 1 + c2
    return (w + 2) * np.sqrt(c2), w**4 + 2 * w**3 + 3 * w**2 - 6


def check(sample, ours, kind):
    """Yields what was compared, ours, theirs, the difference and the tolerance."""
    mean, sd = sample.mean(), sample.std()
    unit = (sample - mean) / sd
    skew, kurt = (unit**3).mean(), (unit**4).mean() - 3
    scale = max(abs(mean), sd)
    yield "mean", ours["mean"], max(mean, 0.0), 5 * sd / np.sqrt(DRAWS), scale
    for name, p, z in (("low", 0.05, -Z95), ("high", 0.95, Z95)):
        theirs = np.quantile(sample, p)
        off = cornish_fisher(z, skew, kurt) - cornish_fisher(z, *matched(kind, mean, sd))
        around = np.quantile(sample, [p - 0.01, p + 0.01])
        error = np.sqrt(p * (1 - p) / DRAWS) * (around[1] - around[0]) / 0.02
        tolerance = 2 * abs(off) * sd + 4 * error + 0.002 * scale
        yield name, ours[name], max(theirs, 0.0), tolerance, scale


def main():
    cases = json.load(sys.stdin)
    assert len(cases) >= 12, "at least twelve portions are wanted"
    rng = np.random.default_rng(SEED)
    worst = {}
    failures = []
    rows = 0
    seen = set()
    for case in cases:
        sums = draw(case, rng)
        samples = {a: ("log-normal", sums[a]) for a in SINGLE if a in sums}
        for total, parts in TOTALS.items():
            present = [sums[p] for p in parts if p in sums]
            if present:
                samples[total] = ("log-normal", sum(present))
        if "fructose" in sums:
            samples["excess_fructose"] = ("normal", sums["fructose"] - sums.get("glucose", 0))
        for subgroup, (kind, sample) in samples.items():
            group = "excess fructose" if kind == "normal" else "sums"
            for what, ours, theirs, tolerance, scale in check(sample, case["ours"][subgroup], kind):
                rows += 1
                difference = abs(ours - theirs)
                relative = difference / scale
                key = (group, what)
                if relative > worst.get(key, (-1,))[0]:
                    worst[key] = (relative, case["name"], subgroup, ours, theirs, tolerance / scale)
                listed = (case["name"], subgroup, what) in BEYOND
                if listed:
                    seen.add((case["name"], subgroup, what))
                    print(
                        f"beyond the tolerance, as listed: {case['name']}, {subgroup} {what}: "
                        f"ours {ours:.4g}, drawn {theirs:.4g}"
                    )
                if (difference > tolerance) != listed:
                    failures.append(
                        f"{case['name']}: {subgroup} {what}: ours {ours:.5g}, "
                        f"{DRAWS} draws {theirs:.5g}, tolerance {tolerance:.2g}"
                    )
        for subgroup, ours in case["ours"].items():
            if subgroup not in samples and (ours["mean"] != 0 or ours["high"] != 0):
                failures.append(f"{case['name']}: {subgroup} should be exactly zero, is {ours}")
    failures += [f"listed, but not among the cases: {key}" for key in set(BEYOND) - seen]
    print(f"NumPy {np.__version__}, {DRAWS} draws, seed {SEED}: {len(cases)} portions, {rows} figures")
    print("largest difference, relative to the mean (or, where that is larger, the spread):")
    for (group, what), (relative, name, subgroup, ours, theirs, tolerance) in sorted(worst.items()):
        print(
            f"  {group:16} {what:5} {100 * relative:6.2f} % (allowed there {100 * tolerance:.2f} %)"
            f"  {subgroup} of '{name}': ours {ours:.4g}, drawn {theirs:.4g}"
        )
    for failure in failures:
        print("FAILED", failure)
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
