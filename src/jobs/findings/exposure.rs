//! How far people keep while there is RF: on the stand, and from the antennas of the site, all stations
//! summed; and what a survey found. It is no assessment: local rules decide.

use serde::{Deserialize, Serialize};
use uuid::Uuid;

use crate::equipment::budget::Budget;
use crate::equipment::exposure::{Reach, SiteExposure, Station, planes, reach, rule_shown};
use crate::equipment::model::Chain;
use crate::jobs::model::{Decimal, Fact, Record};
use crate::measurements::model::{Area, ExposureSurvey, PowerPair};
use crate::rf::decision::Evidence;
use crate::rf::element::half_wave;
use crate::rf::exposure::{Distance, STAND_LEAST, near_bound};
use crate::rf::power;
use crate::rf::quantity::{Interval, LossDb, Metres, Quantity, Watts};
use crate::sites::model::Assignment;

/// What an assessment of exposure begins with; it is none.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct ExposureFinding {
    /// ERP of the authorised power at the top of its tolerance through the least loss, in the plane for
    /// which the gain is stated, W; `None` without an antenna.
    pub top_erp_w: Option<Decimal>,
    /// Below this distance from the element the far-field formulas are not valid, m.
    pub near_bound_m: Decimal,
    /// All stations of the site.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub site: Option<SiteExposure>,
    /// The stand, at the greatest power that was tried there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stand: Option<StandExposure>,
    /// The survey that counts: the last one entered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub survey: Option<SurveyFinding>,
}

/// How far people keep from the element on the stand.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct StandExposure {
    /// The greatest forward power of the trials, with what its meter allows, W.
    pub forward_w: Decimal,
    /// What the element radiates of it, both planes, W.
    pub erp_w: Decimal,
    /// By the formula.
    pub reach: Reach,
    /// How far to keep: never nearer than 3 m, m.
    pub keep_m: Decimal,
    /// Whether the formula is valid at the public's distance.
    pub valid: bool,
    /// Limits, ground and where they are from, in words.
    pub rule: String,
}

/// What a survey says.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct SurveyFinding {
    /// The fact.
    pub fact: Uuid,
    /// Whether every point lies at or below its limit.
    pub within: bool,
    /// Why it shows nothing of the final set-up; `None` where it does.
    pub withheld: Option<String>,
    /// In words.
    pub said: String,
}

pub(super) fn find(record: &Record) -> Option<ExposureFinding> {
    let frequency = record.assignment()?.particulars.frequency.value();
    let antenna = record.chain().and_then(Chain::antenna);
    let aperture = antenna
        .map_or_else(|| half_wave(frequency).metres(), |(_, antenna)| antenna.extent(frequency));
    Some(ExposureFinding {
        top_erp_w: top_erp(record),
        near_bound_m: Decimal(near_bound(frequency, aperture).value()),
        site: site(record),
        stand: stand(record),
        survey: record.surveys().next_back().map(|(fact, survey)| surveyed(record, fact, survey)),
    })
}

fn top_erp(record: &Record) -> Option<Decimal> {
    let (chain, assignment) = (record.chain()?, record.assignment()?);
    let particulars = &assignment.particulars;
    let most = record.profile.limits.power_most_percent.value();
    let top = power::allowed(particulars.power.value(), None, most).allowed().high();
    let budget = Budget::new(chain, particulars.frequency.value());
    let from = chain.transmitter().map_or(0, |(part, _)| part.position);
    let point = Evidence { point: top, interval: Interval::point(top), at_least: false };
    Some(Decimal(budget.erp(&point, from)?.interval.high().value()))
}

fn site(record: &Record) -> Option<SiteExposure> {
    let built = record.built(|built| built.height.as_ref()).map(|(_, one)| one.height.value());
    let own = Station { assignment: record.assignment()?, chain: record.chain(), built };
    let others = record.neighbours.iter().map(|one| Station {
        assignment: &one.assignment,
        chain: one.chain.as_ref(),
        built: None,
    });
    let stations: Vec<Station<'_>> = std::iter::once(own).chain(others).collect();
    SiteExposure::of(&record.site, &stations, &record.profile.limits.exposure_rule())
}

/// `None` before the first trial, and without an antenna: then only the least distance is known.
fn stand(record: &Record) -> Option<StandExposure> {
    let said = &record.assignment()?.particulars;
    let (_, antenna) = record.chain()?.antenna()?;
    let rule = record.profile.limits.exposure_rule();
    let trials = record.trials();
    let greatest = trials
        .iter()
        .filter(|trial| trial.struck_by.is_none())
        .map(|trial| forward(record, trial.fact, &trial.trial.powers).value())
        .fold(None, |most: Option<f64>, watts| Some(most.map_or(watts, |most| most.max(watts))))?;
    let forward = Watts::nearest(greatest);
    let plane = antenna.plate.polarization.unwrap_or(said.polarization);
    let one = power::erp(forward, LossDb::fixed(0.0), antenna.plate.gain.value());
    let erp = Watts::nearest(one.value() * planes(plane));
    let frequency = said.frequency.value();
    let aperture = antenna.extent(frequency);
    let reach = reach(erp, &rule, frequency, aperture);
    let public = Distance { formula: reach.public, near_bound: near_bound(frequency, aperture) };
    Some(StandExposure {
        forward_w: Decimal(forward.value()),
        erp_w: Decimal(erp.value()),
        reach,
        keep_m: Decimal(public.on_the_stand().value()),
        valid: public.valid(),
        rule: rule_shown(&rule),
    })
}

/// The most that a trial's forward power may be; as read where the meter is not known.
fn forward(record: &Record, fact: &Fact, pair: &PowerPair) -> Watts {
    let statement = record.instrument_of(fact).map(|one| &one.calibration.statement);
    let meter = statement
        .and_then(|one| one.meter(pair.forward_range.value(), pair.reflected_range.value()));
    meter.map_or(pair.forward.value(), |meter| meter.forward.interval(&pair.forward).high())
}

fn surveyed(record: &Record, fact: &Fact, survey: &ExposureSurvey) -> SurveyFinding {
    let within = survey.points.iter().all(|point| point.share.value().value() <= 100.0);
    let public = survey.points.iter().any(|point| point.area == Area::Public);
    let now = (
        record.assignment().map(|one| one.revision_uuid),
        record.chain().map(|chain| chain.revision_uuid),
    );
    let since = |one: &Assignment| one.entered_at > fact.entered_at;
    let withheld = if !survey.all_on {
        Some("not all stations of the site were on at full power")
    } else if !public {
        Some("no point lies where the public may be")
    } else if (fact.assignment_revision, fact.chain_revision) != now {
        Some("assignment or chain were revised since: survey again")
    } else if record.neighbours.iter().any(|one| since(&one.assignment)) {
        Some("another station of the site was assigned or revised since: survey again")
    } else {
        None
    };
    SurveyFinding {
        fact: fact.uuid,
        within,
        withheld: withheld.map(str::to_owned),
        said: survey.shown(),
    }
}

impl StandExposure {
    /// How far to keep, as a sentence.
    #[must_use]
    pub fn said(&self) -> String {
        let formula = if self.valid {
            format!("{:.1} by the formula", self.reach.public)
        } else {
            format!("formula not valid here ({:.1})", self.reach.public)
        };
        format!(
            "keep everybody {:.1} m from the element: {formula} at {:.1} W forward, never nearer than {STAND_LEAST:.0}; RF off to approach",
            self.keep_m.0, self.forward_w.0
        )
    }
}

impl ExposureFinding {
    /// The distance to print beside a caution on the stand.
    #[must_use]
    pub fn on_the_stand(&self) -> String {
        self.stand.as_ref().map_or_else(
            || {
                format!(
                    "keep everybody at least {STAND_LEAST:.0} from the element; RF off to approach"
                )
            },
            StandExposure::said,
        )
    }

    /// The reach of all stations at full power.
    #[must_use]
    pub fn full(&self) -> Option<(Metres, Metres)> {
        self.site.as_ref().map(|site| (site.full.public, site.full.controlled))
    }
}
