//! The advice with its numbers, and its words.

use crate::rf::element::{Matching, inches};
use crate::rf::quantity::{
    MillimetreChange, Millimetres, Quantity, ReflectedShare, Reflection, Swr,
};
use crate::rf::reflection::KnownReflection;

/// Said wherever someone is asked to touch the element.
pub const RF_OFF: &str = "RF off before anyone touches the element.";

/// An end of the adjustment range.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum End {
    /// The longest setting.
    Longest,
    /// The shortest setting.
    Shortest,
}

/// Why an element is not cut further.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum NoCut {
    /// More comes back since the last cut, or the curve says that the best length is behind.
    Passed,
    /// There is one trial only, and the element is already short of the prediction.
    TooShortToTell,
    /// Some length seems to remain, but less than can be cut without a risk of going past.
    CannotExclude {
        /// The best setting by the curve.
        best: Millimetres,
        /// How far the true best setting may lie from `best`, to either side.
        about: Millimetres,
        /// Directivity is not stated: `about` is a least value.
        at_least: bool,
    },
}

/// What to do next on the stand. Settings are of one half, reflections at the antenna input.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Advice {
    /// No trial yet: begin with this setting.
    StartHere {
        /// Setting of both halves.
        setting: Millimetres,
        /// The best setting by the end effect of the rod, in free space.
        predicted: Millimetres,
        /// Half a wavelength in free space, tip to tip.
        half_wave: Millimetres,
        /// The range of adjustment does not reach the prediction.
        limited: bool,
        /// The element can only be cut, so that it begins long.
        cut: bool,
    },
    /// Set both halves to another length.
    Change {
        /// New setting of the upper half.
        upper: Millimetres,
        /// New setting of the lower half.
        lower: Millimetres,
        /// By how much the upper half changes.
        upper_by: MillimetreChange,
        /// By how much the lower half changes.
        lower_by: MillimetreChange,
        /// How well this meter can place the best setting, to either side.
        about: Millimetres,
        /// Directivity is not stated: `about` is a least value.
        at_least: bool,
        /// One trial cannot tell long from short: this step finds out.
        probing: bool,
        /// The trials do not lie on one curve.
        scattered: bool,
        /// The change is a cut.
        cut: bool,
    },
    /// Stop: the target is met, as read.
    TargetMet {
        /// Where the element stands.
        setting: Millimetres,
        /// What was read.
        seen: KnownReflection,
        /// The target.
        target: Swr,
    },
    /// Stop: the gain to be expected is smaller than the meter can show.
    GainTooSmall {
        /// Where the element stands.
        setting: Millimetres,
        /// The best setting by the curve.
        best: Millimetres,
        /// How far the true best setting may lie from `best`, to either side.
        about: Millimetres,
        /// Directivity is not stated: `about` is a least value.
        at_least: bool,
        /// The share of power that the curve says could still be gained.
        gain: ReflectedShare,
        /// What was read.
        seen: KnownReflection,
    },
    /// Stop: the best length still reflects more than the target.
    MatchLeft {
        /// Where the element stands.
        setting: Millimetres,
        /// The best setting by the curve.
        best: Millimetres,
        /// How far the true best setting may lie from `best`, to either side.
        about: Millimetres,
        /// Directivity is not stated: `about` is a least value.
        at_least: bool,
        /// The least SWR that length reaches.
        floor: Swr,
        /// How the antenna is joined to the line.
        matching: Matching,
    },
    /// Stop: the range of adjustment ends before the best setting.
    EndOfRange {
        /// Which end.
        end: End,
        /// Where the element stands.
        setting: Millimetres,
        /// How much further the best setting seems to lie.
        beyond: Millimetres,
        /// What was read.
        seen: KnownReflection,
    },
    /// Stop cutting: the element is at or below its best length, or that cannot be excluded.
    DoNotCut {
        /// Why.
        reason: NoCut,
        /// Where the element stands.
        setting: Millimetres,
        /// The best setting by the end effect of the rod, in free space.
        predicted: Millimetres,
        /// What was read.
        seen: KnownReflection,
    },
    /// More comes back than a healthy antenna of this kind sends: not a matter of length.
    TestTheCable {
        /// The share that comes back; `None` when it would be more than everything.
        share: Option<ReflectedShare>,
        /// The most that this antenna shows when its length is 10 % off.
        healthy: ReflectedShare,
    },
}

impl Advice {
    /// Whether tuning by length ends here.
    #[must_use]
    pub fn stops(&self) -> bool {
        !matches!(self, Self::StartHere { .. } | Self::Change { .. })
    }

    /// The advice in one short sentence.
    #[must_use]
    pub fn headline(&self) -> String {
        match self {
            Self::StartHere { setting, cut, .. } => {
                let verb = if *cut { "Cut" } else { "Set" };
                format!("{verb} both halves to {}.", both_units(*setting))
            }
            Self::Change { upper_by, lower_by, cut, .. } => change(*upper_by, *lower_by, *cut),
            Self::TargetMet { seen, target, .. } => {
                let up_to = if seen.ceiling { "of at most " } else { "" };
                format!("Stop: SWR {up_to}{:.2} meets the target of {target:.2}.", seen.point.swr())
            }
            Self::GainTooSmall { .. } => {
                "Stop: this meter cannot show whether another setting is better.".to_owned()
            }
            Self::MatchLeft { .. } => "Stop: the length is done, the match is left.".to_owned(),
            Self::EndOfRange { end, .. } => format!(
                "Stop: this is the {} setting of the range.",
                match end {
                    End::Longest => "longest",
                    End::Shortest => "shortest",
                }
            ),
            Self::DoNotCut { .. } => "Do not cut any further.".to_owned(),
            Self::TestTheCable { .. } => "Switch off and test the cable.".to_owned(),
        }
    }

    /// Why, how sure, and what to mind: one to four sentences.
    #[must_use]
    pub fn explanation(&self) -> String {
        match self {
            Self::StartHere { .. } => self.explain_start(),
            Self::Change { .. } => self.explain_change(),
            Self::TargetMet { setting, seen, .. } => {
                format!("{} Lock and mark the setting of {setting:.0}. {RF_OFF}", left_open(seen))
            }
            Self::GainTooSmall { best, about, at_least, gain, seen, .. } => format!(
                "The best setting is {best:.0} {}; at most {:.1} of the power could still be \
                 gained. {} {RF_OFF}",
                plus_minus(*about, *at_least),
                gain.percent(),
                left_open(seen)
            ),
            Self::MatchLeft { .. } => self.explain_match(),
            Self::EndOfRange { end, beyond, seen, .. } => format!(
                "The best setting seems to lie about {beyond:.0} {} on each half; SWR is {:.2}. \
                 Check frequency, rods and fittings, and metal nearby. {RF_OFF}",
                match end {
                    End::Longest => "longer",
                    End::Shortest => "shorter",
                },
                seen.point.swr()
            ),
            Self::DoNotCut { .. } => self.explain_no_cut(),
            Self::TestTheCable { share, healthy } => {
                let returned = match share {
                    Some(share) => format!("{:.0} of the power comes back", share.percent()),
                    None => "By the declared loss more comes back than goes out".to_owned(),
                };
                format!(
                    "{returned}; this antenna, if healthy, shows at most {:.0} even when its \
                     length is 10 % off. Check cable, connectors and feed point for a short or an \
                     open, and the declared loss. {RF_OFF}",
                    healthy.percent()
                )
            }
        }
    }

    fn explain_start(&self) -> String {
        let Self::StartHere { setting, predicted, half_wave, limited, cut } = self else {
            return String::new();
        };
        let why = if *cut {
            format!(
                "That is half a wavelength of {half_wave:.0}, longer than any best length (about \
                 {predicted:.0} a half is expected): what is cut cannot be put back."
            )
        } else {
            format!(
                "{:.0} tip to tip: half a wavelength of {half_wave:.0}, shortened by the end \
                 effect of this rod, clear of metal and ground.",
                Millimetres::nearest(setting.value() * 2.0)
            )
        };
        let limit = if *limited {
            format!(" The range of adjustment does not reach the expected {predicted:.0}.")
        } else {
            String::new()
        };
        format!("{why}{limit} {RF_OFF}")
    }

    fn explain_change(&self) -> String {
        let Self::Change { upper, lower, about, at_least, probing, scattered, cut, .. } = self
        else {
            return String::new();
        };
        let to = if (upper.value() - lower.value()).abs() < 0.05 {
            format!("To {}.", both_units(*upper))
        } else {
            format!("To {upper:.0} above and {lower:.0} below.")
        };
        let why = match (probing, cut) {
            (_, true) => " That is at most half of what is expected to remain.".to_owned(),
            (true, false) => {
                " One reading cannot tell long from short: this step finds out.".to_owned()
            }
            (false, false) => {
                format!(" This meter can place the best setting {}.", plus_minus(*about, *at_least))
            }
        };
        let scatter = if *scattered {
            " The trials do not lie on one curve: check that nothing else moved, and that nobody \
             stood near."
        } else {
            ""
        };
        format!("{to}{why}{scatter} {RF_OFF}")
    }

    fn explain_no_cut(&self) -> String {
        let Self::DoNotCut { reason, setting, predicted, seen } = self else {
            return String::new();
        };
        let swr = seen.point.swr();
        let why = match reason {
            NoCut::Passed => format!(
                "At {setting:.0} the element has reached or passed its best length; SWR is \
                 {swr:.2}. Check frequency, surroundings and match; a longer rod is the way back."
            ),
            NoCut::TooShortToTell => format!(
                "At {setting:.0} it is shorter than expected ({predicted:.0}), and one reading \
                 cannot tell long from short; SWR is {swr:.2}. Check frequency and surroundings, \
                 or lengthen it for a trial with a sleeve or clip."
            ),
            NoCut::CannotExclude { best, about, at_least } => format!(
                "At {setting:.0} the best length seems to be {best:.0} {}: a further cut could go \
                 past it. {} A meter of higher directivity can show more.",
                plus_minus(*about, *at_least),
                left_open(seen)
            ),
        };
        format!("{why} {RF_OFF}")
    }

    fn explain_match(&self) -> String {
        let Self::MatchLeft { best, about, at_least, floor, matching, .. } = self else {
            return String::new();
        };
        let why = match matching {
            Matching::Straight => {
                "a straight half-wave dipole has about 72 Ω and on 50 Ω no better than about 1.42"
            }
            Matching::Section => "what is left is not length",
        };
        format!(
            "The best setting is {best:.0} {} with SWR {floor:.2}: {why}. Droop, tap, coil and \
             strap are settings too, where the antenna has them. {RF_OFF}",
            plus_minus(*about, *at_least)
        )
    }
}

/// "Lengthen both halves by 4 mm.", or each half by itself.
fn change(upper: MillimetreChange, lower: MillimetreChange, cut: bool) -> String {
    let by = |change: MillimetreChange| {
        let length = Millimetres::nearest(change.value().abs());
        match (change.value() < 0.0, cut) {
            (true, true) => format!("cut {length:.0} from"),
            (true, false) => format!("shorten by {length:.0}"),
            (false, _) => format!("lengthen by {length:.0}"),
        }
    };
    let whole = |change: MillimetreChange| change.value().round();
    if (whole(upper) - whole(lower)).abs() < 0.5 {
        let length = Millimetres::nearest(upper.value().abs());
        return match (upper.value() < 0.0, cut) {
            (true, true) => format!("Cut {length:.0} from both halves."),
            (true, false) => format!("Shorten both halves by {length:.0}."),
            (false, _) => format!("Lengthen both halves by {length:.0}."),
        };
    }
    let mut halves = Vec::new();
    for (name, change) in [("upper", upper), ("lower", lower)] {
        if whole(change).abs() >= 1.0 {
            let words = by(change);
            halves.push(if cut {
                format!("{words} the {name} half")
            } else {
                words.replacen(" by", &format!(" the {name} half by"), 1)
            });
        }
    }
    let text = halves.join(" and ");
    let mut letters = text.chars();
    match letters.next() {
        Some(first) => format!("{}{}.", first.to_uppercase(), letters.as_str()),
        None => "Leave both halves as they are.".to_owned(),
    }
}

fn both_units(length: Millimetres) -> String {
    format!("{length:.0} ({})", inches(length))
}

fn plus_minus(about: Millimetres, at_least: bool) -> String {
    let about = about.value().max(1.0);
    if at_least {
        format!("± {about:.0} mm or more (directivity not stated)")
    } else {
        format!("± {about:.0} mm")
    }
}

/// "The meter leaves SWR 1.05 to 1.21 open."
fn left_open(seen: &KnownReflection) -> String {
    let open = seen.interval.map(Reflection::swr);
    let more = if seen.at_least { " or more, as its directivity is not stated" } else { "" };
    format!("The meter leaves SWR {:.2} to {:.2}{more} open.", open.low(), open.high())
}
