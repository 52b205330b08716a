//! The exclusion distances of a site as finished text, for every page that shows them.

use crate::equipment::exposure::{Clearance, LOW_POWER, SiteExposure, StationExposure, shown};
use crate::rf::exposure::Distance;
use crate::rf::quantity::{Metres, Quantity};

/// A line of the table: whose power, and the four distances.
#[derive(Debug, Clone)]
pub struct ReachView {
    /// `98.4 MHz, Ternfold Radio`, or all together.
    pub whose: String,
    /// ERP and height, or how many stations.
    pub of: String,
    /// Public, at full power.
    pub public_full: String,
    /// Controlled, at full power.
    pub controlled_full: String,
    /// Public, at reduced power.
    pub public_low: String,
    /// Controlled, at reduced power.
    pub controlled_low: String,
}

/// The distances of a site for the macros of `templates/equipment/exposure.html`.
#[derive(Debug, Clone)]
pub struct ExposureView {
    /// Each station alone, then all summed where there are several.
    pub rows: Vec<ReachView>,
    /// What the figure says of the public.
    pub said: String,
    /// The mark beside it.
    pub mark: &'static str,
    /// Clearance, share and validity, as names and values.
    pub facts: Vec<(&'static str, String)>,
    /// Limits, ground and source.
    pub rule: String,
}

fn station(one: &StationExposure) -> ReachView {
    ReachView {
        whose: one.station.clone(),
        of: format!("ERP {:.0} ({}), centre {:.1} up", one.erp, one.erp_from, one.height),
        public_full: one.shown(one.full.public),
        controlled_full: one.shown(one.full.controlled),
        public_low: one.shown(one.low.public),
        controlled_low: one.shown(one.low.controlled),
    }
}

impl ExposureView {
    /// The distances as finished text.
    #[must_use]
    pub fn of(site: &SiteExposure) -> Self {
        let mut rows: Vec<ReachView> = site.stations.iter().map(station).collect();
        if site.shared() {
            let all = |formula: Metres| shown(Distance { formula, near_bound: site.near_bound });
            rows.push(ReachView {
                whose: "All stations summed".to_owned(),
                of: format!("{} stations, as if at one place", site.stations.len()),
                public_full: all(site.full.public),
                controlled_full: all(site.full.controlled),
                public_low: all(site.low.public),
                controlled_low: all(site.low.controlled),
            });
        }
        let place = if site.on_roof { "the roof" } else { "the ground" };
        let share = site.share_below.value() * 100.0;
        let share = if share.is_finite() {
            format!("{share:.1} % by the formula, straight below and with no regard to patterns")
        } else {
            "not reckoned: the antenna is no higher than people’s heads".to_owned()
        };
        Self {
            rows,
            said: site.said(),
            mark: match site.verdict {
                Clearance::Within => "tick",
                Clearance::Beyond | Clearance::NotValid => "ring",
            },
            facts: vec![
                (
                    "Lowest antenna above people’s heads",
                    format!("{:.1}, people standing on {place} (2 m to the head)", site.clearance),
                ),
                ("Share of the public limit there, all stations", share),
                (
                    "Formula valid beyond",
                    format!("{:.1} (the greater of λ/2π and 2D²/λ)", site.near_bound),
                ),
                (
                    "Reduced power",
                    format!("{LOW_POWER} of full power, for the first RF on the antenna"),
                ),
            ],
            rule: site.rule.clone(),
        }
    }
}
