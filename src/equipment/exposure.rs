//! How far people keep from the antennas of a site, all its stations summed. A figure here is no
//! assessment: local rules decide, and near an antenna no formula holds.

mod view;

pub use view::{ExposureView, ReachView};

use serde::{Deserialize, Serialize};

use crate::equipment::budget::Budget;
use crate::equipment::model::Chain;
use crate::profiles::model::ExposureRule;
use crate::rf::decision::Evidence;
use crate::rf::element::{half_wave, wavelength};
use crate::rf::exposure::{Distance, distance, share, summed};
use crate::rf::quantity::{
    Interval, Megahertz, Metres, Percent, Quantity, Ratio, Watts, WattsPerSquareMetre, as_text,
};
use crate::sites::model::{Assignment, Polarization, Site, Structure};

/// The share of full power at which RF is put on the mast antenna first: common practice, about 10 %.
pub const LOW_POWER: Percent = Percent::fixed(10.0);

/// Where a standing person's head is above the ground (FCC OET Bulletin 65 reckons with 2 m).
const HEAD: Metres = Metres::fixed(2.0);

/// A station of the site.
#[derive(Debug, Clone, Copy)]
pub struct Station<'a> {
    /// Its assignment as it holds now.
    pub assignment: &'a Assignment,
    /// Its chain; `None` while it is not on the record.
    pub chain: Option<&'a Chain>,
    /// The height of its antenna's centre as it was measured, where it was.
    pub built: Option<Metres>,
}

/// How far people keep, by who may be there: from the formula, whether or not it is valid there.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Reach {
    /// Anybody.
    #[serde(rename = "public_m", with = "as_text")]
    pub public: Metres,
    /// Whoever knows of the exposure and can leave.
    #[serde(rename = "controlled_m", with = "as_text")]
    pub controlled: Metres,
}

/// What one station radiates and how far it reaches.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StationExposure {
    /// `98.4 MHz, Ternfold Radio`
    pub station: String,
    /// ERP of both planes together, at the top of the power tolerance.
    #[serde(rename = "erp_w", with = "as_text")]
    pub erp: Watts,
    /// Where that ERP is from.
    pub erp_from: String,
    /// Height of the antenna's centre above ground: the lowest of authorised, designed and built.
    #[serde(rename = "height_m", with = "as_text")]
    pub height: Metres,
    /// The size of the whole array.
    #[serde(rename = "aperture_m", with = "as_text")]
    pub aperture: Metres,
    /// Below this distance the formula is not valid.
    #[serde(rename = "near_bound_m", with = "as_text")]
    pub near_bound: Metres,
    /// At full power.
    pub full: Reach,
    /// At [`LOW_POWER`].
    pub low: Reach,
}

/// Whether the figure keeps the public below its limit where it may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Clearance {
    /// The public's distance ends above people's heads, and the formula is valid there.
    Within,
    /// It reaches down to where people stand.
    Beyond,
    /// People stand where the formula is not valid.
    NotValid,
}

/// All stations of a site together.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SiteExposure {
    /// Each station alone, the job's own first.
    pub stations: Vec<StationExposure>,
    /// All of them at full power, as if at one place.
    pub full: Reach,
    /// All of them at [`LOW_POWER`].
    pub low: Reach,
    /// Below this distance the formula is not valid for all of them.
    #[serde(rename = "near_bound_m", with = "as_text")]
    pub near_bound: Metres,
    /// From the lowest antenna's centre down to the heads of people on the ground, or on the roof.
    #[serde(rename = "clearance_m", with = "as_text")]
    pub clearance: Metres,
    /// Whether people are taken to stand on the roof.
    pub on_roof: bool,
    /// The share of the public limit there, all stations summed, straight below and with no regard to
    /// their patterns.
    #[serde(rename = "share_below", with = "as_text")]
    pub share_below: Ratio,
    /// Whether that is enough.
    pub verdict: Clearance,
    /// Limits, ground and where they are from, in words.
    pub rule: String,
}

impl SiteExposure {
    /// All stations of a site at the limits of a rule; `None` where there is none.
    #[must_use]
    pub fn of(site: &Site, stations: &[Station<'_>], rule: &ExposureRule) -> Option<Self> {
        if stations.is_empty() {
            return None;
        }
        let found: Vec<StationExposure> = stations.iter().map(|one| one.exposure(rule)).collect();
        let on_roof = site.structure == Structure::Roof;
        let floor = if on_roof { site.structure_height.value().value() } else { 0.0 };
        let above_heads = |height: Metres| Metres::nearest(height.value() - floor - HEAD.value());
        let lowest = found.iter().map(|one| one.height.value()).fold(f64::INFINITY, f64::min);
        let clearance = above_heads(Metres::nearest(lowest));
        let near_bound = found.iter().map(|one| one.near_bound.value()).fold(0.0, f64::max);
        let near_bound = Metres::nearest(near_bound);
        let below = found
            .iter()
            .map(|one| share(&one.distance(one.full.public), above_heads(one.height)).value());
        let (full, low) = (together(&found, |one| one.full), together(&found, |one| one.low));
        Some(Self {
            full,
            low,
            near_bound,
            clearance,
            on_roof,
            share_below: Ratio::nearest(below.sum()),
            verdict: verdict(clearance, full.public, near_bound),
            rule: rule_shown(rule),
            stations: found,
        })
    }

    /// Whether other stations share the structure: then the figure alone passes no check.
    #[must_use]
    pub fn shared(&self) -> bool {
        self.stations.len() > 1
    }

    /// What the figure says of the public, as a sentence.
    #[must_use]
    pub fn said(&self) -> String {
        let (place, clearance) =
            (if self.on_roof { "on the roof" } else { "on the ground" }, self.clearance);
        let reach = self.full.public;
        match self.verdict {
            Clearance::Within => format!(
                "the public’s distance of {reach:.1} ends above people {place}, whose heads are {clearance:.1} below the lowest antenna"
            ),
            Clearance::Beyond if clearance.value() <= 0.0 => format!(
                "check who may stand {place}: the lowest antenna is no higher than their heads, and the public’s distance is {reach:.1}"
            ),
            Clearance::Beyond => format!(
                "check who may stand {place}: the public’s distance of {reach:.1} reaches them, {clearance:.1} below the lowest antenna"
            ),
            Clearance::NotValid => format!(
                "formula not valid here: people {place} are {clearance:.1} below the lowest antenna, the formula holds beyond {:.1}",
                self.near_bound
            ),
        }
    }
}

fn verdict(clearance: Metres, public: Metres, near_bound: Metres) -> Clearance {
    if clearance < public {
        Clearance::Beyond
    } else if clearance < near_bound {
        Clearance::NotValid
    } else {
        Clearance::Within
    }
}

fn together(stations: &[StationExposure], pick: fn(&StationExposure) -> Reach) -> Reach {
    let sum = |of: fn(Reach) -> Metres| {
        let all: Vec<Distance> = stations.iter().map(|one| one.distance(of(pick(one)))).collect();
        summed(&all).formula
    };
    Reach { public: sum(|reach| reach.public), controlled: sum(|reach| reach.controlled) }
}

/// The rule in words.
#[must_use]
pub fn rule_shown(rule: &ExposureRule) -> String {
    format!(
        "limits {} public, {} controlled; {}; {}",
        rule.public,
        rule.controlled,
        rule.ground.shown(),
        rule.source
    )
}

impl StationExposure {
    fn distance(&self, formula: Metres) -> Distance {
        Distance { formula, near_bound: self.near_bound }
    }

    /// A distance as a page shows it: with the bound where the formula is not valid at it.
    #[must_use]
    pub fn shown(&self, formula: Metres) -> String {
        shown(self.distance(formula))
    }
}

/// A distance as a page shows it.
#[must_use]
pub fn shown(distance: Distance) -> String {
    let formula = distance.formula;
    if distance.valid() {
        format!("{formula:.1}")
    } else {
        format!("formula not valid here ({formula:.1}); valid beyond {:.1}", distance.near_bound)
    }
}

/// How far a source reaches at the limits of a rule.
#[must_use]
pub fn reach(erp: Watts, rule: &ExposureRule, frequency: Megahertz, aperture: Metres) -> Reach {
    let of =
        |limit: WattsPerSquareMetre| distance(erp, limit, rule.ground, frequency, aperture).formula;
    Reach { public: of(rule.public), controlled: of(rule.controlled) }
}

/// How many planes an antenna of this polarization radiates with the gain that is stated for one.
#[must_use]
pub fn planes(polarization: Polarization) -> f64 {
    match polarization {
        Polarization::Vertical | Polarization::Horizontal => 1.0,
        Polarization::Circular | Polarization::Mixed => 2.0,
    }
}

impl Station<'_> {
    fn exposure(&self, rule: &ExposureRule) -> StationExposure {
        let said = &self.assignment.particulars;
        let frequency = said.frequency.value();
        let (erp, erp_from) = self.top_erp(rule.most);
        let aperture = self.aperture(frequency);
        let designed = self.chain.and_then(Chain::antenna).map(|(_, one)| one.plate.height.value());
        let heights = [Some(said.height.value()), designed, self.built];
        let height = heights.into_iter().flatten().map(Metres::value).fold(f64::INFINITY, f64::min);
        let part = Watts::nearest(erp.value() * LOW_POWER.value() / 100.0);
        let bound = distance(erp, rule.public, rule.ground, frequency, aperture).near_bound;
        StationExposure {
            station: format!("{}, {}", said.frequency, said.station_name),
            erp,
            erp_from,
            height: Metres::nearest(height),
            aperture,
            near_bound: bound,
            full: reach(erp, rule, frequency, aperture),
            low: reach(part, rule, frequency, aperture),
        }
    }

    /// The greater of the authorised ERP and that of the chain, both planes, at the top of the power
    /// tolerance and through the least loss.
    fn top_erp(&self, most: Percent) -> (Watts, String) {
        let said = &self.assignment.particulars;
        let top = |watts: Watts| Watts::nearest(watts.value() * most.value() / 100.0);
        let authorised = top(said.erp.value());
        let designed = self.chain.and_then(|chain| {
            let (_, antenna) = chain.antenna()?;
            let budget = Budget::new(chain, said.frequency.value());
            let from = chain.transmitter().map_or(0, |(part, _)| part.position);
            let output = top(said.power.value());
            let point =
                Evidence { point: output, interval: Interval::point(output), at_least: false };
            let one = budget.erp(&point, from)?.interval.high();
            let plane = antenna.plate.polarization.unwrap_or(said.polarization);
            Some(Watts::nearest(one.value() * planes(plane)))
        });
        match designed.filter(|designed| *designed > authorised) {
            Some(designed) => {
                (designed, format!("{most} of the authorised power through the chain, both planes"))
            }
            None => (authorised, format!("{most} of the authorised ERP, both planes")),
        }
    }

    /// The size of the whole array: the chain's antenna; else the authorised bays a wavelength apart.
    fn aperture(&self, frequency: Megahertz) -> Metres {
        if let Some((_, antenna)) = self.chain.and_then(Chain::antenna) {
            return antenna.extent(frequency);
        }
        let bays = self.assignment.particulars.licensed.bays.unwrap_or(1);
        let gaps = f64::from(bays.saturating_sub(1));
        let own = half_wave(frequency).metres().value();
        Metres::nearest(gaps * wavelength(frequency).value() + own)
    }
}

#[cfg(test)]
mod tests;
