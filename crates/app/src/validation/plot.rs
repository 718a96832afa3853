//! Predicted against measured as SVG, black on white, written by hand.

use std::fmt::Write;

use tamis_catalogue::validate::{Carries, Reported};

use super::Validation;

/// The ends of both axes, as powers of ten, in grams.
const FIRST: i32 = -3;
const LAST: i32 = 2;
/// Length of a decade and the margin around the axes, in units of the picture.
const DECADE: f64 = 120.0;
const MARGIN: f64 = 60.0;

// Writing into memory does not fail, so its results are passed over below.

struct Mark {
    measured: f64,
    mean: f64,
    low: f64,
    high: f64,
}

pub(super) fn svg(v: &Validation) -> String {
    let side = 2.0 * MARGIN + f64::from(LAST - FIRST) * DECADE;
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {side:.0} {side:.0}\" font-family=\"sans-serif\" \
         font-size=\"12\" stroke=\"black\" fill=\"none\" role=\"img\">\n\
         <title>Predicted against measured</title>\n\
         <desc>Grams in 100 g, both axes logarithmic. A whisker runs from the 5 % to the 95 % point of a prediction; \
         the diagonal is a perfect one. Dots: foods from their other sources. Squares: dishes from their cards.</desc>\n\
         <rect width=\"{side:.0}\" height=\"{side:.0}\" fill=\"white\" stroke=\"none\"/>\n"
    );
    axes(&mut out);
    for check in v.sources.iter().filter(|c| c.carries_load == Carries::Load) {
        if let Reported::Found(x) = check.reported {
            let mark = Mark {
                measured: x.get(),
                mean: check.mean.get(),
                low: check.low.get(),
                high: check.high.get(),
            };
            whisker(&mut out, &mark);
            let _ = writeln!(
                out,
                "<circle cx=\"{:.1}\" cy=\"{:.1}\" r=\"1.5\" fill=\"black\" stroke=\"none\"/>",
                across(mark.measured),
                up(mark.mean)
            );
        }
    }
    for check in &v.dishes {
        if let (Ok(p), Reported::Found(x)) = (&check.predicted, check.measured.reported) {
            let mark = Mark {
                measured: x.get(),
                mean: p.mean.get(),
                low: p.low.get(),
                high: p.high.get(),
            };
            whisker(&mut out, &mark);
            let _ = writeln!(
                out,
                "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"6\" height=\"6\" fill=\"white\"/>",
                across(mark.measured) - 3.0,
                up(mark.mean) - 3.0
            );
        }
    }
    out.push_str("</svg>\n");
    out
}

fn axes(out: &mut String) {
    let (low, high) = (
        libm::pow(10.0, f64::from(FIRST)),
        libm::pow(10.0, f64::from(LAST)),
    );
    let _ = writeln!(
        out,
        "<rect x=\"{:.1}\" y=\"{:.1}\" width=\"{:.1}\" height=\"{:.1}\"/>\n\
         <line x1=\"{:.1}\" y1=\"{:.1}\" x2=\"{:.1}\" y2=\"{:.1}\" stroke-dasharray=\"4 4\"/>",
        across(low),
        up(high),
        across(high) - across(low),
        up(low) - up(high),
        across(low),
        up(low),
        across(high),
        up(high)
    );
    for power in FIRST..=LAST {
        let value = libm::pow(10.0, f64::from(power));
        let places = usize::try_from(-power).unwrap_or(0);
        let (x, y) = (across(value), up(value));
        let _ = writeln!(
            out,
            "<line x1=\"{x:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{:.1}\"/>\n\
             <line x1=\"{:.1}\" y1=\"{y:.1}\" x2=\"{:.1}\" y2=\"{y:.1}\"/>\n\
             <text x=\"{x:.1}\" y=\"{:.1}\" text-anchor=\"middle\" fill=\"black\" stroke=\"none\">{value:.places$}</text>\n\
             <text x=\"{:.1}\" y=\"{:.1}\" text-anchor=\"end\" fill=\"black\" stroke=\"none\">{value:.places$}</text>",
            up(low),
            up(low) + 6.0,
            across(low) - 6.0,
            across(low),
            up(low) + 20.0,
            across(low) - 10.0,
            y + 4.0
        );
    }
    let middle = (across(low) + across(high)) / 2.0;
    let _ = writeln!(
        out,
        "<text x=\"{middle:.1}\" y=\"{:.1}\" text-anchor=\"middle\" fill=\"black\" stroke=\"none\">measured, g in 100 g (dishes: as reported)</text>\n\
         <text x=\"14\" y=\"{middle:.1}\" text-anchor=\"middle\" fill=\"black\" stroke=\"none\" transform=\"rotate(-90 14 {middle:.1})\">predicted, with 5 % and 95 % point</text>",
        up(low) + 42.0
    );
}

fn whisker(out: &mut String, mark: &Mark) {
    let x = across(mark.measured);
    let _ = writeln!(
        out,
        "<line x1=\"{x:.1}\" y1=\"{:.1}\" x2=\"{x:.1}\" y2=\"{:.1}\" stroke-width=\"0.3\"/>",
        up(mark.low),
        up(mark.high)
    );
}

/// The place of a value on an axis, held to its ends.
fn along(value: f64) -> f64 {
    let power = if value > 0.0 {
        libm::log10(value)
    } else {
        f64::from(FIRST)
    };
    (power.clamp(f64::from(FIRST), f64::from(LAST)) - f64::from(FIRST)) * DECADE
}

fn across(value: f64) -> f64 {
    MARGIN + along(value)
}

fn up(value: f64) -> f64 {
    MARGIN + f64::from(LAST - FIRST) * DECADE - along(value)
}
