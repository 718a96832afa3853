//! What holds of every law, whatever its numbers.

use proptest::prelude::*;

use super::kinetics::{
    Bath, Beyond, Celsius, Conditions, Dosing, Form, Law, Parameter, Range, Warmth,
};
use super::{Gain, Kept, Retention, most_from};
use crate::composition::{Composition, Content};
use crate::estimate::Concentration;
use crate::evidence::Grade;
use crate::quantity::{Fraction, GramsPer100g, Hours, MilligramsPerLitre, Ratio};
use crate::subgroup::Analyte;

fn h(v: f64) -> Hours {
    Hours::new(v).unwrap()
}

fn ratio(v: f64) -> Ratio {
    Ratio::new(v).unwrap()
}

fn form() -> impl Strategy<Value = Form> {
    let bath = (0.1..4.0f64, 5.0..30.0f64).prop_map(|(holds, much)| {
        let water = Range::between(ratio(0.5), ratio(60.0));
        Bath {
            holds: ratio(holds),
            water,
            usual: Range::between(ratio(4.5), ratio(much)),
        }
    });
    prop_oneof![
        (0.0..0.6f64, 0.0..1.0f64).prop_map(|(floor, lag)| Form::Decay {
            floor: Fraction::new(floor).unwrap(),
            lag: h(lag),
        }),
        bath.clone().prop_map(Form::Leach),
        bath.prop_map(Form::Extract),
    ]
}

fn law() -> impl Strategy<Value = Law> {
    (form(), 0.05..50.0f64, 1.0..3.0f64, 1.0..3.0f64).prop_map(|(form, half, a, b)| Law {
        form,
        half: Parameter::new(h(half / a), h(half), h(half * b)).unwrap(),
        hours: Range::between(h(1.0), h(48.0)),
        warmth: Some(Warmth {
            at: Celsius::clamped(25.0),
            q10: ratio(2.0),
            within: Range::between(Celsius::clamped(2.0), Celsius::clamped(40.0)),
        }),
        dosing: Some(Dosing {
            at: MilligramsPerLitre::new(100.0).unwrap(),
            power: ratio(0.5),
            within: Range::between(
                MilligramsPerLitre::new(20.0).unwrap(),
                MilligramsPerLitre::new(2000.0).unwrap(),
            ),
        }),
        grade: Grade::Measured,
    })
}

fn for_hours(low: f64, high: f64) -> Conditions {
    Conditions {
        hours: Some(Range::between(h(low), h(high))),
        ..Conditions::default()
    }
}

fn share(law: &Law, conditions: &Conditions) -> (f64, f64, f64) {
    match law.kept(conditions).0 {
        Kept::Share(s, _) => (s.low().get(), s.mean().get(), s.high().get()),
        other => panic!("a share, not {other:?}"),
    }
}

fn known(v: f64) -> Content {
    Content::Known(
        Concentration::exact(GramsPer100g::new(v).unwrap()),
        Grade::Measured,
    )
}

fn mean(content: Content) -> f64 {
    match content {
        Content::Known(c, _) => c.mean().get(),
        Content::Absent => 0.0,
        other => panic!("a number, not {other:?}"),
    }
}

/// Pairs that chemistry allows.
fn pair() -> impl Strategy<Value = (Analyte, Analyte)> {
    prop_oneof![
        Just((Analyte::Fructans, Analyte::Fructose)),
        Just((Analyte::Fructans, Analyte::Mannitol)),
        Just((Analyte::Fructose, Analyte::Mannitol)),
        Just((Analyte::Lactose, Analyte::Glucose)),
        Just((Analyte::Galactans, Analyte::Fructose)),
    ]
}

proptest! {
    #[test]
    fn kept_lies_between_none_and_all(law in law(), a in 0.0..200.0f64, b in 0.0..200.0f64) {
        let (kept, _) = law.kept(&for_hours(a, b));
        let Kept::Share(s, _) = kept else { panic!("a share") };
        // At the 95 % point as well, and before any clamp.
        prop_assert!((0.0..=1.0).contains(&s.mean().get()));
        prop_assert!(s.at_z(crate::estimate::Z95) <= 1.0 + 1e-9);
        prop_assert!(s.low() <= s.high());
    }

    #[test]
    fn monotone_in_time(law in law(), t in 1.0..40.0f64, more in 0.0..8.0f64) {
        let (_, early, _) = share(&law, &for_hours(t, t));
        let (_, late, _) = share(&law, &for_hours(t + more, t + more));
        match law.form {
            Form::Extract(_) => prop_assert!(late >= early - 1e-12),
            Form::Decay { .. } | Form::Leach(_) => prop_assert!(late <= early + 1e-12),
        }
    }

    #[test]
    fn more_water_takes_more(law in law(), w in 4.5..20.0f64, more in 0.0..20.0f64, t in 1.0..40.0f64) {
        let with = |w: f64| Conditions { water: Some(Range::exactly(ratio(w))), ..for_hours(t, t) };
        let (_, little, _) = share(&law, &with(w));
        let (_, much, _) = share(&law, &with(w + more));
        match law.form {
            Form::Decay { .. } => prop_assert_eq!(little, much),
            Form::Leach(_) => prop_assert!(much <= little + 1e-12),
            Form::Extract(_) => prop_assert!(much >= little - 1e-12),
        }
    }

    #[test]
    fn warmer_and_stronger_is_faster(law in law(), t in 1.0..40.0f64, c in 2.0..30.0f64, mg in 20.0..1000.0f64) {
        let warm = |c: f64| Conditions { warmth: Some(Range::exactly(Celsius::clamped(c))), ..for_hours(t, t) };
        let dosed = |mg: f64| Conditions {
            dose: Some(Range::exactly(MilligramsPerLitre::new(mg).unwrap())), ..for_hours(t, t)
        };
        for (less, more) in [(warm(c), warm(c + 10.0)), (dosed(mg), dosed(2.0 * mg))] {
            let ((_, slow, _), (_, fast, _)) = (share(&law, &less), share(&law, &more));
            match law.form {
                Form::Extract(_) => prop_assert!(fast >= slow - 1e-12),
                Form::Decay { .. } | Form::Leach(_) => prop_assert!(fast <= slow + 1e-12),
            }
        }
    }

    #[test]
    fn a_longer_doubt_is_never_surer(law in law(), t in 2.0..20.0f64, more in 0.0..20.0f64) {
        let Form::Decay { .. } = law.form else { return Ok(()) };
        let sure = share(&law, &for_hours(t, t));
        let open = share(&law, &for_hours(t / 2.0, t + more));
        prop_assert!(open.1 <= 1.0 && sure.1 <= 1.0);
        // Its centre lies between the centres of its two ends.
        let (_, early, _) = share(&law, &for_hours(t / 2.0, t / 2.0));
        let (_, late, _) = share(&law, &for_hours(t + more, t + more));
        prop_assert!(late - 1e-12 <= open.1 && open.1 <= early + 1e-12);
    }

    #[test]
    fn beyond_its_range_it_says_so(law in law(), t in 1.0..48.0f64) {
        prop_assert_eq!(law.kept(&for_hours(t, t)).1, vec![]);
        let (_, shorter) = law.kept(&for_hours(0.5, t));
        let (kept, longer) = law.kept(&for_hours(t, 60.0));
        prop_assert_eq!(shorter, vec![Beyond::Shorter]);
        prop_assert_eq!(longer, vec![Beyond::Longer]);
        prop_assert!(matches!(kept, Kept::Share(_, Grade::Inferred)));
        let hot = Conditions { warmth: Some(Range::exactly(Celsius::clamped(60.0))), ..for_hours(t, t) };
        prop_assert_eq!(law.kept(&hot), (Kept::Unknown, vec![Beyond::Warmth]));
        let strong = MilligramsPerLitre::new(1e5).unwrap();
        let strong = Conditions { dose: Some(Range::exactly(strong)), ..for_hours(t, t) };
        prop_assert_eq!(law.kept(&strong), (Kept::Unknown, vec![Beyond::Dose]));
        if !matches!(law.form, Form::Decay { .. }) {
            let sea = Conditions { water: Some(Range::exactly(ratio(500.0))), ..for_hours(t, t) };
            prop_assert_eq!(law.kept(&sea), (Kept::Unknown, vec![Beyond::Water]));
        }
    }

    /// No grams from nothing: what appears is at most what was lost times what chemistry allows.
    #[test]
    fn grams_are_conserved(
        law in law(), pair in pair(), made in (0.0..2.0f64, 0.0..2.0f64, 0.0..2.0f64),
        t in 0.0..60.0f64, source in 0.0..40.0f64, had in 0.0..10.0f64,
    ) {
        let mut made = [made.0, made.1, made.2];
        made.sort_by(f64::total_cmp);
        let (from, to) = pair;
        let (kept, _) = law.kept(&for_hours(t, t));
        let gain = Gain::of_lost(pair, kept, (ratio(made[0]), ratio(made[1]), ratio(made[2])), Grade::Inferred).unwrap();
        let process = Retention::uniform(Kept::All).with(from, kept).making(gain);
        let food = Composition::ABSENT.with(from, known(source)).with(to, known(had));
        let after = food.retained(&process);
        let lost = source - mean(after.content(from));
        let gained = mean(after.content(to)) - had;
        prop_assert!(lost >= -1e-12 && gained >= -1e-12);
        prop_assert!(gained <= lost * most_from(from, to).unwrap().get() + 1e-9, "{gained} of {lost}");
    }

    #[test]
    fn nothing_in_nothing_out(law in law(), pair in pair(), t in 0.0..60.0f64) {
        let (from, _) = pair;
        let (kept, _) = law.kept(&for_hours(t, t));
        let one = ratio(1.0);
        let gain = Gain::of_lost(pair, kept, (one, one, one), Grade::Inferred).unwrap();
        let process = Retention::uniform(kept).with(from, kept).making(gain);
        prop_assert_eq!(Composition::ABSENT.retained(&process), Composition::ABSENT);
    }

    #[test]
    fn unknown_stays_unknown(law in law(), pair in pair(), t in 2.0..40.0f64) {
        let (from, to) = pair;
        let (kept, _) = law.kept(&for_hours(t, t));
        let one = ratio(1.0);
        let gain = Gain::of_lost(pair, kept, (one, one, one), Grade::Inferred).unwrap();
        let process = Retention::uniform(Kept::All).with(from, kept).making(gain);
        // Of an unknown source an unknown amount appears; onto an unknown amount any amount may come.
        let source = Composition::ABSENT.with(from, Content::Unknown).retained(&process);
        prop_assert_eq!((source.content(from), source.content(to)), (Content::Unknown, Content::Unknown));
        let product = Composition::ABSENT.with(from, known(2.0)).with(to, Content::Unknown).retained(&process);
        prop_assert_eq!(product.content(to), Content::Unknown);
    }

    /// A refused law leaves ceilings: what went in, and all that it could have become.
    #[test]
    fn a_refusal_leaves_ceilings(pair in pair(), source in 0.1..20.0f64, had in 0.0..5.0f64) {
        let (from, to) = pair;
        let two = ratio(2.0);
        let gain = Gain::of_lost(pair, Kept::Unknown, (two, two, two), Grade::Inferred).unwrap();
        let process = Retention::uniform(Kept::All).with(from, Kept::Unknown).making(gain);
        let after = Composition::ABSENT.with(from, known(source)).with(to, known(had)).retained(&process);
        prop_assert!(matches!(after.content(from), Content::AtMost(c) if (c.get() - source).abs() < 1e-9));
        let most = had + source * most_from(from, to).unwrap().get();
        prop_assert!(matches!(after.content(to), Content::AtMost(c) if (c.get() - most).abs() < 1e-9));
    }
}
