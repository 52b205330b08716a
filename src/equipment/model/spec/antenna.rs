//! Antennas.

use serde::{Deserialize, Serialize};

use crate::equipment::model::spec::{Declared, stated};
use crate::rf::quantity::{GainDbd, Metres, Millimetres, Typed, Watts};
use crate::words::words;

words! {
    /// What a direct-current test sees at an antenna's terminals.
    DcState {
        /// Inner and outer are joined: a DC-grounded antenna.
        Short = "short" / "short (DC-grounded)",
        /// They are not.
        Open = "open" / "open",
    }
}

words! {
    /// How an antenna's length is set.
    Setting {
        /// Telescopic or sliding ends: longer and shorter.
        Adjustable = "adjustable" / "adjustable",
        /// Metal comes off and does not go back on.
        CutToLength = "cut-to-length" / "cut to length",
    }
}

words! {
    /// What stands between a straight dipole's 72 Ω and the line's 50 Ω.
    Matching {
        /// A matching section: the antenna can come to 1.0.
        Section = "section" / "matching section to 50 Ω",
        /// Nothing: a straight dipole has a floor of about 1.42 on 50 Ω.
        None = "none" / "none (straight dipole)",
    }
}

/// A half-wave dipole, fed in the middle.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct HalfWaveDipole {
    /// How its length is set.
    pub setting: Setting,
    /// Diameter of the element.
    pub element_diameter: Typed<Millimetres>,
    /// The shortest setting of each half, from the middle of the feed gap to the tip.
    pub shortest: Typed<Millimetres>,
    /// The longest setting of each half.
    pub longest: Typed<Millimetres>,
    /// What matches it to the line.
    pub matching: Matching,
    /// Gain in the direction of the most, as the maker states or the pattern gives.
    pub gain: Typed<GainDbd>,
    /// What a DC test sees.
    pub dc_state: DcState,
    /// The most power it may take; `None` where none is stated.
    pub rated_power: Option<Typed<Watts>>,
    /// Height of its centre above ground, as designed.
    pub height: Typed<Metres>,
    /// Distance of the element from the structure, where it stands beside it.
    pub spacing: Option<Typed<Metres>>,
}

impl HalfWaveDipole {
    /// See [`Spec::declared`](crate::equipment::model::Spec::declared).
    pub(super) fn declared(&self) -> Declared {
        vec![
            ("length is", self.setting.shown().to_owned()),
            ("each half", format!("{} to {}", self.shortest.text(), self.longest)),
            ("element diameter", self.element_diameter.to_string()),
            ("match", self.matching.shown().to_owned()),
            ("gain", self.gain.to_string()),
            ("DC test sees", self.dc_state.shown().to_owned()),
            ("rated power", stated(self.rated_power.as_ref())),
            ("height of centre", self.height.to_string()),
            (
                "from the structure",
                self.spacing.as_ref().map_or("not beside it".to_owned(), ToString::to_string),
            ),
        ]
    }
}
