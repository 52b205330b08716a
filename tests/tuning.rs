//! Tunes modelled dipoles with the advice, as a person with a wattmeter would, and counts.
//! The antenna model is independent of the advice: a dipole by the induced-EMF method.

#[path = "tuning/dipole.rs"]
mod dipole;
#[path = "tuning/stand.rs"]
mod stand;

use dipole::Truth;
use stand::{Bench, Outcome, by_halving, tune};
use standmast::rf::quantity::Quantity;
use standmast::rf::tuning::Advice;

const RUNS: u64 = 8000;

/// The value below which a part of the counts lies.
fn quantile(counts: &mut [usize], part: f64) -> usize {
    counts.sort_unstable();
    let place = (part * (counts.len() - 1) as f64).round();
    counts[place as usize]
}

fn bench_of(seed: u64, cut: bool) -> Bench {
    Bench::made(seed, cut)
}

#[test]
fn adjustable_dipoles_are_tuned_in_few_trials() {
    let mut counts = Vec::new();
    let mut halving = Vec::new();
    let mut kinds = std::collections::BTreeMap::new();
    for seed in 0..RUNS {
        let mut bench = bench_of(seed, false);
        let outcome = tune(&mut bench);
        counts.push(outcome.trials.len());
        *kinds.entry(kind(&outcome.advice)).or_insert(0) += 1;
        check_result(&bench, &outcome, seed);
        halving.push(by_halving(&mut bench_of(seed, false)));
    }
    let (median, most) = (quantile(&mut counts, 0.5), quantile(&mut counts, 0.95));
    println!(
        "with advice: median {median}, 95 % within {most}, worst {}",
        counts[counts.len() - 1]
    );
    println!(
        "halving by hand: median {}, 95 % within {}",
        quantile(&mut halving, 0.5),
        quantile(&mut halving, 0.95)
    );
    println!("{kinds:?}");
    assert!(median <= 7 && most <= 12);
}

#[test]
fn cut_to_length_is_never_cut_past_the_best_length() {
    let mut counts = Vec::new();
    let mut kinds = std::collections::BTreeMap::new();
    let mut left = Vec::new();
    for seed in 0..RUNS {
        let mut bench = bench_of(seed, true);
        let best = bench.truth.best;
        let outcome = tune(&mut bench);
        if outcome.trials.last().unwrap().setting().value() < best - 1.0 {
            println!("TRACE {:?} {:?} leak", bench.truth, bench.tuning);
            for n in 1..=outcome.trials.len() {
                let a = bench.tuning.advise(&outcome.trials[..n]);
                let t = outcome.trials[n - 1];
                println!(
                    "TRACE {} {:?} step {:?} fit {:?} -> {}",
                    t.setting(),
                    t.seen.unwrap().point,
                    t.step,
                    a.fit.map(|f| (f.best, f.about)),
                    a.advice.headline()
                );
            }
        }
        counts.push(outcome.trials.len());
        *kinds.entry(kind(&outcome.advice)).or_insert(0) += 1;
        for pair in outcome.trials.windows(2) {
            assert!(pair[1].setting() < pair[0].setting(), "seed {seed}: it grew");
        }
        let last = outcome.trials.last().unwrap().setting().value();
        left.push(last - best);
        if let Advice::GainTooSmall { best: stated, about, .. } = outcome.advice {
            println!(
                "DBGC left {:.1} stated-left {:.1} about {:.1} n {} d {:.1}",
                last - best,
                last - stated.value(),
                about,
                outcome.trials.len(),
                bench.tuning.directivity.unwrap()
            );
        }
        if last < best - 1.0 {
            println!("PAST seed {seed}: cut to {last}, best is {best}");
        }
    }
    left.sort_by(f64::total_cmp);
    println!("left {:?}", [left[400], left[4000], left[7600]]);
    let (median, most) = (quantile(&mut counts, 0.5), quantile(&mut counts, 0.95));
    println!("cut to length: median {median}, 95 % within {most}, {kinds:?}");
    assert!(median <= 7 && most <= 12);
}

fn kind(advice: &Advice) -> &'static str {
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

/// The final setting is as good as the meter could show.
fn check_result(bench: &Bench, outcome: &Outcome, seed: u64) {
    let last = outcome.trials.last().unwrap();
    let truth: &Truth = &bench.truth;
    let reached = truth.reflection(last.setting().value());
    let best = truth.best;
    match outcome.advice {
        Advice::TargetMet { seen, .. } => {
            let high = seen.interval.high().value();
            assert!(reached <= high + 1e-6, "seed {seed}: {reached} above {high}");
        }
        Advice::GainTooSmall { best: stated, about, .. }
        | Advice::MatchLeft { best: stated, about, .. } => {
            let off = (stated.value() - best).abs();
            println!(
                "DBG off {off:.1} about {about:.1} best {best:.1} n {} d {:.1}",
                outcome.trials.len(),
                bench.tuning.directivity.unwrap()
            );
            if off > about.value() + 1.0 {
                println!(
                    "seed {seed}: best {best:.1}, stated {stated:.1} ± {about:.1} {}",
                    outcome.trials.len()
                );
            }
        }
        ref other => println!(
            "seed {seed}: {other:?} best {best}, tried {:?}",
            outcome
                .trials
                .iter()
                .map(|t| (t.setting().value(), t.seen.unwrap().point.value()))
                .collect::<Vec<_>>()
        ),
    }
}
