//! The observations that count and the pools made of them, for whoever wants to pool them anew.

use std::fmt::Write;

use tamis_scoring::estimate::Concentration;

use crate::Catalogue;
use crate::compose::{Body, Seen};
use crate::measures::density;
use crate::pool::{Kind, Observed};

const HEADER: &str = "record,food,state,class,analyte,source,grade,kind,value,low,high,spread,freedom,samples,mean,log_sd";

impl Catalogue {
    /// CSV with a row for each observation that counts (`record` = `row`; `value` in g per 100 g on the fresh
    /// basis for one that was found, the limit for one below it, the 5 % and 95 % point for one that was
    /// judged; `spread` the reported log variance between samples with its degrees of freedom), and
    /// a row for each estimate made of them (`record` = `pool`, before sums are fitted; `fitted`, after).
    #[must_use]
    pub fn exported_rows(&self) -> String {
        let tables = &self.inner.tables;
        let density = |food: &_, state: &_| density(tables, food, state);
        let body = Body::new(tables, &density);
        let mut out = format!("{HEADER}\n");
        for seen in &body.seen {
            for (constituent, all) in &seen.by {
                for observed in all {
                    row(&mut out, seen, constituent.word(), observed);
                }
            }
            let pooled = body.pooled(seen);
            for (record, pools) in [("pool", &pooled), ("fitted", &Body::fitted(&pooled))] {
                for (constituent, p) in pools {
                    estimate(&mut out, record, seen, constituent.word(), p.estimate);
                }
            }
        }
        out
    }
}

// Writing into memory does not fail, so its results are passed over below. Ids, words and numbers need no quotes.

fn row(out: &mut String, seen: &Seen<'_>, analyte: &str, o: &Observed) {
    let number = |v: f64| format!("{v:?}");
    let (kind, value, low, high, spread, freedom) = match o.kind {
        Kind::Found(spread) => (
            "found",
            number(libm::exp(o.log_mean)),
            String::new(),
            String::new(),
            spread.map_or_else(String::new, |s| number(s.0)),
            spread.map_or_else(String::new, |s| number(s.1)),
        ),
        Kind::Below(limit) => (
            "below",
            number(limit),
            String::new(),
            String::new(),
            String::new(),
            String::new(),
        ),
        Kind::Judged => {
            let (low, high) = o.judged_bounds();
            (
                "judged",
                String::new(),
                number(low),
                number(high),
                String::new(),
                String::new(),
            )
        }
    };
    let _ = writeln!(
        out,
        "row,{},{},{},{analyte},{},{},{kind},{value},{low},{high},{spread},{freedom},{},,",
        seen.food.id,
        seen.state,
        seen.food.class,
        o.source,
        o.grade,
        number(o.samples),
    );
}

fn estimate(out: &mut String, record: &str, seen: &Seen<'_>, analyte: &str, e: Concentration) {
    let _ = writeln!(
        out,
        "{record},{},{},{},{analyte},,,,,,,,,,{:?},{:?}",
        seen.food.id,
        seen.state,
        seen.food.class,
        e.mean().get(),
        e.log_sd().get(),
    );
}
