//! Whether a measured value meets a limit, when the value is only known to lie in an interval.
//! The terms are those of JCGM 106:2012, "The role of measurement uncertainty in conformity
//! assessment".

use crate::rf::quantity::{Interval, Quantity};
use crate::rf::reflection::KnownReflection;
use std::fmt;

/// A measured value as a decision needs it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Evidence<Q> {
    /// The value as read or computed.
    pub point: Q,
    /// Where the true value lies.
    pub interval: Interval<Q>,
    /// The true interval is wider by something that the instrument does not state.
    pub at_least: bool,
}

impl<Q: Quantity> Evidence<Q> {
    /// A value taken as exact, such as a count or a declared figure.
    #[must_use]
    pub fn exact(point: Q) -> Self {
        Self { point, interval: Interval::point(point), at_least: false }
    }
}

impl From<&KnownReflection> for Evidence<crate::rf::quantity::Swr> {
    fn from(known: &KnownReflection) -> Self {
        Self { point: known.point.swr(), interval: known.swr_interval(), at_least: known.at_least }
    }
}

/// The values that are allowed, ends included.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Limit<Q> {
    /// Not above this.
    AtMost(Q),
    /// Not below this.
    AtLeast(Q),
    /// Between two ends.
    Between(Interval<Q>),
}

impl<Q: Quantity> Limit<Q> {
    /// Whether one value is allowed.
    #[must_use]
    pub fn allows(&self, value: Q) -> bool {
        self.allowed().contains(value)
    }

    /// The allowed values as an interval, to the end of what the quantity can be.
    #[must_use]
    pub fn allowed(&self) -> Interval<Q> {
        let all = Interval::<Q>::whole();
        match *self {
            Self::AtMost(greatest) => Interval::between(all.low(), greatest),
            Self::AtLeast(least) => Interval::between(least, all.high()),
            Self::Between(allowed) => allowed,
        }
    }
}

impl<Q: Quantity> fmt::Display for Limit<Q> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::AtMost(greatest) => write!(f, "at most {greatest}"),
            Self::AtLeast(least) => write!(f, "at least {least}"),
            Self::Between(allowed) => write!(f, "{} to {}", allowed.low(), allowed.high()),
        }
    }
}

/// Who may accept a value whose interval reaches over the limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Rule<Who> {
    /// Guarded acceptance: nobody; the whole interval must lie within the limit.
    Guarded,
    /// Simple acceptance: a named kind of person may, on the point value.
    Simple {
        /// Who may.
        who: Who,
    },
}

/// What is decided of a value against a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Decision<Who> {
    /// The whole interval lies within the limit.
    Passed,
    /// The whole interval lies outside the limit.
    Failed,
    /// The limit lies inside the interval, or the instrument does not state its whole error.
    NotShown {
        /// Whether the point value by itself is within the limit.
        point_within: bool,
        /// Who may accept on the point value; only when it is within and the rule is simple.
        may_accept: Option<Who>,
    },
}

/// Decides a value against a limit by a rule.
///
/// An interval wholly inside passes, wholly outside fails. Where the limit lies inside it nothing
/// is shown: the rule says who may still accept the point value. An interval that is only a
/// least one never passes by itself, since what is not stated may reach over the limit.
///
/// Source: JCGM 106:2012, 8.2 (simple acceptance) and 8.3 (guard bands), with the guard band
/// equal to the interval's half width; clause numbers from memory.
#[must_use]
pub fn decide<Q: Quantity, Who: Clone>(
    evidence: &Evidence<Q>,
    limit: &Limit<Q>,
    rule: &Rule<Who>,
) -> Decision<Who> {
    let allowed = limit.allowed();
    if !evidence.interval.meets(&allowed) {
        return Decision::Failed;
    }
    if evidence.interval.within(&allowed) && !evidence.at_least {
        return Decision::Passed;
    }
    let point_within = limit.allows(evidence.point);
    let may_accept = match rule {
        Rule::Simple { who } if point_within => Some(who.clone()),
        Rule::Simple { .. } | Rule::Guarded => None,
    };
    Decision::NotShown { point_within, may_accept }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rf::quantity::Swr;
    use proptest::prelude::*;

    fn evidence(low: f64, point: f64, high: f64) -> Evidence<Swr> {
        Evidence {
            point: Swr::nearest(point),
            interval: Interval::between(Swr::nearest(low), Swr::nearest(high)),
            at_least: false,
        }
    }

    const ENGINEER: Rule<&str> = Rule::Simple { who: "engineer" };

    #[test]
    fn four_cases_of_a_limit() {
        // The four cases drawn in JCGM 106:2012, figure 4: well inside, over the limit from
        // inside, over the limit from outside, well outside.
        let limit = Limit::AtMost(Swr::nearest(1.5));
        let decided = |evidence| decide(&evidence, &limit, &ENGINEER);
        assert_eq!(decided(evidence(1.1, 1.2, 1.3)), Decision::Passed);
        assert_eq!(
            decided(evidence(1.3, 1.4, 1.6)),
            Decision::NotShown { point_within: true, may_accept: Some("engineer") }
        );
        assert_eq!(
            decided(evidence(1.4, 1.55, 1.7)),
            Decision::NotShown { point_within: false, may_accept: None }
        );
        assert_eq!(decided(evidence(1.6, 1.8, 2.0)), Decision::Failed);
    }

    #[test]
    fn guarded_acceptance_lets_nobody_decide_on_the_point() {
        let limit = Limit::AtMost(Swr::nearest(1.5));
        let decided = decide(&evidence(1.3, 1.4, 1.6), &limit, &Rule::<&str>::Guarded);
        assert_eq!(decided, Decision::NotShown { point_within: true, may_accept: None });
    }

    #[test]
    fn a_least_interval_never_passes_by_itself() {
        let limit = Limit::AtMost(Swr::nearest(1.5));
        let mut unstated = evidence(1.1, 1.2, 1.3);
        unstated.at_least = true;
        assert!(matches!(
            decide(&unstated, &limit, &ENGINEER),
            Decision::NotShown { point_within: true, .. }
        ));
    }

    #[test]
    fn limits_print_and_include_their_ends() {
        let between = Limit::Between(Interval::between(Swr::nearest(1.1), Swr::nearest(1.5)));
        assert!(between.allows(Swr::nearest(1.1)) && between.allows(Swr::nearest(1.5)));
        assert_eq!(between.to_string(), "1.1 to 1.5");
        assert_eq!(Limit::AtLeast(Swr::nearest(1.1)).to_string(), "at least 1.1");
    }

    proptest! {
        #[test]
        fn a_wider_interval_never_decides_what_a_narrow_one_did_not(
            point in 1.2..3.0, half in 0.0..0.1, more in 0.0..0.1, limit in 1.1..3.0
        ) {
            let limit = Limit::AtMost(Swr::nearest(limit));
            let narrow = decide(&evidence(point - half, point, point + half), &limit, &ENGINEER);
            let wide = half + more;
            let wide = decide(&evidence(point - wide, point, point + wide), &limit, &ENGINEER);
            let open = matches!(wide, Decision::NotShown { .. });
            prop_assert!(wide == narrow || open);
        }
    }
}
