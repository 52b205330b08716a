//! The fields of the form -> a draft.

use crate::equipment::form::antenna;
use crate::equipment::model::{
    ChainDraft, Connectors, DirectionalMeter, GasTubeArrester, Line, OWN_CABLE, PartDraft, Rated,
    Spec, Transmitter,
};
use crate::rf::line::CableType;
use crate::rf::quantity::{LossDb, Metres, Percent, Quantity, Swr, Typed, VelocityFactor, Volts};
use crate::sites::model::POWER;
use crate::web::Checking;

// What can be meant, not what is good: a figure outside is a slip of unit or of decimal point.
// Common practice, no source.
const SMALL_LOSS: (LossDb, LossDb) = (LossDb::fixed(0.0), LossDb::fixed(3.0));
const OWN_SWR: (Swr, Swr) = (Swr::fixed(1.0), Swr::fixed(2.0));
const SPARKOVER: (Volts, Volts) = (Volts::fixed(60.0), Volts::fixed(20_000.0));
const PEAK: (Volts, Volts) = (Volts::fixed(10.0), Volts::fixed(100_000.0));
const LOSS_TOLERANCE: (Percent, Percent) = (Percent::fixed(0.0), Percent::fixed(100.0));
const TOLERANCE: (Percent, Percent) = (Percent::fixed(0.0), Percent::fixed(50.0));
const JUMPER: (Metres, Metres) = (Metres::fixed(0.1), Metres::fixed(50.0));
const FEED: (Metres, Metres) = (Metres::fixed(0.5), Metres::fixed(1000.0));
const CONDUCTOR: (LossDb, LossDb) = (LossDb::fixed(0.0), LossDb::fixed(6.0));
const DIELECTRIC: (LossDb, LossDb) = (LossDb::fixed(0.0), LossDb::fixed(0.2));
const VELOCITY: (VelocityFactor, VelocityFactor) =
    (VelocityFactor::fixed(0.5), VelocityFactor::fixed(1.0));
const JOINTS: std::ops::RangeInclusive<i64> = 1..=30;

/// A part that may be missing: `Some(None)` when the form says so.
type Fitted = Option<Option<PartDraft>>;

/// Every section is read, so that all messages come at once.
pub(super) fn draft(checking: &mut Checking) -> Option<ChainDraft> {
    let base = checking.whole("version");
    let transmitter = part(checking, "transmitter", transmitter).map(Some);
    let meter = fitted(checking, "meter", meter);
    let jumper = fitted(checking, "jumper", |checking, prefix| {
        line(checking, prefix, JUMPER).map(Spec::Jumper)
    });
    let arrester = fitted(checking, "arrester", arrester);
    let feed = part(checking, "feed_line", |checking, prefix| {
        line(checking, prefix, FEED).map(Spec::FeedLine)
    })
    .map(Some);
    let joints = fitted(checking, "connectors", joints);
    let antenna = part(checking, "antenna", antenna::read).map(Some);
    let note = note(checking, base);
    let parts = [transmitter?, meter?, jumper?, arrester?, feed?, joints?, antenna?];
    Some(ChainDraft { base: base?, note: note?, parts: parts.into_iter().flatten().collect() })
}

/// Why the revision is made. The first one needs no reason: there was nothing before it.
fn note(checking: &mut Checking, base: Option<i64>) -> Option<String> {
    let note = checking.text("note")?;
    if note.is_empty() && base != Some(0) {
        checking.refuse("note", "say why the chain is revised: what was replaced, or read again");
        return None;
    }
    Some(note)
}

fn fitted(
    checking: &mut Checking,
    prefix: &str,
    spec: impl Fn(&mut Checking, &str) -> Option<Spec>,
) -> Fitted {
    match checking.yes_no(&format!("{prefix}_fitted"))? {
        true => part(checking, prefix, spec).map(Some),
        false => Some(None),
    }
}

fn part(
    checking: &mut Checking,
    prefix: &str,
    spec: impl Fn(&mut Checking, &str) -> Option<Spec>,
) -> Option<PartDraft> {
    let designation = designation(checking, prefix);
    let serial = checking.line_or_empty(&format!("{prefix}_serial"));
    let spec = spec(checking, prefix);
    Some(PartDraft { designation: designation?, serial: serial?, spec: spec? })
}

/// What is on the plate. A cable of the table has its type's name when nothing else is written.
fn designation(checking: &mut Checking, prefix: &str) -> Option<String> {
    let name = format!("{prefix}_designation");
    if checking.raw(&name).is_empty()
        && let Some(cable) = CableType::find(&checking.raw(&format!("{prefix}_cable")))
    {
        return Some(cable.name.to_owned());
    }
    checking.line(&name)
}

fn transmitter(checking: &mut Checking, prefix: &str) -> Option<Spec> {
    let rated_power = checking.typed_within(&format!("{prefix}_rated_power_w"), POWER)?;
    Some(Spec::Transmitter(Transmitter { rated_power }))
}

fn meter(checking: &mut Checking, prefix: &str) -> Option<Spec> {
    let loss = checking.typed_within(&format!("{prefix}_loss_db"), SMALL_LOSS);
    let loss_tolerance = loss_tolerance(checking, prefix);
    let rated = rated(checking, prefix);
    Some(Spec::DirectionalMeter(DirectionalMeter {
        loss: loss?,
        loss_tolerance: loss_tolerance?,
        rated: rated?,
    }))
}

/// What the part stands, as far as it is stated.
fn rated(checking: &mut Checking, prefix: &str) -> Option<Rated> {
    let rated_power = within_or_empty(checking, &format!("{prefix}_rated_power_w"), POWER);
    let rated_peak = within_or_empty(checking, &format!("{prefix}_rated_peak_v"), PEAK);
    Some(Rated { rated_power: rated_power?, rated_peak: rated_peak? })
}

fn loss_tolerance(checking: &mut Checking, prefix: &str) -> Option<Option<Typed<Percent>>> {
    within_or_empty(checking, &format!("{prefix}_loss_tolerance_percent"), LOSS_TOLERANCE)
}

fn arrester(checking: &mut Checking, prefix: &str) -> Option<Spec> {
    let name = |field: &str| format!("{prefix}_{field}");
    let sparkover = checking.typed_within(&name("sparkover_v"), SPARKOVER);
    let tolerance = checking.typed_within(&name("tolerance_percent"), TOLERANCE);
    let rated_power = within_or_empty(checking, &name("rated_power_w"), POWER);
    let loss = checking.typed_within(&name("loss_db"), SMALL_LOSS);
    let worst_swr = checking.typed_within(&name("swr"), OWN_SWR);
    let loss_tolerance = loss_tolerance(checking, prefix);
    Some(Spec::GasTubeArrester(GasTubeArrester {
        sparkover: sparkover?,
        tolerance: tolerance?,
        rated_power: rated_power?,
        loss: loss?,
        loss_tolerance: loss_tolerance?,
        worst_swr: worst_swr?,
    }))
}

fn joints(checking: &mut Checking, prefix: &str) -> Option<Spec> {
    let name = |field: &str| format!("{prefix}_{field}");
    let count = count(checking, &name("count"));
    let loss = checking.typed_within(&name("loss_db"), SMALL_LOSS);
    let worst_swr = checking.typed_within(&name("swr"), OWN_SWR);
    let loss_tolerance = loss_tolerance(checking, prefix);
    let rated = rated(checking, prefix);
    Some(Spec::Connectors(Connectors {
        count: count?,
        loss: loss?,
        loss_tolerance: loss_tolerance?,
        worst_swr: worst_swr?,
        rated: rated?,
    }))
}

fn count(checking: &mut Checking, name: &str) -> Option<u8> {
    if checking.raw(name).is_empty() {
        checking.refuse(name, "this is needed: count the joints");
        return None;
    }
    let whole = checking.whole(name)?;
    let taken = u8::try_from(whole).ok().filter(|_| JOINTS.contains(&whole));
    if taken.is_none() {
        let (least, most) = (JOINTS.start(), JOINTS.end());
        checking
            .refuse(name, format!("{whole} joints cannot be taken here: {least} to {most} can"));
    }
    taken
}

fn line(checking: &mut Checking, prefix: &str, lengths: (Metres, Metres)) -> Option<Line> {
    let name = |field: &str| format!("{prefix}_{field}");
    let cable = checking.word(&name("cable"), |key| match key {
        OWN_CABLE => Some(None),
        key => CableType::find(key).map(Some),
    });
    let length = checking.typed_within(&name("length_m"), lengths);
    let worst_swr = checking.typed_within(&name("swr"), OWN_SWR);
    let rated = rated(checking, prefix);
    let constants = match cable {
        Some(Some(cable)) => constants_of(checking, &name("cable"), cable),
        Some(None) => own_constants(checking, prefix),
        None => None,
    };
    let (length, worst_swr, constants) = (length?, worst_swr?, constants?);
    Some(Line {
        cable: cable?.map_or(OWN_CABLE, |cable| cable.key).to_owned(),
        length,
        worst_swr,
        conductor_loss: constants.conductor,
        dielectric_loss: constants.dielectric,
        tolerance: constants.tolerance,
        velocity_factor: constants.velocity,
        source: constants.source,
        rated: rated?,
        pressure: None,
    })
}

struct Constants {
    conductor: Typed<LossDb>,
    dielectric: Typed<LossDb>,
    tolerance: Typed<Percent>,
    velocity: Typed<VelocityFactor>,
    source: String,
}

/// The constants of a generic type, as the table has them on this day: the revision keeps them.
fn constants_of(checking: &mut Checking, name: &str, cable: &CableType) -> Option<Constants> {
    let read = || -> Result<Constants, String> {
        Ok(Constants {
            conductor: number(cable.model.conductor())?,
            dielectric: number(cable.model.dielectric())?,
            tolerance: number(cable.tolerance.value())?,
            velocity: number(cable.velocity_factor.value())?,
            source: cable.source.to_owned(),
        })
    };
    read().map_err(|message| checking.refuse(name, message)).ok()
}

fn number<Q: Quantity>(value: f64) -> Result<Typed<Q>, String> {
    Typed::parse(&value.to_string()).map_err(|error| error.to_string())
}

fn own_constants(checking: &mut Checking, prefix: &str) -> Option<Constants> {
    let name = |field: &str| format!("{prefix}_{field}");
    let conductor = checking.typed_within(&name("conductor_db"), CONDUCTOR);
    let dielectric = checking.typed_within(&name("dielectric_db"), DIELECTRIC);
    let tolerance = checking.typed_within(&name("tolerance_percent"), TOLERANCE);
    let velocity = checking.typed_within(&name("velocity"), VELOCITY);
    let source = checking.line(&name("source"));
    let constants = Constants {
        conductor: conductor?,
        dielectric: dielectric?,
        tolerance: tolerance?,
        velocity: velocity?,
        source: source?,
    };
    let lossless = |loss: &Typed<LossDb>| loss.value().value() <= 0.0;
    if lossless(&constants.conductor) && lossless(&constants.dielectric) {
        checking.refuse(
            &name("conductor_db"),
            "a cable without any loss is not one: divide the dB per 100 m at 100 MHz by 10",
        );
        return None;
    }
    Some(constants)
}

/// A quantity within limits, or nothing: `Some(None)` when the field is empty.
pub(super) fn within_or_empty<Q: Quantity>(
    checking: &mut Checking,
    name: &str,
    limits: (Q, Q),
) -> Option<Option<Typed<Q>>> {
    if checking.raw(name).is_empty() {
        return Some(None);
    }
    checking.typed_within(name, limits).map(Some)
}
