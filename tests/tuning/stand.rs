//! A stand with a wattmeter that errs, leaks and rounds, and a person who follows advice.

use crate::dipole::Truth;
use standmast::rf::element::Matching;
use standmast::rf::meter::{Meter, Powers, Range, Reflected};
use standmast::rf::quantity::{
    DirectivityDb, Interval, Megahertz, Millimetres, Percent, Quantity, Swr, Typed, Watts,
};
use standmast::rf::tuning::{Adjustment, Advice, Antenna, Trial, Tuning};

/// SplitMix64: the same numbers on every machine.
pub struct Dice(u64);

impl Dice {
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^= z >> 31;
        low + (high - low) * (z >> 11) as f64 / (1_u64 << 53) as f64
    }
}

/// One set-up: the antenna as it is, the task as it is known, and the meter as it errs.
pub struct Bench {
    pub truth: Truth,
    pub tuning: Tuning,
    dice: Dice,
    /// Where the first trial is made; `None` follows the advice.
    pub start: Option<f64>,
    forward_w: f64,
    /// Constant errors, as part of what is allowed: forward, reflected small and large range.
    gains: [f64; 3],
    pub leak: (f64, f64),
    accuracy: f64,
}

impl Bench {
    pub fn made(seed: u64, cut: bool) -> Self {
        let mut dice = Dice(seed);
        let frequency_mhz = dice.between(87.5, 108.0);
        let diameter_mm = dice.between(3.0, 25.0);
        let straight = dice.between(0.0, 1.0) < 0.4;
        // Half of the antennas are shifted by their mounts, the others are set wrongly at first.
        let shifted = dice.between(0.0, 1.0) < 0.5;
        let error = dice.between(-0.08, 0.08);
        // A cut rod starts at half a wavelength, long for every mount up to 3 % shorter.
        let stretch = match (shifted, cut) {
            (false, _) => 1.0,
            (true, false) => 1.0 + error,
            (true, true) => 1.0 + error * 0.4,
        };
        let matching = if straight { Matching::Straight } else { Matching::Section };
        let residual = dice.between(0.93, 1.08);
        let steepness = dice.between(0.9, 1.15);
        let truth = Truth::new(frequency_mhz, diameter_mm, matching, stretch, residual, steepness);
        let directivity_db = dice.between(20.0, 30.0);
        let phase = dice.between(0.0, std::f64::consts::TAU);
        // The coupler is as good as stated or better.
        let leak = 10.0_f64.powf(-directivity_db / 20.0) * dice.between(0.3, 1.0);
        let frequency = Megahertz::new(frequency_mhz).unwrap();
        let mut antenna = Antenna {
            frequency,
            diameter: Millimetres::new(diameter_mm).unwrap(),
            adjustment: Adjustment::CutToLength,
            matching,
        };
        let predicted = antenna.predicted().value();
        if !cut {
            antenna.adjustment = Adjustment::Adjustable(Interval::between(
                Millimetres::new(predicted * 0.86).unwrap(),
                Millimetres::new(predicted * 1.14).unwrap(),
            ));
        }
        let start = (!shifted && !cut).then_some(truth.best * (1.0 + error));
        Self {
            tuning: Tuning {
                antenna,
                directivity: Some(DirectivityDb::new(directivity_db).unwrap()),
                target: Swr::new(if straight { 1.45 } else { 1.1 }).unwrap(),
            },
            start,
            forward_w: dice.between(50.0, 98.0),
            gains: [0, 1, 2].map(|_| dice.between(-1.0, 1.0)),
            leak: (leak * phase.cos(), leak * phase.sin()),
            accuracy: 5.0,
            truth,
            dice,
        }
    }

    /// What the meter shows at a setting.
    pub fn trial(&mut self, upper: f64, lower: f64) -> Trial {
        let setting = (upper + lower) / 2.0;
        let (re, im) = self.truth.complex_reflection(setting);
        let leaked = (re + self.leak.0).hypot(im + self.leak.1).min(1.0);
        let reflected = self.forward_w * leaked * leaked;
        let small = reflected < 8.0;
        let scale = if small { 10.0 } else { 100.0 };
        let allowed = |scale: f64| scale * self.accuracy / 100.0;
        let forward = self.forward_w + self.gains[0] * allowed(100.0) * self.forward_w / 100.0;
        let gain = self.gains[if small { 1 } else { 2 }];
        // Half of the constant error is at zero, half grows with the reading.
        let off = gain * allowed(scale) * (0.5 + 0.5 * reflected / scale);
        let step = scale / 100.0;
        let noise = self.dice.between(-0.5, 0.5) * step;
        let shown = ((reflected + off + noise) / step).round() * step;
        let write = |watts: f64, fine: bool| {
            let text = if fine { format!("{watts:.1}") } else { format!("{watts:.0}") };
            Typed::<Watts>::parse(&text).unwrap()
        };
        let powers = Powers {
            forward: write(forward, false),
            reflected: if shown < step / 2.0 {
                Reflected::Below(write(step, small))
            } else {
                Reflected::Shown(write(shown.min(forward.round()), small))
            },
        };
        let range = |full_scale: f64| Range {
            full_scale: Watts::new(full_scale).unwrap(),
            accuracy: Percent::new(self.accuracy).unwrap(),
        };
        let meter = Meter {
            forward: range(100.0),
            reflected: range(scale),
            directivity: self.tuning.directivity,
        };
        Trial {
            upper: Millimetres::new(upper).unwrap(),
            lower: Millimetres::new(lower).unwrap(),
            seen: Some(meter.measure(&powers).unwrap()),
            step: powers.step(),
        }
    }

    fn first(&self) -> f64 {
        if let Some(start) = self.start {
            return start.round();
        }
        match self.tuning.advise(&[]).advice {
            Advice::StartHere { setting, .. } => setting.value(),
            other => panic!("no start: {other:?}"),
        }
    }
}

pub struct Outcome {
    pub trials: Vec<Trial>,
    pub advice: Advice,
}

/// Follows the advice until it stops; never longer than 30 trials.
pub fn tune(bench: &mut Bench) -> Outcome {
    let start = bench.first();
    let mut trials = vec![bench.trial(start, start)];
    loop {
        let advised = bench.tuning.advise(&trials);
        let Advice::Change { upper, lower, .. } = advised.advice else {
            return Outcome { trials, advice: advised.advice };
        };
        if let Adjustment::Adjustable(range) = bench.tuning.antenna.adjustment {
            assert!(range.contains(upper) && range.contains(lower), "out of the range");
        }
        if trials.len() >= 30 {
            return Outcome { trials, advice: advised.advice };
        }
        trials.push(bench.trial(upper.value(), lower.value()));
    }
}

/// What a person needs who goes on in steps and halves and turns when it gets worse, to come
/// within 3 mm: the way without advice.
pub fn by_halving(bench: &mut Bench) -> usize {
    let share = |trial: &Trial| trial.seen.unwrap().point.value();
    let target = bench.tuning.target.reflection().value();
    let mut setting = bench.first();
    let mut last = share(&bench.trial(setting, setting));
    let mut step = -20.0_f64;
    let mut count = 1;
    while step.abs() >= 1.5 && count < 60 && last > target {
        setting += step;
        let now = share(&bench.trial(setting, setting));
        count += 1;
        if now >= last {
            step = -step / 2.0;
        }
        last = now;
    }
    count
}
