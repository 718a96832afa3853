// Reads the lines of a file with parse-ingredient (npm, 3.0.0) and prints one JSON object a line,
// for lines.py. Arguments: the folder that holds node_modules, and the file.

import { readFileSync } from "node:fs";
import { createRequire } from "node:module";
import { join } from "node:path";

const [folder, file] = process.argv.slice(2);
const { parseIngredient } = createRequire(join(folder, "/"))("parse-ingredient");

for (const line of readFileSync(file, "utf8").split("\n").filter((l) => l !== "")) {
  const [first] = parseIngredient(line);
  console.log(
    JSON.stringify({
      line,
      quantity: first?.quantity ?? null,
      quantity_high: first?.quantity2 ?? null,
      unit: first?.unitOfMeasureID ?? null,
    }),
  );
}
