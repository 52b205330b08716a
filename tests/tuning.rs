//! Tunes modelled dipoles with the advice, as a person with a wattmeter would, and counts.
//! The antenna model is independent of the advice: a dipole by the induced-EMF method.

#![expect(clippy::unwrap_used, reason = "a test that cannot make its own input should stop")]
#![expect(clippy::panic, reason = "a bench without a start is a broken test")]
#![expect(clippy::print_stdout, reason = "the counts are the result that people ask for")]

#[path = "tuning/dipole.rs"]
mod dipole;
#[path = "tuning/stand.rs"]
mod stand;

use dipole::Truth;
use stand::{Bench, Outcome, by_halving, tune};
use standmast::rf::element::Matching;
use standmast::rf::quantity::{Interval, Millimetres, Quantity, ReflectedShare, Reflection};
use standmast::rf::reflection::KnownReflection;
use standmast::rf::tuning::{Adjustment, Advice, End, Trial};
use std::collections::BTreeMap;

const RUNS: u64 = 1000;

/// Counts of trials and of the ways in which tuning ended.
#[derive(Default)]
struct Tally {
    trials: Vec<usize>,
    ends: BTreeMap<&'static str, usize>,
}

impl Tally {
    fn add(&mut self, outcome: &Outcome) {
        self.trials.push(outcome.trials.len());
        *self.ends.entry(end(&outcome.advice)).or_insert(0) += 1;
    }

    fn at(&self, end: &str) -> usize {
        self.ends.get(end).copied().unwrap_or(0)
    }
}

/// The count below which so many of a hundred lie.
fn percentile(counts: &[usize], of_hundred: usize) -> usize {
    let mut sorted = counts.to_vec();
    sorted.sort_unstable();
    sorted[of_hundred * (sorted.len() - 1) / 100]
}

fn end(advice: &Advice) -> &'static str {
    match advice {
        Advice::TargetMet { .. } => "target met",
        Advice::GainTooSmall { .. } => "gain too small",
        Advice::MatchLeft { .. } => "match left",
        Advice::EndOfRange { .. } => "end of range",
        Advice::DoNotCut { .. } => "do not cut",
        Advice::TestTheCable { .. } => "test the cable",
        Advice::StartHere { .. } | Advice::Change { .. } => "not finished",
    }
}

#[test]
fn adjustable_dipoles_are_tuned_in_few_trials() {
    let mut tally = Tally::default();
    let mut halving = Vec::new();
    for seed in 0..RUNS {
        let mut bench = Bench::made(seed, false);
        let outcome = tune(&mut bench);
        result_is_what_the_meter_can_show(&bench.truth, &outcome, seed);
        tally.add(&outcome);
        halving.push(by_halving(&mut Bench::made(seed, false)));
    }
    let (median, most) = (percentile(&tally.trials, 50), percentile(&tally.trials, 95));
    println!("with advice: median {median} trials, 95 % within {most}; {:?}", tally.ends);
    println!(
        "halving by hand: median {} trials, 95 % within {}",
        percentile(&halving, 50),
        percentile(&halving, 95)
    );
    assert!(median <= 7, "median {median}");
    assert!(most <= 12, "95 % within {most}");
    assert!(percentile(&halving, 50) > median);
    assert_eq!(tally.at("not finished"), 0);
    assert_eq!(tally.at("end of range"), 0);
    // 8 % off, the first step the wrong way, and a meter 5 % of full scale off may look like a
    // fault: a false alarm, less than one in a thousand.
    assert!(tally.at("test the cable") * 1000 <= tally.trials.len());
}

/// Where tuning stopped, it stopped rightly: the target is met within the interval that the meter
/// leaves, or the true best setting lies in the stated band.
fn result_is_what_the_meter_can_show(truth: &Truth, outcome: &Outcome, seed: u64) {
    match outcome.advice {
        Advice::TargetMet { setting, seen, .. } => {
            let reached = truth.reflection(setting.value());
            let high = seen.interval.high().value();
            assert!(reached <= high + 1e-9, "seed {seed}: {reached} above {high}");
        }
        Advice::GainTooSmall { setting, best, about, .. }
        | Advice::MatchLeft { setting, best, about, .. } => {
            let band = about.value() + 1.0;
            let off = (best.value() - truth.best).abs();
            assert!(off <= band, "seed {seed}: best {}, stated {best} ± {about}", truth.best);
            assert!((setting.value() - best.value()).abs() <= band, "seed {seed}");
        }
        _ => {}
    }
}

#[test]
fn cut_to_length_is_never_cut_past_the_best_length() {
    let mut tally = Tally::default();
    let mut left = Vec::new();
    for seed in 0..RUNS {
        let mut bench = Bench::made(seed, true);
        let outcome = tune(&mut bench);
        for pair in outcome.trials.windows(2) {
            assert!(pair[1].setting() < pair[0].setting(), "seed {seed}: it grew");
        }
        // Half a millimetre: what a person cuts.
        let last = outcome.trials.last().unwrap().setting().value();
        let best = bench.truth.best;
        assert!(last > best - 0.5, "seed {seed}: cut to {last}, best is {best}");
        left.push(last - best);
        tally.add(&outcome);
    }
    let (median, most) = (percentile(&tally.trials, 50), percentile(&tally.trials, 95));
    println!("cut to length: median {median} trials, 95 % within {most}; {:?}", tally.ends);
    left.sort_by(f64::total_cmp);
    let (half, last) = (left[left.len() / 2], left[left.len() * 95 / 100]);
    println!("left longer than best: median {half:.0} mm, 95 % within {last:.0} mm a half");
    assert!(median <= 7 && most <= 12);
    assert_eq!(tally.at("not finished"), 0);
}

#[test]
fn a_range_that_ends_too_early_is_said_and_never_left() {
    for seed in 0..RUNS / 10 {
        for long in [true, false] {
            let mut bench = Bench::made(seed, false);
            let (from, to) = if long { (0.86, 0.95) } else { (1.05, 1.14) };
            let best = bench.truth.best;
            let range = Interval::between(
                Millimetres::nearest(best * from),
                Millimetres::nearest(best * to),
            );
            bench.tuning.antenna.adjustment = Adjustment::Adjustable(range);
            bench.start = Some(best * (from + to) / 2.0);
            let outcome = tune(&mut bench);
            // A short range may also hold what already meets the target, or a fault's look.
            if let Advice::EndOfRange { end, .. } = outcome.advice {
                assert_eq!(end, if long { End::Longest } else { End::Shortest }, "seed {seed}");
            } else {
                let said = end(&outcome.advice);
                assert!(
                    ["target met", "test the cable", "gain too small", "match left"]
                        .contains(&said),
                    "seed {seed}: {said}"
                );
            }
        }
    }
}

#[test]
fn an_open_or_shorted_cable_is_said_at_the_first_trial() {
    for seed in 0..50 {
        let bench = Bench::made(seed, seed % 2 == 0);
        let setting = bench.tuning.antenna.predicted();
        let seen = KnownReflection::exact(Reflection::nearest(0.97));
        let trial = Trial {
            upper: setting,
            lower: setting,
            seen: Some(seen),
            step: ReflectedShare::nearest(0.01),
        };
        let impossible = Trial { seen: None, ..trial };
        for trial in [trial, impossible] {
            let advice = bench.tuning.advise(&[trial]).advice;
            assert!(matches!(advice, Advice::TestTheCable { .. }), "{advice:?}");
            assert_eq!(advice.headline(), "Switch off and test the cable.");
        }
    }
}

#[test]
fn a_straight_dipole_ends_with_the_match_that_is_left() {
    // Best SWR of a straight dipole on 50 Ω is about 1.42: 1.2 is out of reach of any length.
    let (mut straight, mut said) = (0, 0);
    for seed in 0..RUNS / 10 {
        let mut bench = Bench::made(seed, false);
        if bench.tuning.antenna.matching != Matching::Straight {
            continue;
        }
        bench.tuning.target = standmast::rf::quantity::Swr::nearest(1.1);
        bench.tuning.directivity = Some(standmast::rf::quantity::DirectivityDb::nearest(30.0));
        bench.leak = (0.0, 0.0);
        straight += 1;
        if let Advice::MatchLeft { floor, .. } = tune(&mut bench).advice {
            assert!(floor.value() > 1.1 && floor.value() < 1.8, "seed {seed}: {floor}");
            said += 1;
        }
    }
    println!("match left said of {said} in {straight} straight dipoles");
    assert!(said * 10 >= straight * 9);
}
