"""Holds every conversion of a unit, as a recipe line writes it, against pint.

Argument: the program that `cargo build -p tamis-tests --example units` makes. Lines go in, unrounded
grams and millilitres come out.

What a cup is differs by law and by country: 236.588 mL the US customary cup (what recipes of the
United States mean, and what pint calls a cup), 240 mL the cup of US labels (21 CFR 101.9(b)(5)(viii),
recalled), 250 mL the metric cup of Australia and Canada. The first is read from `cup`, the last from
`metric cup`; the label cup is no unit of a recipe line, so it is stated here and not converted.
"""

import json
import subprocess
import sys

import pint

# Factors are definitions: they agree to the precision of a double, with room for one rounding each.
RELATIVE = 1e-12

u = pint.UnitRegistry()
MASS = {
    "250 g": 250 * u.gram,
    "2 kg": 2 * u.kilogram,
    "750 mg": 750 * u.milligram,
    "3 lb": 3 * u.pound,
    "1 lb": 1 * u.pound,
    "10#": 10 * u.pound,
    "5 oz wt": 5 * u.ounce,
    "6 oz": 6 * u.ounce,
}
VOLUME = {
    "30 ml": 30 * u.milliliter,
    "30 cc": 30 * u.cubic_centimeter,
    "4 cl": 4 * u.centiliter,
    "2 dl": 2 * u.deciliter,
    "1.5 l": 1.5 * u.liter,
    "1 tsp": 1 * u.teaspoon,
    "1 t": 1 * u.teaspoon,
    "1 tbsp": 1 * u.tablespoon,
    "1 T": 1 * u.tablespoon,
    "1 cup": 1 * u.cup,
    "2 c": 2 * u.cup,
    "1/2 cup": 0.5 * u.cup,
    "3 fl oz": 3 * u.fluid_ounce,
    "1 pint": 1 * u.pint,
    "1 qt": 1 * u.quart,
    "1 gal": 1 * u.gallon,
    "6 oz": 6 * u.fluid_ounce,
    "1 metric cup": 250 * u.milliliter,
    "1 imperial pint": 1 * u.imperial_pint,
    "4 imperial fl oz": 4 * u.imperial_fluid_ounce,
    # A disher of number n: level scoops in a US quart (ICN, Basics at a Glance).
    "1 #8 scoop": u.quart / 8,
    "1 #16 scoop": u.quart / 16,
    "2 #30 scoops": 2 * u.quart / 30,
    # Ladles and spoodles are numbered by US fluid ounces.
    "6 oz ladle": 6 * u.fluid_ounce,
    "4 oz spoodle": 4 * u.fluid_ounce,
    "2 x 4 oz ladle": 8 * u.fluid_ounce,
}


def main():
    crossed = (("1 cup", "grams"), ("1 lb", "millilitres"), ("3 cloves", "grams"))
    texts = {*MASS, *VOLUME, *(text for text, _ in crossed)}
    lines = sorted(f"{text} stuff" for text in texts)
    answer = subprocess.run(
        [sys.argv[1]], input="\n".join(lines), capture_output=True, text=True, check=True
    )
    ours = {row["line"]: row for row in map(json.loads, answer.stdout.splitlines())}
    failures = []
    largest = (0.0, "")
    checks = 0
    for field, unit, table in (("grams", "gram", MASS), ("millilitres", "milliliter", VOLUME)):
        for text, theirs in table.items():
            checks += 1
            row = ours[f"{text} stuff"]
            wanted = theirs.to(unit).magnitude
            got = row[field]
            if got is None:
                failures.append(f"'{text}' has no {field}: read as {row}")
                continue
            difference = abs(got - wanted) / wanted
            largest = max(largest, (difference, text))
            if difference > RELATIVE:
                failures.append(f"'{text}': ours {got} {field}, pint {wanted}")
    # What is no mass must not get one, and the other way round.
    for text, field in crossed:
        checks += 1
        row = ours[f"{text} stuff"]
        if row[field] is not None:
            failures.append(f"'{text}' should have no {field}, has {row[field]}")
    label_cup = 240 / (1 * u.cup).to("milliliter").magnitude - 1
    print(f"pint {pint.__version__}: {checks} conversions, largest relative difference {largest[0]:.1e} ({largest[1]})")
    print(f"the cup of US labels (240 mL) is {100 * label_cup:.2f} % over the customary cup: another unit, not converted")
    for failure in failures:
        print("FAILED", failure)
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
