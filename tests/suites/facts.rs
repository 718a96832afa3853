//! What practitioners teach (common practice, no source), held against the grams that we compute
//! from composition.
//!
//! A fact is a check only where the grams do not come from the fact: one whose food has a row of
//! grade `practice`, or whose notes say that practice was looked at, is counted as used as data.
//! Where the deciding grams rest on an interval that was judged from botany or physics, the table
//! says `inferred`: such a check is a weak one, as is one of a spirit, in which a rule says that
//! nothing passes over in distilling. Where number and practice part, the column
//! `differs` says why; a difference that is not listed fails, and so does a listed one that is gone.

use serde_json::{Value, json};
use tamis_tests::{assess, case};

struct Fact<'a> {
    fact: &'a str,
    line: &'a str,
    wanted: &'a str,
    differs: &'a str,
}

fn facts(text: &str) -> Vec<Fact<'_>> {
    text.lines()
        .skip(1)
        .map(|row| {
            let cells: Vec<&str> = row.splitn(4, ';').collect();
            let [fact, line, wanted, differs] = cells[..] else {
                panic!("four cells are wanted: {row}")
            };
            Fact {
                fact,
                line,
                wanted,
                differs,
            }
        })
        .collect()
}

fn ask(line: &str) -> Value {
    let (kind, line) = match line.strip_prefix("drink: ") {
        Some(line) => ("drink", line),
        None => ("dish", line),
    };
    let answer =
        assess(&json!({kind: {"name": "Fact", "portions": 1, "lines": [line]}}).to_string());
    assert_eq!(answer["unresolved"], json!([]), "{line} was not understood");
    answer
}

/// The rows with a deciding cut-off, the one with the largest share of its cut-off first.
fn tightest(answer: &Value) -> Vec<(String, f64, f64, String, String)> {
    let mut rows: Vec<_> = answer["loads"]
        .as_array()
        .expect("loads")
        .iter()
        .filter(|row| row["cutoff_basis"] != "shared_total")
        .filter_map(|row| {
            let cutoff = row["cutoff_g"].as_f64()?;
            let grams = row["grams"].as_f64().or(row["high"].as_f64())?;
            let text = |key: &str| row[key].as_str().unwrap_or("-").to_owned();
            Some((
                text("subgroup"),
                grams,
                cutoff,
                text("grade"),
                text("finding"),
            ))
        })
        .collect();
    rows.sort_by(|a, b| (b.1 / b.2).total_cmp(&(a.1 / a.2)));
    rows
}

fn holds(fact: &Fact<'_>, answer: &Value) -> bool {
    let findings: Vec<&str> = answer["loads"]
        .as_array()
        .expect("loads")
        .iter()
        .filter_map(|r| r["finding"].as_str())
        .collect();
    let against = || {
        answer["practice_notes"].as_array().is_some_and(|notes| {
            notes.iter().any(|n| {
                n["text"].as_str().is_some_and(|t| {
                    t.contains("advised against") && t.contains("common practice, no source")
                })
            })
        })
    };
    match fact.wanted {
        "within" => answer["ruling"] == "serve",
        "over" => findings.contains(&"over") && answer["ruling"] != "serve",
        "within, with a note against" => answer["ruling"] == "serve" && against(),
        wanted => {
            let other = wanted
                .strip_prefix("lower than ")
                .unwrap_or_else(|| panic!("no such wish: {wanted}"));
            let fructans = |a: &Value| {
                tamis_tests::load(a, "fructans")["grams"]
                    .as_f64()
                    .expect("grams")
            };
            fructans(answer) < fructans(&ask(other))
        }
    }
}

fn used_as_data(answer: &Value) -> bool {
    let rows = answer["contributions"]
        .as_array()
        .expect("contributions")
        .iter();
    rows.flat_map(|c| c["evidence"].as_array().cloned().unwrap_or_default())
        .any(|e| {
            e["grade"] == "practice"
                || e["note"]
                    .as_str()
                    .is_some_and(|n| n.to_lowercase().contains("practice"))
        })
}

#[test]
fn what_practitioners_teach_follows_from_composition() {
    let text = case("facts.csv");
    let (mut checks, mut weak, mut absent, mut data) = (0, 0, 0, 0);
    let mut faults = Vec::new();
    println!(
        "| fact (common practice, no source) | line | tightest | ours, g | cut-off, g | rests on | ruling | |"
    );
    println!("| --- | --- | --- | --- | --- | --- | --- | --- |");
    for fact in facts(&text) {
        let answer = ask(fact.line);
        let holds = holds(&fact, &answer);
        let rows = tightest(&answer);
        let (subgroup, grams, cutoff, grade, _) = rows
            .first()
            .cloned()
            .unwrap_or_else(|| ("-".to_owned(), 0.0, 0.0, "-".to_owned(), String::new()));
        let count = if used_as_data(&answer) {
            data += 1;
            "used as data"
        } else if grade == "-" {
            absent += 1;
            "check, absent by nature"
        } else if grade == "inferred" {
            weak += 1;
            "check, on judged intervals"
        } else {
            checks += 1;
            "check"
        };
        println!(
            "| {} | {} | {subgroup} | {grams} | {cutoff} | {grade} | {} | {}{count} |",
            fact.fact,
            fact.line,
            answer["ruling"].as_str().unwrap_or("-"),
            if holds { "" } else { "DIFFERS; " },
        );
        match (holds, fact.differs.is_empty()) {
            (true, true) | (false, false) => {}
            (false, true) => faults.push(format!(
                "{}: {} is {}, wanted {}: {rows:?}",
                fact.fact, fact.line, answer["ruling"], fact.wanted
            )),
            (true, false) => faults.push(format!(
                "{}: listed as differing ({}) and does not",
                fact.fact, fact.differs
            )),
        }
    }
    println!(
        "{checks} checks on measured, tabulated or recalled values, {weak} on judged intervals, {absent} where all is absent by nature, {data} used as data"
    );
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}
