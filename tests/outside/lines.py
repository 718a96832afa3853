"""Reads 120 recipe lines with two outside parsers and with ours, and compares quantity and unit.

Outside: parse-ingredient 3.0.0 (npm; through lines.mjs) and ingredient-slicer 1.2.21 (PyPI).
Arguments: the lines, the list of known disagreements, our readings (`tamis read --json`, an object a
line), and those of parse-ingredient. With `--write` the list is written anew, with empty reasons
for what is new.

What counts as the same: spellings of one unit; a line without a unit word and a count of pieces; a
third and its decimals. ingredient-slicer gives the middle of a range where we give both ends, by
its design: there the middle of ours is compared. It names the food as the unit where there is none
("3 eggs"), and puts the piece among the words of the food ("cloves garlic"): the first is read as
a count, the second as the piece. Nothing else is smoothed over: a disagreement that is not in the list
fails, and so does one in the list that is gone, or that reads otherwise than listed.
"""

import csv
import json
import sys

import ingredient_slicer

COLUMNS = ["line", "tool", "theirs", "ours", "reason"]
SLICER, PARSER = "ingredient-slicer", "parse-ingredient"
PIECES = {"clove", "leaf", "slice", "stalk", "head", "bunch", "sprig"}
SPELLINGS = {
    "gram": "g",
    "kilogram": "kg",
    "ounce": "oz",
    "pound": "lb",
    "milliliter": "ml",
    "centiliter": "cl",
    "deciliter": "dl",
    "liter": "l",
    "teaspoon": "tsp",
    "tablespoon": "tbsp",
    "fluidounce": "fl-oz",
    "fluid ounce": "fl-oz",
    "tin": "can",
    "each": None,
    "unstated": None,
}


def unit(word):
    return SPELLINGS.get(word, word)


def figure(low, high):
    """Quantities to three digits, as text."""
    if low is None:
        return "-"
    text = f"{low:.3g}"
    return text if high is None or high == low else f"{text} to {high:.3g}"


def shown(low, high, word):
    return f"{figure(low, high)} {unit(word) or 'each'}" if low is not None or word else "-"


def of_slicer(line):
    read = ingredient_slicer.IngredientSlicer(line).to_json()
    quantity = read["quantity"]
    quantity = None if quantity is None else float(quantity)
    word = read["standardized_unit"]
    if word is not None and word not in PIECES and word in (read["food"] or ""):
        word = None
    return quantity, None, word


def main():
    write = "--write" in sys.argv
    lines_file, list_file, ours_file, parser_file = (a for a in sys.argv[1:] if a != "--write")
    with open(lines_file, encoding="utf-8") as file:
        lines = [line for line in file.read().split("\n") if line]
    ours = [json.loads(row) for row in open(ours_file, encoding="utf-8")]
    parser = [json.loads(row) for row in open(parser_file, encoding="utf-8")]
    assert len(lines) == len(ours) == len(parser) == 120, (len(lines), len(ours), len(parser))

    found = {}
    agree = {SLICER: 0, PARSER: 0}
    for line, own, parsed in zip(lines, ours, parser):
        assert own["line"] == parsed["line"] == line, (line, own["line"], parsed["line"])
        low, high = own["quantity"], own["quantity_high"]
        own_text = shown(low, high, own["unit"])
        middle = low if low is None or high is None else (low + high) / 2
        for tool, theirs, comparable in (
            (PARSER, (parsed["quantity"], parsed["quantity_high"], parsed["unit"]), (low, high)),
            (SLICER, of_slicer(line), (middle, None)),
        ):
            their_text = shown(*theirs)
            if their_text == shown(*comparable, own["unit"]):
                agree[tool] += 1
            else:
                found[line, tool] = (their_text, own_text)

    with open(list_file, encoding="utf-8", newline="") as file:
        listed = {(r["line"], r["tool"]): r for r in csv.DictReader(file)}
    if write:
        with open(list_file, "w", encoding="utf-8", newline="") as file:
            out = csv.writer(file, lineterminator="\n")
            out.writerow(COLUMNS)
            for (line, tool), (theirs, own) in found.items():
                reason = listed.get((line, tool), {}).get("reason", "")
                out.writerow([line, tool, theirs, own, reason])
        return 0

    failures = []
    for (line, tool), (theirs, own) in found.items():
        row = listed.pop((line, tool), None)
        if row is None:
            failures.append(f"not listed: '{line}': {tool} reads {theirs}, we read {own}")
        elif (row["theirs"], row["ours"]) != (theirs, own):
            failures.append(
                f"listed otherwise: '{line}': {tool} reads {theirs}, we read {own}; "
                f"listed {row['theirs']} and {row['ours']}"
            )
        elif len(row["reason"]) < 10:
            failures.append(f"no reason: '{line}', {tool}")
    failures += [f"listed and gone: '{line}', {tool}" for line, tool in listed]
    for tool, count in agree.items():
        print(f"{tool}: {count} of {len(lines)} lines agree, {len(lines) - count} differ")
    for failure in failures:
        print("FAILED", failure)
    return 1 if failures else 0


if __name__ == "__main__":
    sys.exit(main())
