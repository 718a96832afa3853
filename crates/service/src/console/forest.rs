//! The forest plot: one row a subgroup on a logarithmic axis. All that is computed here are places
//! on the page.

use tamis_scoring::assessment::LoadRow;
use tamis_scoring::loads::LoadState;
use tamis_scoring::quantity::Grams;
use tamis_tickets::figures;

use super::answer::decides;

/// The left end of the axis in grams: what is less is written `<0.01 g`.
const LEFT: f64 = 0.01;
/// Half the height of a whisker's ends and of boxes.
const HALF: f64 = 6.0;
/// Between two strokes of a hatch.
const HATCH: f64 = 7.0;
/// Room under the rows for the axis and its labels.
const AXIS: f64 = 40.0;

/// How the plot is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Frame {
    /// Names to the left, figures to the right.
    Wide,
    /// Names and figures above each row.
    Narrow,
}

struct Sizes {
    width: f64,
    left: f64,
    right: f64,
    row: f64,
    middle: f64,
    words: f64,
    name: f64,
}

impl Frame {
    const fn sizes(self) -> Sizes {
        match self {
            Self::Wide => Sizes {
                width: 760.0,
                left: 180.0,
                right: 650.0,
                row: 32.0,
                middle: 16.0,
                words: 21.0,
                name: 0.0,
            },
            Self::Narrow => Sizes {
                width: 320.0,
                left: 6.0,
                right: 314.0,
                row: 48.0,
                middle: 33.0,
                words: 16.0,
                name: 0.0,
            },
        }
    }

    /// The class that shows it on paper of the right width.
    #[must_use]
    pub const fn class(self) -> &'static str {
        match self {
            Self::Wide => "forest wide",
            Self::Narrow => "forest narrow",
        }
    }
}

/// A plot; all numbers are places on the page.
pub struct Forest {
    /// The class of the drawing.
    pub class: &'static str,
    /// The id of its title.
    pub id: String,
    /// Its width.
    pub width: String,
    /// Its height.
    pub height: String,
    /// Left end of the axis.
    pub left: String,
    /// Right end of the axis.
    pub right: String,
    /// Height of the axis.
    pub axis: String,
    /// Height of the axis labels.
    pub labels: String,
    /// Height of the axis title.
    pub caption: String,
    /// The decades.
    pub ticks: Vec<Tick>,
    /// The subgroups.
    pub rows: Vec<Row>,
}

/// A decade of the axis.
pub struct Tick {
    /// Its place.
    pub x: String,
    /// Where its label is anchored: `start`, `middle` or `end`.
    pub anchor: &'static str,
    /// Its label.
    pub label: String,
}

/// One subgroup.
pub struct Row {
    /// Its name.
    pub name: &'static str,
    /// Its load in words.
    pub value: String,
    /// Where the name begins.
    pub name_x: String,
    /// Where the load ends.
    pub value_x: String,
    /// Height of name and load.
    pub words_y: String,
    /// Path of whisker or box, in ink.
    pub ink: String,
    /// Path of the mean, filled.
    pub mean: String,
    /// Words in place of marks, for a load that is zero by nature.
    pub none: Option<(String, String)>,
    /// Path of the rule at the cut-off.
    pub rule: Option<Rule>,
}

/// The rule at a cut-off.
pub struct Rule {
    /// Its class: whether the ruling looks at it, or at the total that it is part of.
    pub class: &'static str,
    /// Its path.
    pub path: String,
}

struct Scale {
    decades: f64,
    sizes: Sizes,
}

impl Scale {
    fn x(&self, grams: Grams) -> f64 {
        let share = (grams.get().max(LEFT) / LEFT).log10() / self.decades;
        self.sizes.left + share.min(1.0) * (self.sizes.right - self.sizes.left)
    }
}

impl Forest {
    /// Lays the loads out; `id` must be the only one of its kind on the page.
    #[must_use]
    pub fn of(loads: &[LoadRow], frame: Frame, id: String) -> Self {
        let most = loads
            .iter()
            .flat_map(|r| [r.high, r.grams, r.low, r.cutoff.as_ref().map(|c| c.grams)])
            .flatten()
            .map(Grams::get)
            .fold(1.0, f64::max);
        let decades = 2 + most.log10().ceil().clamp(1.0, 6.0) as u32;
        let scale = Scale {
            decades: f64::from(decades),
            sizes: frame.sizes(),
        };
        let sizes = &scale.sizes;
        let mut top = 0.0;
        let mut rows = Vec::with_capacity(loads.len());
        for load in loads {
            rows.push(row(load, &scale, top));
            top += sizes.row;
        }
        Self {
            class: frame.class(),
            id,
            width: at(sizes.width),
            height: at(top + AXIS),
            left: at(sizes.left),
            right: at(sizes.right),
            axis: at(top + 2.0),
            labels: at(top + 18.0),
            caption: at(top + 35.0),
            ticks: ticks(decades, &scale),
            rows,
        }
    }
}

fn ticks(decades: u32, scale: &Scale) -> Vec<Tick> {
    let Sizes { left, right, .. } = scale.sizes;
    (0..=decades)
        .map(|n| Tick {
            x: at(left + f64::from(n) / f64::from(decades) * (right - left)),
            anchor: match n {
                0 => "start",
                n if n == decades => "end",
                _ => "middle",
            },
            label: match n {
                0 => "0.01".to_owned(),
                1 => "0.1".to_owned(),
                n => format!("1{}", "0".repeat(n as usize - 2)),
            },
        })
        .collect()
}

fn row(load: &LoadRow, scale: &Scale, top: f64) -> Row {
    let sizes = &scale.sizes;
    let y = top + sizes.middle;
    let low = load.low.map_or(sizes.left, |low| scale.x(low));
    let (mut ink, mut mean, mut none) = (String::new(), String::new(), None);
    match (load.state, load.high, load.grams) {
        (LoadState::Zero, _, _) => none = Some((at(sizes.left + 4.0), at(y + 4.0))),
        (LoadState::Estimated, Some(high), Some(grams)) => {
            let (high, centre) = (scale.x(high), scale.x(grams));
            // Where all of it lies beyond the axis, the mark of the mean says so by itself.
            if high > sizes.left {
                ink = whisker(low, high, y, End::of(low, centre, sizes.left));
            }
            mean = mark(centre, y, sizes.left);
        }
        (LoadState::Estimated | LoadState::Bounded, Some(high), _) => {
            ink = bounds(low, scale.x(high), y);
        }
        (LoadState::Estimated | LoadState::Bounded, None, _) | (LoadState::Unknown, _, _) => {
            ink = hatch(low, sizes.right, y);
        }
    }
    let rule = load.cutoff.as_ref().map(|cutoff| Rule {
        class: if decides(load) { "rule" } else { "rule shared" },
        path: format!(
            "M{x} {}V{}",
            at(y - sizes.middle.min(13.0)),
            at(y + sizes.middle.min(13.0)),
            x = at(scale.x(cutoff.grams))
        ),
    });
    Row {
        name: load.subgroup.plain_words(),
        value: figures::central_beside_cutoff(load),
        name_x: at(sizes.name),
        value_x: at(sizes.width),
        words_y: at(top + sizes.words),
        ink,
        mean,
        none,
        rule,
    }
}

/// How a whisker begins.
#[derive(Clone, Copy)]
enum End {
    Stroke,
    /// It goes on beyond the axis.
    Arrow,
    /// The mark of the mean stands there and points out of the axis.
    Mark,
}

impl End {
    fn of(low: f64, centre: f64, left: f64) -> Self {
        if low > left {
            Self::Stroke
        } else if centre > left {
            Self::Arrow
        } else {
            Self::Mark
        }
    }
}

/// A line from bound to bound with its ends.
fn whisker(low: f64, high: f64, y: f64, begin: End) -> String {
    let stroke = |x: f64| format!("M{} {}V{}", at(x), at(y - HALF), at(y + HALF));
    let begin = match begin {
        End::Stroke => stroke(low),
        End::Arrow => format!(
            "M{x} {}L{} {}L{x} {}",
            at(y - HALF),
            at(low),
            at(y),
            at(y + HALF),
            x = at(low + HALF)
        ),
        End::Mark => String::new(),
    };
    format!("M{} {}H{}{begin}{}", at(low), at(y), at(high), stroke(high))
}

/// A square; a triangle that points out where the mean lies beyond the axis.
fn mark(x: f64, y: f64, left: f64) -> String {
    if x <= left {
        return format!(
            "M{} {}L{} {}V{}Z",
            at(left),
            at(y),
            at(left + 9.0),
            at(y - 5.0),
            at(y + 5.0)
        );
    }
    format!("M{} {}h9v9h-9Z", at(x - 4.5), at(y - 4.5))
}

/// An open box: only its ends are known.
fn bounds(low: f64, high: f64, y: f64) -> String {
    format!(
        "M{} {}H{}V{}H{}Z",
        at(low),
        at(y - HALF),
        at(high.max(low + 1.0)),
        at(y + HALF),
        at(low)
    )
}

/// A hatched band without an end: nothing bounds it.
fn hatch(low: f64, right: f64, y: f64) -> String {
    let (top, foot) = (y - HALF, y + HALF);
    let low = low.min(right - HATCH);
    let mut path = format!(
        "M{r} {t}H{l}V{f}H{r}",
        r = at(right),
        t = at(top),
        l = at(low),
        f = at(foot)
    );
    let mut x = low;
    while x + HATCH <= right {
        path += &format!("M{} {}L{} {}", at(x), at(foot), at(x + HATCH), at(top));
        x += HATCH;
    }
    path
}

fn at(place: f64) -> String {
    format!("{place:.1}")
}

#[cfg(test)]
mod tests {
    use super::*;
    use tamis_scoring::ruling::Finding;
    use tamis_scoring::subgroup::Subgroup;

    fn load(state: LoadState, low: f64, grams: Option<f64>, high: Option<f64>) -> LoadRow {
        let g = |v: f64| Grams::new(v).unwrap();
        LoadRow {
            subgroup: Subgroup::Lactose,
            state,
            grams: grams.map(g),
            low: Some(g(low)),
            high: high.map(g),
            cutoff: None,
            exceedance: None,
            finding: Finding::Unknown,
            grade: None,
        }
    }

    fn plotted(load: LoadRow) -> Row {
        Forest::of(&[load], Frame::Wide, String::new())
            .rows
            .remove(0)
    }

    #[test]
    fn decades_stand_at_equal_distances_and_marks_on_them() {
        let forest = Forest::of(
            &[load(LoadState::Estimated, 0.1, Some(1.0), Some(10.0))],
            Frame::Wide,
            String::new(),
        );
        let ticks: Vec<_> = forest.ticks.iter().map(|t| t.x.as_str()).collect();
        assert_eq!(ticks, ["180.0", "336.7", "493.3", "650.0"]);
        assert!(forest.rows[0].ink.starts_with("M336.7 16.0H650.0"));
        assert_eq!(forest.rows[0].mean, "M488.8 11.5h9v9h-9Z");
    }

    #[test]
    fn an_unknown_load_runs_hatched_to_the_edge_without_a_mean() {
        let row = plotted(load(LoadState::Unknown, 0.1, None, None));
        assert!(row.ink.starts_with("M650.0 10.0H336.7V22.0H650.0"));
        assert!(row.ink.matches('L').count() > 30, "{}", row.ink);
        assert_eq!((row.mean.as_str(), row.value.as_str()), ("", "unknown"));
    }

    #[test]
    fn bounds_alone_have_a_box_and_no_mean() {
        let row = plotted(load(LoadState::Bounded, 0.1, None, Some(1.0)));
        assert_eq!(row.ink, "M336.7 10.0H493.3V22.0H336.7Z");
        assert_eq!(row.mean, "");
    }

    #[test]
    fn what_lies_beyond_the_axis_points_out_of_it() {
        let row = plotted(load(LoadState::Estimated, 0.0001, Some(0.001), Some(0.1)));
        assert_eq!(row.mean, "M180.0 16.0L189.0 11.0V21.0Z");
        assert_eq!(row.ink, "M180.0 16.0H336.7M336.7 10.0V22.0");
        let row = plotted(load(LoadState::Estimated, 0.0001, Some(0.1), Some(1.0)));
        assert!(row.ink.contains("L180.0 16.0L"), "{}", row.ink);
        let row = plotted(load(LoadState::Estimated, 0.0001, Some(0.001), Some(0.002)));
        assert_eq!((row.ink.as_str(), row.mean.is_empty()), ("", false));
    }
}
