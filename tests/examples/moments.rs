//! Prints portions and the loads that moment matching gives them, as JSON, for
//! `tests/outside/moments.py` to hold against a Monte Carlo.

use serde_json::{Value, json};
use tamis_scoring::allergens::Allergens;
use tamis_scoring::composition::{Composition, Content};
use tamis_scoring::diner::Netting;
use tamis_scoring::dish::{Amount, Component, FoodClass, Freshness, Portion, Stage};
use tamis_scoring::estimate::{Concentration, Mass};
use tamis_scoring::evidence::Grade;
use tamis_scoring::loads::Loads;
use tamis_scoring::quantity::{FoodId, Grams, GramsPer100g, Ratio};
use tamis_scoring::subgroup::{Analyte, Subgroup};

use Analyte::{Fructans, Fructose, Galactans, Glucose, Lactose, Mannitol, OtherPolyols, Sorbitol};

/// A food, the mean and relative spread of its grams, and those of its contents in 100 g.
type Line = (&'static str, f64, f64, &'static [(Analyte, f64, f64)]);

/// Portions of the size and spread that kitchens and tables have; none is fitted to the outcome.
const CASES: &[(&str, &[Line])] = &[
    (
        "one line, exact grams",
        &[(
            "onion",
            20.0,
            0.0,
            &[
                (Fructans, 2.6, 0.45),
                (Fructose, 1.3, 0.25),
                (Glucose, 2.0, 0.2),
            ],
        )],
    ),
    (
        "one line, counted grams",
        &[(
            "garlic",
            6.0,
            0.3,
            &[
                (Fructans, 15.0, 0.25),
                (Fructose, 0.5, 0.4),
                (Glucose, 0.3, 0.4),
            ],
        )],
    ),
    (
        "two alliums",
        &[
            (
                "onion",
                40.0,
                0.2,
                &[
                    (Fructans, 2.6, 0.45),
                    (Fructose, 1.3, 0.25),
                    (Glucose, 2.0, 0.2),
                ],
            ),
            ("garlic", 3.0, 0.25, &[(Fructans, 15.0, 0.25)]),
        ],
    ),
    (
        "one food in two lines",
        &[
            ("onion", 30.0, 0.2, &[(Fructans, 2.6, 0.4)]),
            ("onion", 12.0, 0.2, &[(Fructans, 2.6, 0.4)]),
            (
                "wheat",
                40.0,
                0.05,
                &[(Fructans, 1.2, 0.3), (Galactans, 0.2, 0.4)],
            ),
        ],
    ),
    (
        "one food raw and cooked",
        &[
            (
                "onion",
                25.0,
                0.15,
                &[
                    (Fructans, 2.6, 0.4),
                    (Fructose, 1.3, 0.3),
                    (Glucose, 2.0, 0.3),
                ],
            ),
            (
                "onion",
                25.0,
                0.3,
                &[
                    (Fructans, 1.7, 0.6),
                    (Fructose, 1.0, 0.4),
                    (Glucose, 1.6, 0.4),
                ],
            ),
        ],
    ),
    (
        "apple, fructose over glucose",
        &[(
            "apple",
            165.0,
            0.1,
            &[
                (Fructose, 6.0, 0.15),
                (Glucose, 2.2, 0.25),
                (Sorbitol, 0.5, 0.4),
            ],
        )],
    ),
    (
        "mango and honey",
        &[
            (
                "mango",
                100.0,
                0.1,
                &[(Fructose, 3.4, 0.15), (Glucose, 1.2, 0.4)],
            ),
            (
                "honey",
                14.0,
                0.1,
                &[(Fructose, 40.0, 0.08), (Glucose, 34.0, 0.1)],
            ),
        ],
    ),
    (
        "fructose and glucose level",
        &[
            (
                "banana",
                118.0,
                0.1,
                &[
                    (Fructose, 4.9, 0.15),
                    (Glucose, 5.0, 0.15),
                    (Fructans, 0.3, 0.5),
                ],
            ),
            (
                "strawberry",
                80.0,
                0.1,
                &[(Fructose, 2.4, 0.15), (Glucose, 2.0, 0.15)],
            ),
        ],
    ),
    (
        "glucose in plenty",
        &[
            (
                "pear",
                60.0,
                0.1,
                &[
                    (Fructose, 6.2, 0.15),
                    (Glucose, 2.8, 0.2),
                    (Sorbitol, 2.0, 0.4),
                ],
            ),
            ("glucose-syrup", 20.0, 0.05, &[(Glucose, 30.0, 0.15)]),
        ],
    ),
    (
        "three polyols",
        &[
            (
                "mushroom",
                70.0,
                0.1,
                &[
                    (Mannitol, 1.3, 0.35),
                    (Fructose, 0.2, 0.4),
                    (Glucose, 0.8, 0.4),
                ],
            ),
            (
                "prune",
                20.0,
                0.1,
                &[
                    (Sorbitol, 12.0, 0.2),
                    (Fructose, 12.5, 0.1),
                    (Glucose, 25.0, 0.1),
                ],
            ),
            ("mint", 2.0, 0.05, &[(OtherPolyols, 90.0, 0.05)]),
        ],
    ),
    (
        "milk, twice",
        &[
            ("milk", 120.0, 0.05, &[(Lactose, 4.8, 0.05)]),
            ("milk", 30.0, 0.15, &[(Lactose, 4.8, 0.05)]),
            ("yoghurt", 100.0, 0.1, &[(Lactose, 3.4, 0.25)]),
        ],
    ),
    (
        "beans, counted by the ladle",
        &[
            (
                "kidney-bean",
                90.0,
                0.25,
                &[(Fructans, 0.4, 0.6), (Galactans, 1.4, 0.45)],
            ),
            ("onion", 10.0, 0.3, &[(Fructans, 2.6, 0.45)]),
        ],
    ),
    (
        "twelve lines",
        &[
            (
                "wheat",
                60.0,
                0.05,
                &[
                    (Fructans, 1.2, 0.3),
                    (Galactans, 0.2, 0.4),
                    (Fructose, 0.1, 0.5),
                    (Glucose, 0.15, 0.5),
                ],
            ),
            (
                "onion",
                15.0,
                0.2,
                &[
                    (Fructans, 2.6, 0.45),
                    (Fructose, 1.3, 0.25),
                    (Glucose, 2.0, 0.2),
                ],
            ),
            ("garlic", 1.5, 0.3, &[(Fructans, 15.0, 0.25)]),
            (
                "tomato",
                90.0,
                0.1,
                &[(Fructose, 1.4, 0.15), (Glucose, 1.2, 0.15)],
            ),
            (
                "carrot",
                30.0,
                0.1,
                &[(Fructose, 0.6, 0.4), (Glucose, 0.7, 0.4)],
            ),
            (
                "celery",
                20.0,
                0.15,
                &[
                    (Mannitol, 0.9, 0.4),
                    (Fructose, 0.4, 0.3),
                    (Glucose, 0.4, 0.3),
                ],
            ),
            (
                "mushroom",
                25.0,
                0.15,
                &[(Mannitol, 1.3, 0.35), (Glucose, 0.8, 0.4)],
            ),
            ("cream", 20.0, 0.1, &[(Lactose, 3.3, 0.1)]),
            ("butter", 10.0, 0.1, &[(Lactose, 0.6, 0.5)]),
            (
                "lentil",
                15.0,
                0.1,
                &[(Galactans, 3.5, 0.35), (Fructans, 0.2, 0.8)],
            ),
            (
                "honey",
                5.0,
                0.1,
                &[(Fructose, 40.0, 0.08), (Glucose, 34.0, 0.1)],
            ),
            (
                "plum",
                12.0,
                0.1,
                &[
                    (Sorbitol, 0.9, 0.5),
                    (Fructose, 2.4, 0.3),
                    (Glucose, 3.4, 0.3),
                ],
            ),
        ],
    ),
    (
        "wide spreads",
        &[
            ("artichoke", 30.0, 0.2, &[(Fructans, 6.0, 0.8)]),
            ("chicory-root", 5.0, 0.3, &[(Fructans, 40.0, 0.4)]),
            (
                "cashew",
                15.0,
                0.1,
                &[(Galactans, 2.0, 0.7), (Fructans, 0.3, 0.9)],
            ),
        ],
    ),
];

fn main() -> Result<(), Box<dyn std::error::Error>> {
    let cases = CASES
        .iter()
        .map(|(name, lines)| case(name, lines))
        .collect::<Result<Vec<_>, _>>()?;
    println!("{}", serde_json::to_string_pretty(&cases)?);
    Ok(())
}

fn case(name: &str, lines: &[Line]) -> Result<Value, Box<dyn std::error::Error>> {
    let mut inputs = Vec::new();
    let mut components = Vec::new();
    for &(food, grams, spread, contents) in lines {
        let amount = Mass::with_relative_sd(Grams::new(grams)?, Ratio::new(spread)?);
        let mut composition = Composition::ABSENT;
        let mut printed = serde_json::Map::new();
        for &(analyte, mean, spread) in contents {
            let content =
                Concentration::with_relative_sd(GramsPer100g::new(mean)?, Ratio::new(spread)?);
            composition = composition.with(analyte, Content::Known(content, Grade::Measured));
            printed.insert(
                analyte.word().to_owned(),
                json!({"mean": mean, "log_sd": content.log_sd().get()}),
            );
        }
        inputs.push(json!({
            "food": food,
            "amount": {"mean": grams, "log_sd": amount.log_sd().get()},
            "contents": printed,
        }));
        components.push(Component {
            food: Some(FoodId::new(food)?),
            state: None,
            class: FoodClass::Vegetable,
            freshness: Freshness::Other,
            amount: Amount::Known(amount),
            composition,
            allergens: Allergens::NONE,
            stage: Stage::Line,
        });
    }
    let loads = Loads::of(&Portion::new(components), Netting::Portion);
    let ours = Subgroup::ALL.iter().map(|&subgroup| {
        let load = loads.of_subgroup(subgroup);
        let row = json!({
            "mean": load.central().map(Grams::get),
            "low": load.low().get(),
            "high": load.high().map(Grams::get),
        });
        (subgroup.word().to_owned(), row)
    });
    Ok(json!({"name": name, "components": inputs, "ours": ours.collect::<serde_json::Map<_, _>>()}))
}
