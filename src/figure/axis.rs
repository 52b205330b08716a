//! A linear axis: from values to pixels, with ticks at round numbers.

/// A stretch of values laid over a stretch of pixels.
#[derive(Debug, Clone, Copy)]
pub(super) struct Axis {
    low: f64,
    high: f64,
    from: f64,
    to: f64,
}

impl Axis {
    /// `low` lies at pixel `from`, `high` at pixel `to`; an empty stretch of values is widened.
    pub(super) fn new((low, high): (f64, f64), (from, to): (f64, f64)) -> Self {
        let low = if low.is_finite() { low } else { 0.0 };
        let high = if high.is_finite() && high > low { high } else { low + 1.0 };
        Self { low, high, from, to }
    }

    pub(super) const fn low(&self) -> f64 {
        self.low
    }

    pub(super) const fn high(&self) -> f64 {
        self.high
    }

    /// The pixel of a value, kept on the axis.
    pub(super) fn at(&self, value: f64) -> f64 {
        let share = (value.clamp(self.low, self.high) - self.low) / (self.high - self.low);
        let share = if share.is_nan() { 0.0 } else { share };
        self.from + share * (self.to - self.from)
    }

    pub(super) fn holds(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Round values on the axis, at most about `most` of them.
    pub(super) fn ticks(&self, most: f64) -> Vec<f64> {
        let step = round_step((self.high - self.low) / most.max(1.0));
        let first = (self.low / step - 1e-6).ceil();
        let mut ticks = Vec::new();
        let mut index = 0.0;
        while (first + index) * step <= self.high + step * 1e-6 && ticks.len() < 60 {
            ticks.push((first + index) * step);
            index += 1.0;
        }
        ticks
    }
}

/// The least of 1, 2, 5 times a power of ten that is no less than `least`.
pub(super) fn round_step(least: f64) -> f64 {
    if !least.is_finite() || least <= 0.0 {
        return 1.0;
    }
    let power = 10_f64.powf(least.log10().floor());
    [1.0, 2.0, 5.0]
        .into_iter()
        .map(|digit| digit * power)
        .find(|step| *step >= least * (1.0 - 1e-9))
        .unwrap_or(10.0 * power)
}

/// A value as people write it: at most `decimals` decimals, no trailing zeros.
pub(super) fn plain(value: f64, decimals: usize) -> String {
    if !value.is_finite() {
        return if value > 0.0 { "∞".to_owned() } else { "?".to_owned() };
    }
    let text = format!("{value:.decimals$}");
    let text =
        if text.contains('.') { text.trim_end_matches('0').trim_end_matches('.') } else { &text };
    if text == "-0" { "0".to_owned() } else { text.replace('-', "−") }
}

/// Every tick with as many decimals as the axis needs, so that they line up.
pub(super) fn tick_texts(ticks: &[f64]) -> Vec<String> {
    let decimals = ticks
        .iter()
        .map(|tick| plain(*tick, 3).split_once('.').map_or(0, |(_, rest)| rest.len()))
        .max()
        .unwrap_or(0);
    ticks.iter().map(|tick| format!("{tick:.decimals$}").replace('-', "−")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ticks_are_round_and_on_the_axis() {
        let axis = Axis::new((1.0, 1.83), (0.0, 300.0));
        assert_eq!(tick_texts(&axis.ticks(5.0)), ["1.0", "1.2", "1.4", "1.6", "1.8"]);
        let axis = Axis::new((0.0, 150.0), (0.0, 300.0));
        assert_eq!(tick_texts(&axis.ticks(6.0)), ["0", "50", "100", "150"]);
        let axis = Axis::new((706.0, 741.0), (0.0, 300.0));
        assert_eq!(tick_texts(&axis.ticks(4.0)), ["710", "720", "730", "740"]);
    }

    #[test]
    fn values_that_are_no_numbers_stay_on_the_axis() {
        let axis = Axis::new((f64::NAN, f64::INFINITY), (10.0, 20.0));
        for value in [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 0.5] {
            assert!((10.0..=20.0).contains(&axis.at(value)));
        }
        assert_eq!(plain(f64::INFINITY, 2), "∞");
        assert_eq!(plain(1.0999999, 2), "1.1");
        assert_eq!(plain(100.0, 0), "100");
    }
}
