//! The words of a job: what it is for, how independent it is, the six answers.

use crate::words::words;

words! {
    /// How independent the releases of a job are; page 1 of the report says it.
    JobClass {
        /// Whoever releases a gate did no item of its stage.
        Independent = "independent" / "independent release",
        /// Released by someone elsewhere on the evidence, with a read-back.
        Remote = "remote" / "remote release",
        /// One engineer works alone and releases the own work.
        SingleHanded = "single-handed" / "single-handed, own release",
    }
}

words! {
    /// The six answers to an item.
    Answer {
        /// It holds.
        Passed = "passed" / "passed",
        /// It does not.
        Failed = "failed" / "failed",
        /// It does not apply here.
        NotApplicable = "not-applicable" / "not applicable",
        /// What was measured does not show whether it holds.
        NotShown = "not-shown" / "not shown",
        /// A manager permits to go on without it.
        UnderConcession = "under-concession" / "under concession",
        /// Left to an owner and a date.
        Deferred = "deferred" / "deferred",
    }
}

impl Answer {
    /// The drawn mark beside the word.
    #[must_use]
    pub fn mark(self) -> &'static str {
        match self {
            Self::Passed => "tick",
            Self::Failed => "cross",
            Self::NotApplicable => "dash",
            Self::NotShown => "ring",
            Self::UnderConcession => "diamond",
            Self::Deferred => "flag",
        }
    }
}

words! {
    /// How an answer was come by, where that is told beside it.
    How {
        /// What was asked could not be measured here; another method stood in for it.
        MethodInstead = "method-instead" / "another method used instead",
        /// A meter without a calibration in date was checked on the day of its reading.
        Indicative = "indicative" / "indicative",
    }
}

words! {
    /// How a gate was released.
    Manner {
        /// By someone who did no item of the stage.
        Independent = "independent" / "independent",
        /// By someone elsewhere.
        Remote = "remote" / "remote",
        /// By the one who did the work.
        SingleHanded = "single-handed" / "single-handed",
    }
}
