//! The words of a profile: stages, kinds of job, who answers, when an item applies, who releases it, units.

use crate::words::words;

words! {
    /// A part of a job. The six stages are fixed; a profile says which items belong to each.
    #[derive(PartialOrd, Ord, Hash)]
    Stage {
        /// Authority and safety.
        Authority = "authority" / "authority and safety",
        /// The test stand.
        Stand = "stand" / "stand",
        /// On the mast.
        Mast = "mast" / "on the mast",
        /// Cold tests.
        ColdTests = "cold-tests" / "cold tests",
        /// RF on.
        RfOn = "rf-on" / "RF on",
        /// Hand-over.
        HandOver = "hand-over" / "hand-over",
    }
}

impl Stage {
    /// What the gate at the end of the stage opens to.
    #[must_use]
    pub fn gate(self) -> &'static str {
        match self {
            Self::Authority => "may start",
            Self::Stand => "fit to lift",
            Self::Mast => "mechanically complete",
            Self::ColdTests => "ready for RF",
            Self::RfOn => "ready for service",
            Self::HandOver => "accepted",
        }
    }

    /// The stage before it.
    #[must_use]
    pub fn before(self) -> Option<Self> {
        Self::ALL.iter().copied().take_while(|stage| *stage != self).last()
    }
}

words! {
    /// What a job is for. It chooses, by a profile's data, which items and with them which stages a job has.
    JobKind {
        /// Everything is new.
        NewInstallation = "new-installation" / "new installation",
        /// Another antenna.
        AntennaReplaced = "antenna-replaced" / "antenna replaced",
        /// Another feed line.
        FeedLineReplaced = "feed-line-replaced" / "feed line replaced",
        /// Another transmitter.
        TransmitterReplaced = "transmitter-replaced" / "transmitter replaced",
        /// Another frequency.
        FrequencyChange = "frequency-change" / "frequency change",
        /// Another power.
        PowerChange = "power-change" / "power change",
        /// Damage put right.
        StormRepair = "storm-repair" / "storm repair",
    }
}

words! {
    /// Who or what answers an item.
    Answering {
        /// A person, by a tick.
        Tick = "tick" / "answered by a person",
        /// A person, by a value with its unit.
        Value = "value" / "a measured value",
        /// A stand set-up is on the record.
        StandSetup = "stand-setup" / "derived",
        /// The meters of the stand readings were in calibration.
        CalibrationStand = "calibration-stand" / "derived",
        /// The chosen setting against the antenna's limit.
        StandSwr = "stand-swr" / "derived",
        /// The arrester's voltage rule.
        ArresterVoltage = "arrester-voltage" / "derived",
        /// RF on the installed antenna only after its gate.
        RfSequence = "rf-sequence" / "derived",
        /// The installed reading against the limit at the meter.
        InstalledSwr = "installed-swr" / "derived",
        /// Stand against installed.
        ChangeExplained = "change-explained" / "derived",
        /// Power against the authorised.
        Power = "power" / "derived",
        /// No fold-back.
        FoldBack = "fold-back" / "derived",
        /// The meter of the installed reading was in calibration.
        CalibrationInstalled = "calibration-installed" / "derived",
        /// Authorised, designed and built agree, or each difference is settled.
        AsBuilt = "as-built" / "derived",
        /// Exclusion distances for the final set-up.
        Exposure = "exposure" / "derived",
        /// No class A snag open, and each class B with its owner and day.
        Snags = "snags" / "derived",
    }
}

impl Answering {
    /// Whether the server answers it and nobody can tick it.
    #[must_use]
    pub fn is_derived(self) -> bool {
        !matches!(self, Self::Tick | Self::Value)
    }
}

words! {
    /// When an item applies. Each is answered by facts alone, so that "not applicable" by one of them needs no
    /// second person; while a fact is not known the item stays open.
    Condition {
        /// Always.
        Always = "always" / "always",
        /// The chain has an arrester.
        ArresterFitted = "arrester-fitted" / "where an arrester is fitted",
        /// The structure is a mast or a tower, or higher than the profile's bound for work from the ground.
        Climbing = "climbing" / "where somebody climbs",
        /// The antenna is set on the stand.
        StandTuned = "stand-tuned" / "where the antenna is set on a stand",
        /// The antenna comes set from its maker.
        FactoryTuned = "factory-tuned" / "where the antenna comes set from its maker",
        /// No part of the line joins inner and outer conductor.
        LineOpenAtDc = "line-open-at-dc" / "where the line is open at DC",
        /// The antenna joins inner and outer conductor.
        AntennaShortAtDc = "antenna-short-at-dc" / "where the antenna is a short at DC",
        /// The line holds pressure.
        Pressurised = "pressurised" / "where the line is pressurised",
        /// Other stations radiate from the site.
        OtherStations = "other-stations" / "where other stations radiate from the site",
        /// The authorised ERP is above the profile's bound.
        ErpAbove = "erp-above" / "where the authorised ERP is above the bound",
    }
}

words! {
    /// Who releases an item that stops the work, whatever its gate.
    Hold {
        /// Somebody who did not do the item.
        Another = "another" / "released by somebody else",
        /// Whoever set the lock, and nobody else.
        Locker = "locker" / "released by whoever set the lock",
    }
}

words! {
    /// The unit of a value item.
    Unit {
        /// Metres.
        Metre = "m" / "m",
        /// Ohms.
        Ohm = "Ω" / "Ω",
        /// Milliohms.
        Milliohm = "mΩ" / "mΩ",
        /// Kilohertz, with a sign: an error of frequency.
        Kilohertz = "kHz" / "kHz",
    }
}
