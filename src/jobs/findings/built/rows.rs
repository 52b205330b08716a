//! The rows: each figure from assignment, chain and facts.

use uuid::Uuid;

use crate::equipment::budget::Budget;
use crate::equipment::exposure::planes;
use crate::equipment::model::{Antenna, Chain};
use crate::jobs::findings::built::judged::{
    Judged, decided, frequency_within, not_shown, same, within,
};
use crate::jobs::findings::built::words::{
    EXACT, between, far, more_or_less, up_or_down, watts_shown,
};
use crate::jobs::findings::built::{BuiltRow, BuiltWhat};
use crate::jobs::findings::installed::{ReadingFinding, forward_interval};
use crate::jobs::model::{Answer, Fact, Record};
use crate::profiles::model::{BuiltRule, Limit};
use crate::rf::decision::{self, Evidence};
use crate::rf::geodesy::apart;
use crate::rf::power;
use crate::rf::quantity::{Interval, Metres, Quantity, Typed, Watts};
use crate::sites::model::{Particulars, Position};

/// What all rows look at.
struct Looking<'r> {
    record: &'r Record,
    said: &'r Particulars,
    antenna: Option<Antenna<'r>>,
    rule: BuiltRule,
    reading: Option<&'r ReadingFinding>,
}

pub(super) fn of(record: &Record, readings: &[ReadingFinding]) -> Option<Vec<BuiltRow>> {
    let said = &record.assignment()?.particulars;
    let installed = record.installed().map(|(fact, _)| fact.uuid);
    let looking = Looking {
        record,
        said,
        antenna: record.chain().and_then(Chain::antenna).map(|(_, antenna)| antenna),
        rule: record.profile.limits.built_rule(said.power.value()),
        reading: readings.iter().find(|one| Some(one.fact) == installed),
    };
    Some(vec![
        looking.frequency(),
        looking.power(),
        looking.erp(),
        looking.height(),
        looking.position(),
        looking.bays(),
        looking.polarization(),
        looking.bearing(),
    ])
}

fn row(what: BuiltWhat, authorised: String) -> BuiltRow {
    let verdict =
        if authorised.is_empty() { "nothing authorised is on the record" } else { "not measured" };
    BuiltRow {
        what,
        authorised,
        designed: String::new(),
        built: String::new(),
        difference: String::new(),
        tolerance: String::new(),
        answer: None,
        point_within: false,
        verdict: verdict.to_owned(),
        design: String::new(),
        facts: Vec::new(),
    }
}

impl BuiltRow {
    fn judged(self, judged: Judged) -> Self {
        let Judged { answer, point_within, verdict } = judged;
        Self { answer: Some(answer), point_within, verdict, ..self }
    }

    fn on(mut self, facts: impl IntoIterator<Item = Uuid>) -> Self {
        self.facts.extend(facts);
        self
    }
}

impl Looking<'_> {
    fn frequency(&self) -> BuiltRow {
        let authorised = &self.said.frequency;
        let tolerance = self.rule.frequency_hz;
        let row = BuiltRow {
            tolerance: format!("± {tolerance:.0} Hz"),
            ..row(BuiltWhat::Frequency, authorised.to_string())
        };
        let hertz = |mhz: f64| (mhz - authorised.value().value()) * 1e6;
        if let Some((fact, one)) = self.record.built(|built| built.frequency.as_ref()) {
            let off = hertz(one.frequency.value().value());
            let room = one.frequency.resolution() / 2.0 * 1e6;
            let sign = if off < -EXACT { "−" } else { "+" };
            return BuiltRow {
                built: format!("{}, {}", one.frequency, one.method),
                difference: format!("{sign}{:.0} Hz", off.abs()),
                ..row
            }
            .judged(frequency_within(off.abs(), room, tolerance))
            .on([fact.uuid]);
        }
        let Some((fact, reading)) = self.record.installed() else { return row };
        let off = hertz(reading.frequency.value().value()).abs();
        let judged = if off <= tolerance {
            not_shown(true, "not shown: set, not measured")
        } else {
            Judged {
                answer: Answer::Failed,
                point_within: false,
                verdict: "check the frequency that the transmitter was set to".to_owned(),
            }
        };
        BuiltRow { built: format!("{}, as set at the reading", reading.frequency), ..row }
            .judged(judged)
            .on([fact.uuid])
    }

    /// What is allowed around an authorised power.
    fn allowed(&self, authorised: Watts) -> decision::Limit<Watts> {
        let limits = &self.record.profile.limits;
        let small = self.said.power.value() <= limits.power_ceiling_only_w.value();
        let least = (!small).then(|| limits.power_least_percent.value());
        power::allowed(authorised, least, limits.power_most_percent.value())
    }

    fn power(&self) -> BuiltRow {
        let authorised = &self.said.power;
        let limit = self.allowed(authorised.value());
        let rated = self.record.chain().and_then(Chain::transmitter);
        let row = BuiltRow {
            designed: rated
                .map_or_else(String::new, |(_, one)| format!("rated {}", one.rated_power)),
            tolerance: limit.to_string(),
            ..row(BuiltWhat::Power, authorised.to_string())
        };
        let Some((fact, reading)) = self.record.installed() else { return row };
        let forward = &reading.powers.forward;
        let point = forward.value().value();
        let interval = forward_interval(self.record, fact, reading);
        let ends = interval.map_or_else(String::new, |ends| format!(" ({})", watts_shown(&ends)));
        let row = BuiltRow {
            built: format!("{forward} forward{ends}"),
            difference: more_or_less(point, authorised.value().value()),
            ..row
        }
        .on([fact.uuid]);
        let Some(interval) = interval.filter(|_| !reading.fold_back) else {
            let why = if reading.fold_back { "taken in fold-back" } else { "meter not known" };
            return row.judged(not_shown(false, format!("not shown: {why}")));
        };
        let evidence = Evidence { point: forward.value(), interval, at_least: false };
        let check = "check the transmitter’s power against the licence";
        row.judged(decided(&evidence, &limit, check))
    }

    fn erp(&self) -> BuiltRow {
        let authorised = &self.said.erp;
        let limit = self.allowed(authorised.value());
        let factor = planes(
            self.antenna
                .and_then(|antenna| antenna.plate.polarization)
                .unwrap_or(self.said.polarization),
        );
        let mut row = BuiltRow {
            tolerance: format!("{limit}, as for the power"),
            ..row(BuiltWhat::Erp, authorised.to_string())
        };
        if let Some(designed) = self.designed_erp() {
            let watts = designed.value() * factor;
            row.designed = format!("{watts:.0} W from {}, declared loss and gain", self.said.power);
            if !limit.allows(Watts::nearest(watts)) {
                row.design =
                    "check line loss and gain: the design does not give the authorised ERP"
                        .to_owned();
            }
        }
        let Some(reading) = self.reading else { return row };
        let (Some(erp), Some([low, high])) = (reading.erp_w, reading.erp_interval_w) else {
            return row;
        };
        let [point, low, high] = [erp, low, high].map(|watts| Watts::nearest(watts.0 * factor));
        let interval = Interval::between(low, high);
        let evidence = Evidence { point, interval, at_least: false };
        let check = "check power, line loss and gain against the licence";
        BuiltRow {
            built: format!(
                "{:.0} ({}), reckoned, not measured in the field",
                point,
                watts_shown(&interval)
            ),
            difference: more_or_less(point.value(), authorised.value().value()),
            ..row
        }
        .judged(decided(&evidence, &limit, check))
        .on([reading.fact])
    }

    /// The ERP of the authorised power through the chain as it holds now, in one plane.
    fn designed_erp(&self) -> Option<Watts> {
        let chain = self.record.chain()?;
        let budget = Budget::new(chain, self.said.frequency.value());
        let from = chain.transmitter().map_or(0, |(part, _)| part.position);
        Some(budget.erp(&Evidence::exact(self.said.power.value()), from)?.point)
    }

    fn height(&self) -> BuiltRow {
        let authorised = &self.said.height;
        let tolerance = self.height_tolerance();
        let mut row = BuiltRow {
            tolerance: format!("± {tolerance}"),
            ..row(BuiltWhat::Height, authorised.to_string())
        };
        let off = |height: f64| height - authorised.value().value();
        if let Some(antenna) = self.antenna {
            let designed = &antenna.plate.height;
            row.designed = designed.to_string();
            if off(designed.value().value()).abs() > tolerance.value() + EXACT {
                row.design = format!(
                    "check the design’s height: {}",
                    up_or_down(off(designed.value().value()))
                );
            }
        }
        let Some((fact, height, how, measured)) = self.built_height() else { return row };
        let difference = off(height.value().value());
        let check = format!("check the height: {}", up_or_down(difference));
        let mut judged = within(difference.abs(), 0.0, tolerance.value(), &check);
        if !measured && judged.answer == Answer::Passed {
            judged = not_shown(true, "not shown: from a drawing, not measured");
        }
        BuiltRow { built: format!("{height}, {how}"), difference: up_or_down(difference), ..row }
            .judged(judged)
            .on([fact.uuid])
    }

    /// The profile's own item for the height says how much is allowed, where it has one.
    fn height_tolerance(&self) -> Metres {
        let item = self.record.profile.items.iter().find_map(|item| match &item.limit {
            Some(Limit::NearAuthorisedHeightM(room)) => Some(Metres::nearest(room.number())),
            _ => None,
        });
        match &self.record.profile.limits.as_built {
            Some(_) => self.rule.height,
            None => item.unwrap_or(self.rule.height),
        }
    }

    /// The height that was entered last: as built, or as the value of the profile's item.
    fn built_height(&self) -> Option<(&Fact, Typed<Metres>, String, bool)> {
        let built = self.record.built(|built| built.height.as_ref()).map(|(fact, one)| {
            (fact, one.height.clone(), one.method.shown().to_owned(), one.method.measured())
        });
        let item = self
            .record
            .profile
            .items
            .iter()
            .find(|item| matches!(item.limit, Some(Limit::NearAuthorisedHeightM(_))));
        let value = item.and_then(|item| self.record.answered(&item.id)).and_then(|(fact, one)| {
            let height = Typed::from_stored(one.value.as_deref()?).ok()?;
            let how = if one.method.is_empty() { "as the check says" } else { &one.method };
            Some((fact, height, how.to_owned(), true))
        });
        match (built, value) {
            (Some(built), Some(value)) if value.0.entered_at > built.0.entered_at => Some(value),
            (built, value) => built.or(value),
        }
    }

    fn position(&self) -> BuiltRow {
        let site = &self.record.site;
        let authorised = self.said.licensed.position.as_ref();
        let tolerance = self.rule.position;
        let shown = |one: &Position| format!("{}, {}", one.shown(), one.datum.shown());
        let mut row = BuiltRow {
            designed: format!("{} (the site’s)", site.position().shown()),
            tolerance: format!("within {tolerance}"),
            ..row(BuiltWhat::Position, authorised.map(shown).unwrap_or_default())
        };
        if let Some(authorised) = authorised
            && let Some((metres, _, room)) = between(authorised, &site.position())
            && metres - room > tolerance.value()
        {
            row.design = format!("check the site’s position: {} from the authorised", far(metres));
        }
        let Some((fact, built)) = self.record.built(|built| built.position.as_ref()) else {
            return row;
        };
        let accuracy = built.accuracy.as_ref().map_or(0.0, |one| one.value().value());
        row.built = format!("{}, {}", shown(&built.position), built.method.shown());
        let row = row.on([fact.uuid]);
        let Some(authorised) = authorised else { return row };
        let Some((metres, bearing, room)) = between(authorised, &built.position) else {
            let why = "not shown: the datums differ or are not known; convert to WGS 84 first";
            return row.judged(not_shown(false, why));
        };
        let difference = format!("{} at {bearing:.0}°", far(metres));
        let check = format!("check the position: {difference} from the authorised");
        let mut judged = within(metres, room + accuracy, tolerance.value(), &check);
        if !built.method.measured() && judged.answer == Answer::Passed {
            judged = not_shown(true, "not shown: from a map, not measured");
        }
        BuiltRow { difference, ..row }.judged(judged)
    }

    fn bays(&self) -> BuiltRow {
        let authorised = self.said.licensed.bays;
        let number = |bays: Option<u8>| bays.map(|bays| bays.to_string()).unwrap_or_default();
        let designed = self.antenna.map(Antenna::bays);
        let mut row =
            BuiltRow { designed: number(designed), ..row(BuiltWhat::Bays, number(authorised)) };
        if authorised.is_some() && designed.is_some() && designed != authorised {
            row.design = "check the design’s number of bays".to_owned();
        }
        let Some((fact, built)) = self.record.built(|built| built.bays) else { return row };
        let row = BuiltRow { built: built.to_string(), ..row }.on([fact.uuid]);
        let Some(authorised) = authorised else { return row };
        let difference = i16::from(built) - i16::from(authorised);
        BuiltRow { difference: format!("{difference:+}").replace('-', "−"), ..row }
            .judged(same(difference == 0, "check the number of bays"))
    }

    fn polarization(&self) -> BuiltRow {
        let authorised = self.said.polarization;
        let designed = self.antenna.and_then(|antenna| antenna.plate.polarization);
        let mut row = BuiltRow {
            designed: designed.map(|one| one.shown().to_owned()).unwrap_or_default(),
            ..row(BuiltWhat::Polarization, authorised.shown().to_owned())
        };
        if designed.is_some_and(|designed| designed != authorised) {
            row.design = "check the design’s polarization".to_owned();
        }
        let Some((fact, built)) = self.record.built(|built| built.polarization) else { return row };
        let holds = built == authorised;
        BuiltRow {
            built: built.shown().to_owned(),
            difference: if holds { "none" } else { "another plane" }.to_owned(),
            ..row
        }
        .judged(same(holds, "check how the antenna is mounted"))
        .on([fact.uuid])
    }

    fn bearing(&self) -> BuiltRow {
        let authorised = self.said.licensed.bearing.as_ref();
        let tolerance = self.rule.bearing;
        let row = BuiltRow {
            tolerance: format!("± {tolerance}"),
            ..row(BuiltWhat::Bearing, authorised.map(ToString::to_string).unwrap_or_default())
        };
        let Some((fact, built)) = self.record.built(|built| built.bearing.as_ref()) else {
            return row;
        };
        let row = BuiltRow { built: built.shown(), ..row }.on([fact.uuid]);
        let Some(authorised) = authorised else { return row };
        let Some(bearing) = built.from_true_north() else {
            let why = "not shown: magnetic, and the declination is not known";
            return row.judged(not_shown(false, why));
        };
        let angle = apart(authorised.value(), bearing).value();
        let check = format!("check where the antenna points: {angle:.1}° from the authorised");
        BuiltRow { difference: format!("{angle:.1}°"), ..row }.judged(within(
            angle,
            0.0,
            tolerance.value(),
            &check,
        ))
    }
}
