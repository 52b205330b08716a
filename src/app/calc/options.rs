//! What `standmast calc` can be asked.

use std::path::PathBuf;

use clap::{ArgGroup, Args, Subcommand, ValueEnum};

use crate::rf::quantity::{
    Celsius, Degrees, DirectivityDb, GainDbd, LossDb, Megahertz, Metres, Millimetres, OhmMetres,
    Ohms, Percent, Quantity, ReturnLossDb, Swr, VelocityFactor, Volts, Watts, WattsPerSquareMetre,
};

/// One calculation.
#[derive(Debug, Args)]
pub struct CalcOptions {
    /// Print one JSON object; what is infinite or cannot be said is null, with a reason
    #[arg(long, global = true)]
    pub json: bool,
    /// What to reckon.
    #[command(subcommand)]
    pub command: CalcCommand,
}

/// What can be reckoned.
#[derive(Debug, Subcommand)]
pub enum CalcCommand {
    /// Length of an element (half wave: tip to tip)
    Element(Element),
    /// Reflection, SWR and return loss from one another or from two powers
    Reflection(ReflectionOf),
    /// What an SWR read at the transmitter's end is at the antenna
    AntennaInput(AntennaInput),
    /// Loss of a line
    Line(Line),
    /// SWR with its interval from a directional wattmeter
    Meter(Meter),
    /// Radiated power
    Power(Power),
    /// Distance at which power density falls to a limit; no assessment, local rules come first
    Exposure(Exposure),
    /// Resistance of ground rods in uniform soil
    Rod(Rod),
    /// Soil resistivity from a four-pin test
    Soil(Soil),
    /// Where the potential pin reads true, by the slope method
    FallOfPotential(FallOfPotential),
    /// A gas tube against the peak voltage on the line
    Arrester(Arrester),
    /// Best match in a sweep file (Touchstone)
    Sweep(SweepOf),
    /// Distance to fault from a sweep file (Touchstone)
    Fault(Fault),
    /// Trend of a series (CSV: RFC 3339 date, value)
    Trend(TrendOf),
}

/// Reads a number of a quantity.
fn of<Q: Quantity>(text: &str) -> Result<Q, String> {
    let number: f64 = text.trim().parse().map_err(|_| format!("“{text}” is not a number"))?;
    if !number.is_finite() {
        return Err(format!("“{text}” is not a finite number"));
    }
    Q::new(number).map_err(|error| error.to_string())
}

/// The kinds of element.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum ElementKind {
    /// Fed in the middle, tip to tip
    HalfWave,
    /// Over four quarter-wave radials
    QuarterWave,
    /// Matched by a coil or tap
    FiveEighths,
}

/// See [`CalcCommand::Element`].
#[derive(Debug, Args)]
pub struct Element {
    /// Frequency, MHz
    #[arg(long, value_parser = of::<Megahertz>)]
    pub frequency_mhz: Megahertz,
    /// Kind of element
    #[arg(long, value_enum)]
    pub kind: ElementKind,
    /// Diameter of rod or tube, mm
    #[arg(long, value_parser = of::<Millimetres>)]
    pub diameter_mm: Option<Millimetres>,
    /// Droop of a quarter wave's radials below the horizontal, degrees
    #[arg(long, value_parser = of::<Degrees>)]
    pub droop_degrees: Option<Degrees>,
}

/// See [`CalcCommand::Reflection`].
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("from").required(true).args(["forward_w", "swr", "return_loss_db"]))]
pub struct ReflectionOf {
    /// Forward power, W
    #[arg(long, value_parser = of::<Watts>, requires = "reflected_w")]
    pub forward_w: Option<Watts>,
    /// Reflected power, W
    #[arg(long, value_parser = of::<Watts>, requires = "forward_w")]
    pub reflected_w: Option<Watts>,
    /// SWR
    #[arg(long, value_parser = of::<Swr>)]
    pub swr: Option<Swr>,
    /// Return loss, dB, positive
    #[arg(long, value_parser = of::<ReturnLossDb>)]
    pub return_loss_db: Option<ReturnLossDb>,
}

/// See [`CalcCommand::AntennaInput`].
#[derive(Debug, Args)]
pub struct AntennaInput {
    /// SWR as read before the line
    #[arg(long, value_parser = of::<Swr>)]
    pub swr: Swr,
    /// One-way matched loss of the line, dB
    #[arg(long, value_parser = of::<LossDb>)]
    pub line_loss_db: LossDb,
}

/// See [`CalcCommand::Line`].
#[derive(Debug, Args)]
#[command(group = ArgGroup::new("constants").required(true).args(["cable", "conductor_loss"]))]
pub struct Line {
    /// A generic or standard cable type
    #[arg(long, value_name = "NAME")]
    pub cable: Option<String>,
    /// A of A√f + Bf, dB per 100 m, f in MHz
    #[arg(long, value_parser = of::<LossDb>, requires = "dielectric_loss")]
    pub conductor_loss: Option<LossDb>,
    /// B of A√f + Bf, dB per 100 m, f in MHz
    #[arg(long, value_parser = of::<LossDb>, requires = "conductor_loss")]
    pub dielectric_loss: Option<LossDb>,
    /// Length, m
    #[arg(long, value_parser = of::<Metres>)]
    pub length_m: Metres,
    /// Frequency, MHz
    #[arg(long, value_parser = of::<Megahertz>)]
    pub frequency_mhz: Megahertz,
    /// Temperature of the line, °C
    #[arg(long, value_parser = of::<Celsius>, default_value = "20", allow_negative_numbers = true)]
    pub temperature_c: Celsius,
    /// SWR of the load
    #[arg(long, value_parser = of::<Swr>)]
    pub load_swr: Option<Swr>,
}

/// See [`CalcCommand::Meter`].
#[derive(Debug, Args)]
pub struct Meter {
    /// Forward power, W
    #[arg(long, value_parser = of::<Watts>)]
    pub forward_w: Watts,
    /// Reflected power, W
    #[arg(long, value_parser = of::<Watts>)]
    pub reflected_w: Watts,
    /// Full scale of the forward range, W
    #[arg(long, value_parser = of::<Watts>)]
    pub forward_full_scale_w: Watts,
    /// Full scale of the reflected range, W
    #[arg(long, value_parser = of::<Watts>)]
    pub reflected_full_scale_w: Watts,
    /// Accuracy, per cent of full scale
    #[arg(long, value_parser = of::<Percent>)]
    pub accuracy_percent: Percent,
    /// Directivity, dB, where it is stated
    #[arg(long, value_parser = of::<DirectivityDb>)]
    pub directivity_db: Option<DirectivityDb>,
}

/// See [`CalcCommand::Power`].
#[derive(Debug, Args)]
pub struct Power {
    /// Power at the transmitter's output, W
    #[arg(long, value_parser = of::<Watts>)]
    pub transmitter_w: Watts,
    /// Loss between transmitter and antenna input, dB
    #[arg(long, value_parser = of::<LossDb>)]
    pub loss_db: LossDb,
    /// Gain over a half-wave dipole, dBd
    #[arg(long, value_parser = of::<GainDbd>, allow_negative_numbers = true)]
    pub gain_dbd: GainDbd,
}

/// How much ground adds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum Reflecting {
    /// Nothing
    Free,
    /// Power × 2.56
    Ground,
    /// Power × 4
    Full,
}

/// See [`CalcCommand::Exposure`].
#[derive(Debug, Args)]
pub struct Exposure {
    /// ERP, W: the sum of both polarizations, at the top of the power tolerance
    #[arg(long, value_parser = of::<Watts>)]
    pub erp_w: Watts,
    /// Limit, W/m²
    #[arg(long, value_parser = of::<WattsPerSquareMetre>)]
    pub limit_w_m2: WattsPerSquareMetre,
    /// Reflection from ground and structures
    #[arg(long, value_enum)]
    pub reflection: Reflecting,
    /// Frequency, MHz
    #[arg(long, value_parser = of::<Megahertz>)]
    pub frequency_mhz: Megahertz,
    /// Largest dimension of the whole array, m
    #[arg(long, value_parser = of::<Metres>, default_value = "0")]
    pub aperture_m: Metres,
}

/// See [`CalcCommand::Rod`].
#[derive(Debug, Args)]
pub struct Rod {
    /// Soil resistivity, Ωm
    #[arg(long, value_parser = of::<OhmMetres>)]
    pub resistivity_ohm_m: OhmMetres,
    /// Length in the soil, m
    #[arg(long, value_parser = of::<Metres>)]
    pub length_m: Metres,
    /// Diameter, mm
    #[arg(long, value_parser = of::<Millimetres>)]
    pub diameter_mm: Millimetres,
    /// Rods, one rod length apart
    #[arg(long, default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=24))]
    pub rods: u16,
}

/// See [`CalcCommand::Soil`].
#[derive(Debug, Args)]
pub struct Soil {
    /// Spacing of the four pins, m
    #[arg(long, value_parser = of::<Metres>)]
    pub spacing_m: Metres,
    /// Reading, Ω
    #[arg(long, value_parser = of::<Ohms>)]
    pub resistance_ohm: Ohms,
}

/// See [`CalcCommand::FallOfPotential`].
#[derive(Debug, Args)]
pub struct FallOfPotential {
    /// Distance of the current pin, m
    #[arg(long, value_parser = of::<Metres>)]
    pub current_probe_m: Metres,
    /// Reading at 20 %, Ω
    #[arg(long, value_parser = of::<Ohms>)]
    pub r20_ohm: Ohms,
    /// Reading at 40 %, Ω
    #[arg(long, value_parser = of::<Ohms>)]
    pub r40_ohm: Ohms,
    /// Reading at 60 %, Ω
    #[arg(long, value_parser = of::<Ohms>)]
    pub r60_ohm: Ohms,
}

/// See [`CalcCommand::Arrester`].
#[derive(Debug, Args)]
pub struct Arrester {
    /// Greatest forward power at the arrester, W
    #[arg(long, value_parser = of::<Watts>)]
    pub forward_w: Watts,
    /// Worst allowed SWR there
    #[arg(long, value_parser = of::<Swr>)]
    pub swr: Swr,
    /// Nominal static spark-over, V
    #[arg(long, value_parser = of::<Volts>)]
    pub sparkover_v: Volts,
    /// Its tolerance, per cent
    #[arg(long, value_parser = of::<Percent>)]
    pub tolerance_percent: Percent,
}

/// See [`CalcCommand::Sweep`].
#[derive(Debug, Args)]
pub struct SweepOf {
    /// A Touchstone file
    pub file: PathBuf,
    /// A frequency to read it at, MHz
    #[arg(long, value_parser = of::<Megahertz>)]
    pub at_mhz: Option<Megahertz>,
}

/// Weights of the points.
#[derive(Debug, Clone, Copy, PartialEq, Eq, ValueEnum)]
pub enum WindowKind {
    /// All alike
    Rectangular,
    /// Raised cosine
    Hann,
    /// Least side lobes
    Blackman,
}

/// See [`CalcCommand::Fault`].
#[derive(Debug, Args)]
pub struct Fault {
    /// A Touchstone file
    pub file: PathBuf,
    /// Velocity factor of the line
    #[arg(long, value_parser = of::<VelocityFactor>)]
    pub velocity_factor: VelocityFactor,
    /// A of the line's A√f + Bf, dB per 100 m, f in MHz
    #[arg(long, value_parser = of::<LossDb>, requires = "dielectric_loss")]
    pub conductor_loss: Option<LossDb>,
    /// B of the line's A√f + Bf, dB per 100 m, f in MHz
    #[arg(long, value_parser = of::<LossDb>, requires = "conductor_loss")]
    pub dielectric_loss: Option<LossDb>,
    /// Window over the sweep
    #[arg(long, value_enum, default_value = "hann")]
    pub window: WindowKind,
}

/// See [`CalcCommand::Trend`].
#[derive(Debug, Args)]
pub struct TrendOf {
    /// A CSV file: RFC 3339 date or date and time, value; a head line is allowed
    pub file: PathBuf,
}
