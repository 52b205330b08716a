//! What is wrong or worth knowing about a chain: the one list that page and act read.

use crate::equipment::budget::structure::structure;
use crate::equipment::budget::{Budget, TABLE_TEMPERATURE};
use crate::equipment::model::{
    ChainPart, Element, GasTubeArrester, OWN_CABLE, Plate, Setting, Spec,
};
use crate::problem::Problem;
use crate::rf::arrester::VOLTAGE_RULE;
use crate::rf::decision::Evidence;
use crate::rf::element::wavelength;
use crate::rf::quantity::{Quantity, Swr, Watts};
use crate::sites::model::{Particulars, Polarization};

/// An ERP below this part of the authorised one is worth a note: the least transmitter power that
/// 47 CFR 73.1560(b) allows is 90 % of the authorised, so smaller differences are in order anyway.
const ERP_WORTH_A_NOTE: f64 = 0.9;

/// From this difference on, declared and authorised height are worth comparing: common practice, no
/// source. Below it tape, plate and drawing differ anyway.
const HEIGHT_DIFFERENCE_M: f64 = 0.5;

/// Closer than this part of a wavelength to the structure, SWR and pattern move noticeably: NEC gives
/// an SWR of 1.19 at 0.25 and 1.78 at 0.10 for a tuned dipole beside a 50 mm pole.
const CLOSE_WAVELENGTHS: f64 = 0.25;

/// The loss of the thinnest generic type, RG-58, with room: a line with own constants beyond it was
/// probably given a catalogue figure where a constant belongs.
const LOSSY_DB_PER_100_M: f64 = 20.0;

/// The field of the form where a part is added at the end of the list.
const ADD: &str = "add_kind";

impl Budget<'_> {
    /// Everything that is wrong with the chain for what the authority has assigned.
    ///
    /// Holds at the assignment's power, with the other carriers on the line at theirs.
    /// - `worst`: the worst SWR allowed at the measuring point, from the profile
    #[must_use]
    pub fn problems(&self, assigned: &Particulars, worst: Swr) -> Vec<Problem> {
        let mut found = structure(self.chain().parts.iter().map(|part| &part.spec));
        if self.chain().meters().next().is_none() {
            found.push(Problem::warning(
                "CHAIN_NO_METER",
                Some(ADD),
                "there is no directional meter in the chain, so there is no measuring point: \
                 checks that rest on a measured SWR or power cannot be answered",
            ));
        }
        found.extend(self.power_problems(assigned));
        found.extend(self.chain().parts.iter().filter_map(|part| self.line_problem(part)));
        found.extend(self.arrester_problems(assigned, worst));
        found.extend(self.rating_problems(assigned, worst));
        if let Some((_, antenna)) = self.chain().antenna() {
            found.extend(antenna.element().and_then(|element| self.length_problem(element)));
            found.extend(self.place_problems(antenna.plate, assigned));
        }
        found
    }

    fn power_problems(&self, assigned: &Particulars) -> Vec<Problem> {
        let mut found = Vec::new();
        let output = assigned.power.value();
        for part in self.chain().transmitters() {
            let Spec::Transmitter(transmitter) = &part.spec else { continue };
            if transmitter.rated_power.value() >= output {
                continue;
            }
            let text = format!(
                "the {} is rated {}, below the {} assigned: check the plate",
                part.named(),
                transmitter.rated_power,
                assigned.power
            );
            let field = self.field_of(part.position, "rated_power_w");
            found.push(Problem::warning("CHAIN_TRANSMITTER_SMALL", Some(&field), text));
        }
        found.extend(self.erp_problem(assigned));
        found
    }

    /// ERP from the assigned transmitter power against the assigned ERP. Above is told as far as the
    /// line's tolerance and the last digit of the authorised figure show it.
    fn erp_problem(&self, assigned: &Particulars) -> Option<Problem> {
        let (transmitter, _) = self.chain().transmitter()?;
        let output = Evidence::exact(assigned.power.value());
        let erp = self.erp(&output, transmitter.position)?;
        let half_step = assigned.erp.resolution() / 2.0;
        let authorised = assigned.erp.value().value();
        let wanted = self.power_for_erp(assigned.erp.value(), transmitter.position)?;
        let figures = format!(
            "{} from the transmitter would radiate {} ERP ({} to {})",
            assigned.power,
            power_shown(erp.point),
            power_shown(erp.interval.low()),
            power_shown(erp.interval.high())
        );
        if erp.interval.low().value() > authorised + half_step {
            let text = format!(
                "{figures}, above the {} authorised: check gain and losses; {} would radiate it",
                assigned.erp,
                power_shown(wanted)
            );
            return Some(Problem::warning("CHAIN_ERP_ABOVE", Some("antenna_gain_dbd"), text));
        }
        if erp.interval.high().value() < ERP_WORTH_A_NOTE * authorised {
            let text = format!("{figures}, below the {} authorised", assigned.erp);
            return Some(Problem::info("CHAIN_ERP_BELOW", Some("antenna_gain_dbd"), text));
        }
        None
    }

    fn line_problem(&self, part: &ChainPart) -> Option<Problem> {
        let (line, field) = match &part.spec {
            Spec::Jumper(line) | Spec::FeedLine(line) => {
                (line, self.field_of(part.position, "conductor_db"))
            }
            _ => return None,
        };
        let loss = line.model().per_100_m(self.frequency(), TABLE_TEMPERATURE);
        if line.cable != OWN_CABLE || loss.value() <= LOSSY_DB_PER_100_M {
            return None;
        }
        let text = format!(
            "the {} would lose {loss:.1} in 100 m, more than the thinnest type of the table: check \
             whether its constants are those of 1 MHz",
            part.named()
        );
        Some(Problem::warning("CHAIN_LINE_LOSSY", Some(&field), text))
    }

    fn arrester_problems(&self, assigned: &Particulars, worst: Swr) -> Vec<Problem> {
        let Some(first) = self.chain().protection() else {
            return vec![Problem::warning(
                "CHAIN_NO_ARRESTER",
                Some(ADD),
                "there is no arrester in the chain; going without one needs a concession",
            )];
        };
        let mut found = Vec::new();
        if first.spec.rated_power(self.frequency()).is_none() {
            let text = match &first.spec {
                Spec::GasTubeArrester(_) => {
                    "no RF power rating is stated for the arrester: the voltage rule by itself does not \
                     show that it fits; check the maker's rating"
                        .to_owned()
                }
                _ => format!(
                    "no RF power rating is stated for the {}: it has no spark-over to compare with, so \
                     nothing shows that it fits; check the maker's rating",
                    first.named()
                ),
            };
            let field = self.field_of(first.position, "rated_power_w");
            found.push(Problem::warning("CHAIN_ARRESTER_UNRATED", Some(&field), text));
        }
        if let Some((part, arrester)) = self.chain().arrester() {
            found.extend(self.voltage_problem(part, arrester, assigned, worst));
        }
        found
    }

    fn voltage_problem(
        &self,
        part: &ChainPart,
        arrester: &GasTubeArrester,
        assigned: &Particulars,
        worst: Swr,
    ) -> Option<Problem> {
        let check = self.arrester_check(assigned.power.value(), worst)?;
        if check.holds {
            return None;
        }
        let text = format!(
            "a tube of {} ± {} may spark over at {:.0}; {}{} at an SWR of {worst} at the meter peak at \
             {:.0}, and the tube should stand {} times that: check the arrester's type",
            arrester.sparkover,
            arrester.tolerance,
            check.lowest,
            assigned.power,
            self.with_others(part),
            check.peak,
            VOLTAGE_RULE
        );
        let field = self.field_of(part.position, "sparkover_v");
        Some(Problem::warning("CHAIN_ARRESTER_VOLTAGE", Some(&field), text))
    }

    /// " and 400 W of 99.2 MHz" for the other carriers at a part; empty where it carries one.
    pub(in crate::equipment) fn with_others(&self, part: &ChainPart) -> String {
        let others = self.chain().others_at(part);
        others.map(|other| format!(" and {} of {}", other.power, other.frequency)).collect()
    }

    fn length_problem(&self, antenna: &Element) -> Option<Problem> {
        let resonance = self.resonance()?;
        let (short, long) = (antenna.shortest.value(), antenna.longest.value());
        if short <= resonance.nominal && resonance.nominal <= long {
            return None;
        }
        let half = resonance.half;
        let figures = format!(
            "at {} a {} element is resonant at about {:.0} each half ({:.0} to {:.0}) in free space",
            self.frequency(),
            antenna.element_diameter,
            resonance.nominal,
            half.low(),
            half.high()
        );
        let field =
            if resonance.nominal > long { "antenna_longest_mm" } else { "antenna_shortest_mm" };
        let range = format!("{} to {}", antenna.shortest.text(), antenna.longest);
        let text = match antenna.setting {
            Setting::CutToLength if resonance.nominal > long => {
                format!("{figures}; cut metal of {range} is too short already: check the antenna")
            }
            _ => format!("{figures}; the range {range} does not hold it: check the antenna"),
        };
        Some(Problem::warning("CHAIN_LENGTH_RANGE", Some(field), text))
    }

    fn place_problems(&self, antenna: &Plate, assigned: &Particulars) -> Vec<Problem> {
        let mut found = Vec::new();
        let (height, authorised) = (antenna.height.value(), assigned.height.value());
        if (height.value() - authorised.value()).abs() >= HEIGHT_DIFFERENCE_M {
            let text = format!(
                "the antenna's centre is at {}, authorised is {}",
                antenna.height, assigned.height
            );
            found.push(Problem::info("CHAIN_HEIGHT", Some("antenna_height_m"), text));
        }
        let wave = wavelength(self.frequency());
        if let Some(spacing) = &antenna.spacing
            && spacing.value().value() < CLOSE_WAVELENGTHS * wave.value()
        {
            let part = spacing.value().value() / wave.value();
            let text = format!(
                "{spacing} from the structure is {part:.2} of a wavelength: the structure by itself \
                 moves the installed SWR and the pattern"
            );
            found.push(Problem::info("CHAIN_CLOSE", Some("antenna_spacing_m"), text));
        }
        if matches!(assigned.polarization, Polarization::Circular | Polarization::Mixed) {
            let text = format!(
                "{} polarization is assigned; a half-wave dipole radiates in one plane",
                assigned.polarization.shown()
            );
            found.push(Problem::warning("CHAIN_POLARIZATION", None, text));
        }
        found
    }
}

/// A power in three figures or so, as a meter would show it.
pub(in crate::equipment) fn power_shown(power: Watts) -> String {
    match power.value() {
        size if size >= 100.0 => format!("{power:.0}"),
        size if size >= 10.0 => format!("{power:.1}"),
        _ => format!("{power:.2}"),
    }
}
