//! The antenna's part of the form. Its fields are named `antenna_…`; which of them count depends on the
//! kind, and what another kind would need is not looked at.

mod fill;

pub(super) use fill::fill;

use crate::equipment::form::read::within_or_empty;
use crate::equipment::model::{
    BaseMatch, BayKind, DcState, Element, FactoryShape, FactoryTuned, FiveEighths, FoldedDipole,
    GroundPlane, HalfWaveDipole, Matching, MultiBay, Plate, Radials, SetBetween, Setting, Spec,
};
use crate::rf::quantity::{
    Degrees, GainDbd, LossDb, Metres, Millimetres, Quantity, Swr, Turns, Typed,
};
use crate::sites::model::{HEIGHT, POWER, Polarization};
use crate::web::Checking;
use crate::words::words;

// What can be meant, not what is good: a figure outside is a slip of unit or of decimal point.
// Common practice, no source.
type Span<Q> = (Q, Q);
const DIAMETER: Span<Millimetres> = (Millimetres::fixed(1.0), Millimetres::fixed(120.0));
const HALF: Span<Millimetres> = (Millimetres::fixed(200.0), Millimetres::fixed(2000.0));
const LONG_RADIATOR: Span<Millimetres> = (Millimetres::fixed(1000.0), Millimetres::fixed(3500.0));
const RADIAL: Span<Millimetres> = (Millimetres::fixed(200.0), Millimetres::fixed(3000.0));
const CONDUCTORS: Span<Millimetres> = (Millimetres::fixed(5.0), Millimetres::fixed(500.0));
const ALONG: Span<Millimetres> = (Millimetres::fixed(0.0), Millimetres::fixed(2000.0));
const DROOP: Span<Degrees> = (Degrees::fixed(0.0), Degrees::fixed(80.0));
const COIL: Span<Turns> = (Turns::fixed(0.0), Turns::fixed(100.0));
const SINGLE_GAIN: Span<GainDbd> = (GainDbd::fixed(-10.0), GainDbd::fixed(6.0));
const ARRAY_GAIN: Span<GainDbd> = (GainDbd::fixed(-10.0), GainDbd::fixed(20.0));
const SPACING: Span<Metres> = (Metres::fixed(0.05), Metres::fixed(50.0));
const BAY_SPACING: Span<Metres> = (Metres::fixed(0.5), Metres::fixed(10.0));
const EXTENT: Span<Metres> = (Metres::fixed(0.2), Metres::fixed(60.0));
const HARNESS: Span<LossDb> = (LossDb::fixed(0.0), LossDb::fixed(6.0));
const STATED_SWR: Span<Swr> = (Swr::fixed(1.0), Swr::fixed(3.0));
const RADIALS: (u8, u8) = (2, 32);
const BAYS: (u8, u8) = (2, 16);
const FACTORY_BAYS: (u8, u8) = (1, 16);

words! {
    /// The kinds of antenna that the form knows.
    Kind {
        /// See [`HalfWaveDipole`].
        HalfWaveDipole = "half-wave-dipole" / "half-wave dipole",
        /// See [`FoldedDipole`].
        FoldedDipole = "folded-dipole" / "folded dipole",
        /// See [`GroundPlane`].
        GroundPlane = "ground-plane" / "quarter-wave ground plane",
        /// See [`FiveEighths`].
        FiveEighths = "five-eighths" / "five-eighths-wave vertical",
        /// See [`MultiBay`].
        MultiBay = "multi-bay" / "multi-bay array",
        /// See [`FactoryTuned`].
        FactoryTuned = "factory-tuned" / "factory-tuned or panel",
    }
}

words! {
    /// Which [`BaseMatch`].
    MatchedBy {
        /// See [`BaseMatch::Coil`].
        Coil = "coil" / "a coil at the base",
        /// See [`BaseMatch::Tap`].
        Tap = "tap" / "a tap",
    }
}

words! {
    /// Who sets the lengths of an array.
    SetBy {
        /// On the stand.
        Stand = "stand" / "on the stand, all bays alike",
        /// The maker.
        Maker = "maker" / "by the maker",
    }
}

/// What the antenna's fields offer to choose from.
pub struct Choices {
    /// Kinds.
    pub kinds: Vec<(String, String)>,
    /// See [`Setting`].
    pub settings: Vec<(String, String)>,
    /// See [`Matching`].
    pub matchings: Vec<(String, String)>,
    /// See [`DcState`].
    pub dc_states: Vec<(String, String)>,
    /// Coil or tap.
    pub matched_by: Vec<(String, String)>,
    /// See [`BayKind`].
    pub bay_kinds: Vec<(String, String)>,
    /// Who sets an array.
    pub bays_set: Vec<(String, String)>,
    /// See [`FactoryShape`].
    pub shapes: Vec<(String, String)>,
    /// Planes, and "not stated".
    pub polarizations: Vec<(String, String)>,
}

impl Choices {
    /// All of them.
    #[must_use]
    pub fn all() -> Self {
        let first = |words: &str, mut more: Vec<(String, String)>| {
            more.insert(0, (String::new(), words.to_owned()));
            more
        };
        Self {
            kinds: first("choose the kind", Kind::options()),
            settings: Setting::options(),
            matchings: vec![
                ("section".to_owned(), "matching section to 50 Ω".to_owned()),
                ("none".to_owned(), "none (about 72 Ω)".to_owned()),
            ],
            dc_states: DcState::options(),
            matched_by: MatchedBy::options(),
            bay_kinds: first("choose what a bay is", BayKind::options()),
            bays_set: SetBy::options(),
            shapes: first("choose its shape", FactoryShape::options()),
            polarizations: first("not stated", Polarization::options()),
        }
    }
}

/// The antenna that the fields declare.
pub(super) fn read(checking: &mut Checking, prefix: &str) -> Option<Spec> {
    let Some(kind) = checking.word(&format!("{prefix}_kind"), Kind::from_word) else {
        plate(checking, prefix, SINGLE_GAIN);
        return None;
    };
    let gain =
        if kind == Kind::MultiBay || kind == Kind::FactoryTuned { ARRAY_GAIN } else { SINGLE_GAIN };
    let spec = match kind {
        Kind::HalfWaveDipole => half_wave_dipole,
        Kind::FoldedDipole => folded_dipole,
        Kind::GroundPlane => ground_plane,
        Kind::FiveEighths => five_eighths,
        Kind::MultiBay => multi_bay,
        Kind::FactoryTuned => factory_tuned,
    };
    spec(&mut Reading { checking, prefix, gain })
}

/// The fields of one antenna.
struct Reading<'c> {
    checking: &'c mut Checking,
    prefix: &'c str,
    gain: Span<GainDbd>,
}

impl Reading<'_> {
    fn name(&self, field: &str) -> String {
        format!("{}_{field}", self.prefix)
    }

    fn within<Q: Quantity>(&mut self, field: &str, limits: Span<Q>) -> Option<Typed<Q>> {
        self.checking.typed_within(&self.name(field), limits)
    }

    fn or_empty<Q: Quantity>(&mut self, field: &str, limits: Span<Q>) -> Option<Option<Typed<Q>>> {
        within_or_empty(self.checking, &self.name(field), limits)
    }

    fn word<T>(&mut self, field: &str, read: impl Fn(&str) -> Option<T>) -> Option<T> {
        self.checking.word(&self.name(field), read)
    }

    fn count(&mut self, field: &str, (least, most): (u8, u8)) -> Option<u8> {
        let name = self.name(field);
        if self.checking.raw(&name).is_empty() {
            self.checking.refuse(&name, "this is needed: count them");
            return None;
        }
        let whole = self.checking.whole(&name)?;
        let taken = u8::try_from(whole).ok().filter(|count| (least..=most).contains(count));
        if taken.is_none() {
            let message = format!("{whole} cannot be taken here: {least} to {most} can");
            self.checking.refuse(&name, message);
        }
        taken
    }

    fn plate(&mut self) -> Option<Plate> {
        plate(self.checking, self.prefix, self.gain)
    }

    fn element(&mut self, lengths: Span<Millimetres>) -> Option<Element> {
        let setting = self.word("setting", Setting::from_word);
        let element_diameter = self.within("diameter_mm", DIAMETER);
        let shortest = self.within("shortest_mm", lengths);
        let longest = self.within("longest_mm", lengths);
        if let (Some(shortest), Some(longest)) = (&shortest, &longest)
            && shortest.value() >= longest.value()
        {
            let message = format!("{longest} is not longer than the shortest setting, {shortest}");
            self.checking.refuse(&self.name("longest_mm"), message);
        }
        Some(Element {
            setting: setting?,
            element_diameter: element_diameter?,
            shortest: shortest?,
            longest: longest?,
        })
    }

    fn radials(&mut self) -> Option<Radials> {
        let radials = self.count("radials", RADIALS);
        let radial_length = self.within("radial_length_mm", RADIAL);
        Some(Radials { radials: radials?, radial_length: radial_length? })
    }

    /// Two ends of a range; where the second is empty, it is fixed at the first.
    fn between<Q: Quantity>(
        &mut self,
        least: &str,
        most: &str,
        limits: Span<Q>,
    ) -> Option<SetBetween<Q>> {
        let low = self.within(least, limits);
        let high = self.or_empty(most, limits);
        let (low, high) = (low?, high?);
        let high = high.unwrap_or_else(|| low.clone());
        if low.value().value() > high.value().value() {
            let message = format!("{high} is less than the other end, {low}");
            self.checking.refuse(&self.name(most), message);
            return None;
        }
        Some(SetBetween { least: low, most: high })
    }

    /// A range that must leave room to set something.
    fn room<Q: Quantity>(
        &mut self,
        least: &str,
        most: &str,
        limits: Span<Q>,
    ) -> Option<SetBetween<Q>> {
        let range = self.between(least, most, limits)?;
        if range.is_fixed() {
            let message = "both ends are needed, the second greater: this is what is tuned";
            self.checking.refuse(&self.name(most), message);
            return None;
        }
        Some(range)
    }
}

fn plate(checking: &mut Checking, prefix: &str, gains: Span<GainDbd>) -> Option<Plate> {
    let name = |field: &str| format!("{prefix}_{field}");
    let gain = checking.typed_within(&name("gain_dbd"), gains);
    let dc_state = checking.word(&name("dc_state"), DcState::from_word);
    let rated_power = within_or_empty(checking, &name("rated_power_w"), POWER);
    let height = checking.typed_within(&name("height_m"), HEIGHT);
    let spacing = within_or_empty(checking, &name("spacing_m"), SPACING);
    let plane = name("polarization");
    let polarization = if checking.raw(&plane).is_empty() {
        Some(None)
    } else {
        checking.word(&plane, Polarization::from_word).map(Some)
    };
    Some(Plate {
        gain: gain?,
        dc_state: dc_state?,
        rated_power: rated_power?,
        height: height?,
        spacing: spacing?,
        polarization: polarization?,
    })
}

fn half_wave_dipole(form: &mut Reading<'_>) -> Option<Spec> {
    let element = form.element(HALF);
    let matching = form.word("matching", Matching::from_word);
    let plate = form.plate();
    Some(Spec::HalfWaveDipole(HalfWaveDipole {
        element: element?,
        matching: matching?,
        plate: plate?,
    }))
}

fn folded_dipole(form: &mut Reading<'_>) -> Option<Spec> {
    let element = form.element(HALF);
    let conductor_spacing = form.within("conductor_spacing_mm", CONDUCTORS);
    let matching = form.word("matching", Matching::from_word);
    let empty = |field: &str| form.checking.raw(&form.name(field)).is_empty();
    let none = empty("strap_least_mm") && empty("strap_most_mm");
    let strap = if none {
        Some(None)
    } else {
        form.room("strap_least_mm", "strap_most_mm", ALONG).map(Some)
    };
    let plate = form.plate();
    if let (Some(element), Some(spacing)) = (&element, &conductor_spacing)
        && spacing.value() <= element.element_diameter.value()
    {
        let message = format!(
            "the axes of two conductors of {} lie further apart than {spacing}",
            element.element_diameter
        );
        form.checking.refuse(&form.name("conductor_spacing_mm"), message);
    }
    Some(Spec::FoldedDipole(FoldedDipole {
        element: element?,
        conductor_spacing: conductor_spacing?,
        matching: matching?,
        strap: strap?,
        plate: plate?,
    }))
}

fn ground_plane(form: &mut Reading<'_>) -> Option<Spec> {
    let element = form.element(HALF);
    let radials = form.radials();
    let droop = form.between("droop_least_deg", "droop_most_deg", DROOP);
    let plate = form.plate();
    Some(Spec::GroundPlane(GroundPlane {
        element: element?,
        radials: radials?,
        droop: droop?,
        plate: plate?,
    }))
}

fn five_eighths(form: &mut Reading<'_>) -> Option<Spec> {
    let element = form.element(LONG_RADIATOR);
    let radials = form.radials();
    let matched_by = match form.word("matched_by", MatchedBy::from_word) {
        Some(MatchedBy::Coil) => {
            form.room("coil_least_turns", "coil_most_turns", COIL).map(BaseMatch::Coil)
        }
        Some(MatchedBy::Tap) => form.room("tap_least_mm", "tap_most_mm", ALONG).map(BaseMatch::Tap),
        None => None,
    };
    let plate = form.plate();
    Some(Spec::FiveEighths(FiveEighths {
        element: element?,
        radials: radials?,
        matched_by: matched_by?,
        plate: plate?,
    }))
}

fn multi_bay(form: &mut Reading<'_>) -> Option<Spec> {
    let bay = form.word("bay", BayKind::from_word);
    let bays = form.count("bays", BAYS);
    let bay_spacing = form.within("bay_spacing_m", BAY_SPACING);
    let harness_loss = form.within("harness_loss_db", HARNESS);
    let element = match form.word("bays_set", SetBy::from_word) {
        Some(SetBy::Stand) => form.element(HALF).map(Some),
        Some(SetBy::Maker) => Some(None),
        None => None,
    };
    let plate = form.plate();
    Some(Spec::MultiBay(MultiBay {
        bay: bay?,
        bays: bays?,
        bay_spacing: bay_spacing?,
        harness_loss: harness_loss?,
        element: element?,
        plate: plate?,
    }))
}

fn factory_tuned(form: &mut Reading<'_>) -> Option<Spec> {
    let shape = form.word("shape", FactoryShape::from_word);
    let bays = form.count("bays", FACTORY_BAYS);
    let extent = form.within("extent_m", EXTENT);
    let stated_swr = form.or_empty("stated_swr", STATED_SWR);
    let plate = form.plate();
    Some(Spec::FactoryTuned(FactoryTuned {
        shape: shape?,
        bays: bays?,
        extent: extent?,
        stated_swr: stated_swr?,
        plate: plate?,
    }))
}
