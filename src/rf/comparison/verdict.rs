//! The words for what a comparison shows, and what to check next, cheapest first.

use crate::rf::quantity::{Interval, Megahertz, Swr};
use std::fmt;

/// Printed beside every verdict.
pub const NOT_SHOWN_BY_SWR: &str = "SWR does not show pattern, gain, radiated power or a bay \
    mounted upside down: they need their own measurement.";

/// Printed above every list of checks.
pub const CHECKS_CAUTION: &str = "Switch RF off and lock it off before anyone climbs or touches \
    line or antenna. Local rules and licensed practice come first; this record is not a permit.";

/// Why nothing is said about a change.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Unsaid {
    /// There is no reading from the stand.
    NoStandReading,
    /// There is no installed reading.
    NoInstalledReading,
    /// The two were read at different frequencies.
    OtherFrequency {
        /// On the stand.
        stand: Megahertz,
        /// Installed.
        installed: Megahertz,
    },
    /// The difference could be the leakage of a meter whose directivity is not stated.
    DirectivityNotStated,
}

impl fmt::Display for Unsaid {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NoStandReading => f.write_str("there is no reading from the stand"),
            Self::NoInstalledReading => f.write_str("there is no installed reading yet"),
            Self::OtherFrequency { stand, installed } => write!(
                f,
                "the stand reading was taken at {stand}, the installed one at {installed}"
            ),
            Self::DirectivityNotStated => f.write_str(
                "the difference could be the meter's own: its directivity is not stated",
            ),
        }
    }
}

/// What is said of stand against installed. SWR figures are at the meter, except in `NoChange`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Verdict {
    /// The installed reading lies where it was expected.
    NoChange {
        /// The stand's SWR at the antenna input.
        from: Swr,
        /// To what SWR at the antenna input it could have changed without showing.
        to: Swr,
        /// A meter does not state its directivity: more could hide.
        at_least: bool,
    },
    /// More comes back than instruments, line, joints and mast explain.
    Worse {
        /// What the meter showed.
        read: Swr,
        /// What was expected there.
        expected: Interval<Swr>,
        /// Every part at its worst together would still explain it.
        at_worst: bool,
    },
    /// Less comes back than they explain: suspect too.
    Better {
        /// What the meter showed.
        read: Swr,
        /// What was expected there.
        expected: Interval<Swr>,
        /// Every part at its worst together would still explain it.
        at_worst: bool,
    },
    /// Nothing can be said.
    CannotBeSaid(Unsaid),
}

/// One thing to check, with what it would point to on either side.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CheckNext {
    /// What to check, as a request: "Check …".
    pub check: &'static str,
    /// What it would point to between meter and antenna.
    pub line: &'static str,
    /// What it would point to at or around the antenna.
    pub antenna: &'static str,
    /// Someone has to climb for it.
    pub climb: bool,
}

impl Verdict {
    /// The verdict in one sentence.
    #[must_use]
    pub fn headline(&self) -> String {
        match self {
            Self::NoChange { from, to, at_least } => format!(
                "No change that these instruments can show (smaller than from SWR {from:.2} to \
                 {to:.2}{} at the antenna input).",
                if *at_least { " or more" } else { "" }
            ),
            Self::Worse { read, expected, .. } => format!(
                "Changed by more than these instruments explain: SWR {read:.2} at the meter, \
                 {:.2} at most was expected.",
                expected.high()
            ),
            Self::Better { read, expected, .. } => format!(
                "Better than predicted by more than these instruments explain: SWR {read:.2} at \
                 the meter, {:.2} at least was expected.",
                expected.low()
            ),
            Self::CannotBeSaid(reason) => {
                format!("It cannot be said whether anything has changed: {reason}.")
            }
        }
    }

    /// What the verdict means and where it ends, in one or two sentences.
    #[must_use]
    pub fn explanation(&self) -> &'static str {
        match self {
            Self::NoChange { at_least: true, .. } => {
                "A meter does not state its directivity, so that a greater change could hide \
                 behind its leakage."
            }
            Self::NoChange { .. } => {
                "A smaller change may have happened; a meter of higher directivity or a sweep \
                 would show it."
            }
            Self::Worse { at_worst: true, .. } => {
                "Only every joint, part and instrument at its worst together would explain it. \
                 Check in this order."
            }
            Self::Worse { .. } => {
                "Something between meter and antenna, or at the antenna, differs from the stand. \
                 Check in this order."
            }
            Self::Better { at_worst: true, .. } => {
                "Only every joint, part and instrument at its worst together would explain it. A \
                 line that loses more than declared also hides reflection. Check in this order."
            }
            Self::Better { .. } => {
                "A line that loses more than declared, reflections that cancel, a wrong range or \
                 coupling to the mast read better too. Check in this order."
            }
            Self::CannotBeSaid(Unsaid::DirectivityNotStated) => {
                "Read again with a meter that states it, or compare both meters on one load."
            }
            Self::CannotBeSaid(_) => "Take the missing reading, at the same frequency.",
        }
    }

    /// What to check next, cheapest first; empty when nothing needs explaining.
    #[must_use]
    pub fn checks(&self) -> &'static [CheckNext] {
        match self {
            Self::Worse { .. } => WORSE,
            Self::Better { .. } => BETTER,
            Self::NoChange { .. } | Self::CannotBeSaid(_) => &[],
        }
    }
}

const SAME_WAY: CheckNext = CheckNext {
    check: "Check that meter, range, place and frequency are those that the record names, that \
            the transmitter does not fold back, and what the meter reads with it switched off.",
    line: "wrong range, meter put in another place",
    antenna: "signal of a neighbouring transmitter picked up by the antenna",
    climb: false,
};

const DUMMY_LOAD: CheckNext = CheckNext {
    check: "Check the meter with the dummy load in place of the line.",
    line: "meter or its joint, if the load reads badly too",
    antenna: "everything above, if the load reads well",
    climb: false,
};

const WORSE: &[CheckNext] = &[
    SAME_WAY,
    DUMMY_LOAD,
    CheckNext {
        check: "Check the jumper and the joints at the foot: look, tighten, exchange, read again.",
        line: "jumper or joint",
        antenna: "line, antenna or its surroundings, if nothing changes",
        climb: false,
    },
    CheckNext {
        check: "Check the reading with a through joint in place of the arrester.",
        line: "arrester",
        antenna: "line, antenna or its surroundings, if nothing changes",
        climb: false,
    },
    CheckNext {
        check: "Check photographs and marks against the stand: setting of both halves, spacing \
                to the mast, metal near half a wavelength long within a wavelength (guy segments, \
                stays, pipes, other antennas).",
        line: "jumper or joint at the antenna under strain",
        antenna: "setting moved, or metal nearby",
        climb: false,
    },
    CheckNext {
        check: "Check for water: low points and seals, DC state and insulation against the \
                record, and the reading on a dry day.",
        line: "water in line, jumper or joint",
        antenna: "water or ice at the feed point",
        climb: false,
    },
    CheckNext {
        check: "Check the line alone with a load at its top, by sweep or reading.",
        line: "line, its joints or kinks, if it reads badly into the load",
        antenna: "antenna or its surroundings, if it reads well",
        climb: true,
    },
    CheckNext {
        check: "Check the reading at the antenna's own connector at low power.",
        line: "everything below, if it reads as on the stand",
        antenna: "antenna, setting or metal nearby, if it does not",
        climb: true,
    },
];

const BETTER: &[CheckNext] = &[
    SAME_WAY,
    DUMMY_LOAD,
    CheckNext {
        check: "Check type and length of the line against the record, and the loss that was \
                declared.",
        line: "longer, thinner or older line than declared",
        antenna: "stand reading spoilt by metal or ground nearby",
        climb: false,
    },
    CheckNext {
        check: "Check the reading a little above and below the carrier, where it is allowed, or \
                by sweep.",
        line: "two reflections that cancel at the carrier only",
        antenna: "coupling to the mast that moves the best match",
        climb: false,
    },
    CheckNext {
        check: "Check photographs and marks against the stand: setting of both halves, spacing \
                to the mast, metal near half a wavelength long within a wavelength.",
        line: "jumper or joint at the antenna under strain",
        antenna: "setting moved, mast or metal nearby",
        climb: false,
    },
    CheckNext {
        check: "Check the loss of the line by sweep into a short or open at its top, or the power \
                that arrives there, and look for water.",
        line: "line that has become lossy: water, corrosion, a bad joint",
        antenna: "antenna that loses power without reflecting it",
        climb: true,
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::rf::quantity::Quantity;

    fn swr(value: f64) -> Swr {
        Swr::nearest(value)
    }

    #[test]
    fn says_it_in_plain_words() {
        let none = Verdict::NoChange { from: swr(1.2), to: swr(1.36), at_least: false };
        assert_eq!(
            none.headline(),
            "No change that these instruments can show (smaller than from SWR 1.20 to 1.36 at \
             the antenna input)."
        );
        let worse = Verdict::Worse {
            read: swr(1.62),
            expected: Interval::between(swr(1.1), swr(1.41)),
            at_worst: false,
        };
        assert_eq!(
            worse.headline(),
            "Changed by more than these instruments explain: SWR 1.62 at the meter, 1.41 at most \
             was expected."
        );
    }

    #[test]
    fn checks_are_requests_and_climbing_comes_last() {
        for list in [WORSE, BETTER] {
            assert!(list.iter().all(|next| next.check.starts_with("Check ")));
            assert!(list.iter().all(|next| !next.line.is_empty()));
            assert!(list.iter().all(|next| !next.antenna.is_empty()));
            let first_climb = list.iter().position(|next| next.climb).unwrap();
            assert!(list[first_climb..].iter().all(|next| next.climb));
        }
    }
}
