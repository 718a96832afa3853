//! The figures as text, and the page of the documentation.

use std::collections::BTreeMap;
use std::fmt::Write;

use tamis_catalogue::validate::{Carries, Checked, Reported};
use tamis_scoring::evidence::Grade;

use super::Validation;
use super::dishes::DishCheck;
use super::summary::{FOLD_DISHES, FOLD_FOODS, HELD, Summary, percent};

/// How many misses are shown.
const WORST: usize = 10;
/// From this many grams in 100 g on, an analyte can matter on a plate; common practice, no source.
const MATTERS: f64 = 0.5;
/// Half the last digit of tables in tenths: less cannot be told from nothing.
const LAST_DIGIT: f64 = 0.05;
const WIDTH: usize = 100;

// Writing into memory does not fail, so its results are passed over below.

pub(super) fn text(v: &Validation) -> String {
    let mut out = format!("validation of catalogue {}\n", v.catalogue_version);
    let _ = writeln!(
        out,
        "\"held\": the share of 90 % intervals that hold what was measured, goal {:.0} to {:.0} %. \"fold\": median of how\n\
         many times too high or too low the mean is, of found values. \"over\", \"under\": measured over, under the interval.",
        HELD.0 * 100.0,
        HELD.1 * 100.0
    );
    sources(v, &mut out);
    foods(v, &mut out);
    dishes(v, &mut out);
    worst(v, &mut out);
    out
}

fn heading(out: &mut String, text: &str) {
    let _ = writeln!(out, "\n{text}");
    let _ = writeln!(
        out,
        "  {:<34} {:>6} {:>6} {:>8} {:>6} {:>6} {:>6}",
        "", "checks", "found", "held", "over", "under", "fold"
    );
}

fn row(out: &mut String, name: &str, s: &Summary) {
    let _ = writeln!(
        out,
        "  {name:<34} {:>6} {:>6} {:>8} {:>6} {:>6} {:>6}",
        s.count,
        s.found(),
        s.share().map_or_else(|| "-".to_owned(), percent),
        s.over,
        s.under,
        s.median_fold()
            .map_or_else(|| "-".to_owned(), |f| format!("{f:.2}"))
    );
}

fn verdict(out: &mut String, what: &str, s: &Summary, fold_goal: f64) {
    let missed = s.missed(fold_goal);
    if s.count == 0 {
        let _ = writeln!(out, "  {what}: nothing to check.");
    } else if missed.is_empty() {
        let _ = writeln!(
            out,
            "  {what}: both goals are met (fold at most {fold_goal:.1})."
        );
    } else {
        let _ = writeln!(out, "  {what}: MISSED: {}.", missed.join("; "));
    }
}

fn carries(checks: &[Checked]) -> impl Iterator<Item = &Checked> {
    checks.iter().filter(|c| c.carries_load == Carries::Load)
}

fn sources(v: &Validation, out: &mut String) {
    heading(
        out,
        "1. Foods: what a source reports, predicted from the other sources of the food and state",
    );
    let loads = Summary::of(carries(&v.sources));
    row(out, "what carries a load", &loads);
    let matters = carries(&v.sources)
        .filter(|c| matches!(c.reported, Reported::Found(x) if x.get() >= MATTERS));
    row(
        out,
        &format!("  of it, {MATTERS} g or more found"),
        &Summary::of(matters),
    );
    row(
        out,
        "  of it, from two sources or more",
        &Summary::of(carries(&v.sources).filter(|c| c.from > 1)),
    );
    for (analyte, checks) in by_analyte(v.sources.iter()) {
        row(out, analyte, &Summary::of(checks));
    }
    for &grade in Grade::ALL {
        let of_grade = Summary::of(carries(&v.sources).filter(|c| c.grade == grade));
        if of_grade.count > 0 {
            row(out, &format!("carries a load, {grade}"), &of_grade);
        }
    }
    verdict(out, "foods", &loads, FOLD_FOODS);
    let parts = by_analyte(carries(&v.sources))
        .into_iter()
        .map(|(analyte, checks)| (analyte, Summary::of(checks)));
    missed_by(out, parts, FOLD_FOODS);
}

/// Says which parts miss a goal that the whole may meet.
fn missed_by(
    out: &mut String,
    parts: impl Iterator<Item = (&'static str, Summary)>,
    fold_goal: f64,
) {
    for (name, summary) in parts {
        let missed = summary.missed(fold_goal);
        if !missed.is_empty() {
            let _ = writeln!(out, "    {name}: MISSED: {}.", missed.join("; "));
        }
    }
}

fn by_analyte<'a>(
    checks: impl Iterator<Item = &'a Checked>,
) -> BTreeMap<&'static str, Vec<&'a Checked>> {
    let mut by: BTreeMap<&'static str, Vec<&Checked>> = BTreeMap::new();
    for check in checks {
        by.entry(check.analyte).or_default().push(check);
    }
    by
}

fn foods(v: &Validation, out: &mut String) {
    heading(
        out,
        "2. Inference: a measured food, predicted from its measured relatives alone (per 100 g of dry matter)",
    );
    let all = Summary::of(&v.foods);
    row(out, "all", &all);
    for (analyte, checks) in by_analyte(v.foods.iter()) {
        row(out, analyte, &Summary::of(checks));
    }
    let missed: Vec<String> = all
        .missed(f64::INFINITY)
        .into_iter()
        .map(|m| format!("MISSED: {m}"))
        .collect();
    let words = if missed.is_empty() {
        "the intervals are honest; the means are rough, as the fold error says".to_owned()
    } else {
        missed.join("; ")
    };
    let _ = writeln!(out, "  inference: {words}.");
}

fn dishes(v: &Validation, out: &mut String) {
    heading(
        out,
        "3. Dishes: what a laboratory found in a mixed food, predicted from its card",
    );
    let all = Summary::of_dishes(&v.dishes);
    row(out, "all", &all);
    let found = v
        .dishes
        .iter()
        .filter(|d| matches!(d.measured.reported, Reported::Found(_)));
    row(out, "  of it, found", &Summary::of_dishes(found));
    let mut by: BTreeMap<&'static str, Vec<&DishCheck>> = BTreeMap::new();
    for check in &v.dishes {
        by.entry(check.measured.measurand.word())
            .or_default()
            .push(check);
    }
    let by: Vec<(&'static str, Summary)> = by
        .into_iter()
        .map(|(word, checks)| (word, Summary::of_dishes(checks)))
        .collect();
    for (word, summary) in &by {
        row(out, word, summary);
    }
    for &grade in Grade::ALL {
        let of_grade = Summary::of_dishes(v.dishes.iter().filter(|d| d.measured.grade == grade));
        if of_grade.count > 0 {
            row(out, &format!("{grade}"), &of_grade);
        }
    }
    let assumed = Summary::of_dishes(&v.dishes_of_assumed_recipes);
    row(out, "all, recipe assumed", &assumed);
    verdict(out, "dishes, cooked as the card says", &all, FOLD_DISHES);
    verdict(
        out,
        "dishes, the card a typical recipe",
        &assumed,
        FOLD_DISHES,
    );
    missed_by(out, by.into_iter(), FOLD_DISHES);
    let _ = writeln!(
        out,
        "  The interval of a dish is that of its card as written, what the cook did otherwise is not in it; in the row\n  \
         \"recipe assumed\" every ingredient also varies as it does between recipes of one kind (log sd 0.61, Agribalyse 3)."
    );
    if !v.dishes.is_empty() {
        let _ = writeln!(
            out,
            "\n  {:<42} {:<22} {:>9} {:>9} {:>9} {:>9} {:>6}",
            "dish, g in 100 g or a serve", "", "measured", "mean", "5 %", "95 %", "fold"
        );
    }
    for check in &v.dishes {
        dish(check, out);
    }
}

fn dish(check: &DishCheck, out: &mut String) {
    let name: String = check.name.chars().take(42).collect();
    let measured = match check.measured.reported {
        Reported::Found(x) => format!("{:.2}", x.get()),
        Reported::Below(x) => format!("<{:.2}", x.get()),
    };
    let word = check.measured.measurand.word();
    match &check.predicted {
        Ok(p) => {
            let fold = check
                .fold()
                .map_or_else(|| "-".to_owned(), |f| format!("{f:.2}"));
            let held = if check.held() == Some(false) {
                "  not held"
            } else {
                ""
            };
            let _ = writeln!(
                out,
                "  {name:<42} {word:<22} {measured:>9} {:>9.2} {:>9.2} {:>9.2} {fold:>6}{held}",
                p.mean.get(),
                p.low.get(),
                p.high.get()
            );
        }
        Err(why) => {
            let _ = writeln!(
                out,
                "  {name:<42} {word:<22} {measured:>9} nothing predicted: {why}"
            );
        }
    }
}

/// A found value outside its interval.
struct Miss {
    /// How many times over the upper or under the lower point, where either counts as no less than the last digit
    /// of tables.
    outside: f64,
    words: String,
}

fn miss(name: String, measured: f64, (mean, low, high): (f64, f64, f64)) -> Option<Miss> {
    if (low..=high).contains(&measured) {
        return None;
    }
    let outside = (measured / high.max(LAST_DIGIT)).max(low / measured.max(LAST_DIGIT));
    Some(Miss {
        outside,
        words: format!(
            "{name}: measured {measured:.3}, predicted {mean:.3} ({low:.3} to {high:.3}), {outside:.2} times outside"
        ),
    })
}

fn worst(v: &Validation, out: &mut String) {
    let food = |c: &Checked| {
        let Reported::Found(x) = c.reported else {
            return None;
        };
        let what = match (&c.state, &c.source) {
            (Some(state), Some(source)) => {
                format!(
                    "{} {state}, {}, of {source} [{}]",
                    c.food, c.analyte, c.grade
                )
            }
            _ => format!("{}, {}, from its relatives", c.food, c.analyte),
        };
        miss(what, x.get(), (c.mean.get(), c.low.get(), c.high.get()))
    };
    let dish = |d: &DishCheck| {
        let (Ok(p), Reported::Found(x)) = (&d.predicted, d.measured.reported) else {
            return None;
        };
        let what = format!(
            "{}, {}, of {} [{}]",
            d.name,
            d.measured.measurand.word(),
            d.measured.source,
            d.measured.grade
        );
        miss(what, x.get(), (p.mean.get(), p.low.get(), p.high.get()))
    };
    let mut misses: Vec<Miss> = carries(&v.sources)
        .chain(&v.foods)
        .filter_map(food)
        .chain(v.dishes.iter().filter_map(dish))
        .collect();
    misses.sort_by(|a, b| {
        b.outside
            .total_cmp(&a.outside)
            .then_with(|| a.words.cmp(&b.words))
    });
    let _ = writeln!(
        out,
        "\n4. The worst misses of what carries a load: {} of {} shown, by how far outside the\n   interval, where 0.05 g is the least that counts",
        misses.len().min(WORST),
        misses.len()
    );
    for (place, miss) in (1..).zip(misses.iter().take(WORST)) {
        for (i, line) in wrapped(&miss.words).iter().enumerate() {
            let mark = if i == 0 {
                format!("{place:>4}.")
            } else {
                " ".repeat(5)
            };
            let _ = writeln!(out, "{mark} {line}");
        }
    }
}

fn wrapped(text: &str) -> Vec<String> {
    let mut lines: Vec<String> = Vec::new();
    for word in text.split(' ') {
        match lines.last_mut() {
            Some(line) if line.len() + word.len() < WIDTH => {
                line.push(' ');
                line.push_str(word);
            }
            _ => lines.push(word.to_owned()),
        }
    }
    lines
}

pub(super) fn page(v: &Validation) -> String {
    format!(
        "# How well the numbers hold\n\n\
         Made by `tamis check-data --validate --page seed-data/VALIDATION.md --plot seed-data/validation.svg`; a test \
         holds the figures to what the program gives.\n\n\
         ![Predicted against measured, both on logarithmic axes](validation.svg)\n\n\
         ## What is checked\n\n\
         No observation has a part in its own prediction.\n\n\
         1. **Foods.** Each source of a food and state with several sources is predicted from the others. The spread \
         between sources comes from the analyte and food class, fitted without this food and state. What was judged or \
         inferred takes no part: whoever judged may have seen the number. Found values count as held or not; a report \
         below a limit counts by what could have been missed. The tables are not fully independent of each other: a \
         national table may borrow from another.\n\
         2. **Inference.** Each measured food with three measured relatives or more (same botanical family and class) is \
         predicted from them, per 100 g of dry matter. Foods are measured where something is there: what holds among \
         measured foods may be too high for the others.\n\
         3. **Dishes.** Measured mixed foods are predicted from a card written for them. The interval is that of the \
         plate; the error of the laboratory, and of a recipe that had to be assumed, is not in it.\n\n\
         ## Figures\n\n```text\n{}```\n",
        text(v)
    )
}
