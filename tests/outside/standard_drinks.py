"""Standard drinks from first principles, against `tamis assess --json` of the same pours.

Sources: ethanol weighs 0.789 g/mL at 20 C (CRC Handbook of Chemistry and Physics; recalled); a standard
drink is 14 g of ethanol in the United States (NIAAA), 8 g in the United Kingdom (one unit, 10 mL),
10 g in Australia. NIAAA gives three pours that each hold one US drink: 12 fl oz of beer at 5 %,
5 fl oz of wine at 12 %, 1.5 fl oz of a spirit at 40 %. A card does not say a strength, so ours must
lie between the strengths at which the kind is sold: those of the table below (recalled).

Argument: the tamis program.
"""

import json
import subprocess
import sys

DENSITY = 0.789
FLUID_OUNCE = 29.5735295625
DRINK = {"us": 14.0, "uk": 8.0, "au": 10.0}
# Line, mL, strengths by volume as sold (lowest, usual, highest).
POURS = [
    ("1.5 fl oz vodka", 1.5 * FLUID_OUNCE, 0.375, 0.40, 0.43),
    ("5 fl oz red wine", 5 * FLUID_OUNCE, 0.11, 0.12, 0.145),
    ("12 fl oz lager", 12 * FLUID_OUNCE, 0.042, 0.05, 0.055),
    ("25 ml whisky", 25.0, 0.40, 0.40, 0.46),
]
# Figures carry four significant digits: half a unit of the last, twice, on the worst leading digit.
ROUNDING = 1.1e-3


def alcohol(tamis, line, region):
    request = {
        "drink": {"name": "Pour", "portions": 1, "lines": [line]},
        "policy": {"region": region},
    }
    answer = subprocess.run(
        [tamis, "assess", "--json", "-"], input=json.dumps(request), capture_output=True, text=True
    )
    if answer.returncode not in (0, 1):
        sys.exit(f"tamis assess ended with {answer.returncode}: {answer.stderr}")
    return json.loads(answer.stdout)["alcohol"]


def main():
    failures = []
    for line, millilitres, low, usual, high in POURS:
        grams = set()
        for region, one in DRINK.items():
            found = alcohol(sys.argv[1], line, region)
            grams.add(found["ethanol_g"])
            wanted = found["ethanol_g"] / one
            if abs(found["standard_drinks"] - wanted) > ROUNDING * wanted:
                failures.append(f"{line}, {region}: {found}, {wanted:.4g} drinks wanted")
            if found["region"] != region:
                failures.append(f"{line}: region {found['region']} instead of {region}")
        if len(grams) != 1:
            failures.append(f"{line}: the grams change with the region: {grams}")
        ours = max(grams)
        least, by_hand, most = (millilitres * s * DENSITY for s in (low, usual, high))
        print(
            f"{line}: ours {ours} g of ethanol, {by_hand:.4g} g at {usual:.1%}; "
            f"as sold {least:.3g} to {most:.3g} g"
        )
        if not least <= ours <= most:
            failures.append(f"{line}: {ours} g of ethanol, as sold {least:.4g} to {most:.4g} g")
    for failure in failures:
        print("FAILED", failure)
    sys.exit(1 if failures else 0)


if __name__ == "__main__":
    main()
