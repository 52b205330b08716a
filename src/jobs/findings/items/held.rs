//! Items that stop the work until somebody releases them, and items that come after another.

use crate::jobs::findings::items::{Found, HoldFinding, ItemFinding, Sources};
use crate::jobs::findings::stages::{settled, suits};
use crate::jobs::model::Answer;
use crate::profiles::model::{Hold, Item};
use crate::words::joined;

impl Sources<'_> {
    /// What is left of "passed" where somebody has yet to release it, or where it comes before its turn.
    ///
    /// - `before`: what is known of the items that stand before it
    pub(super) fn held(&self, item: &Item, found: Found, before: &[ItemFinding]) -> Found {
        if found.answer != Some(Answer::Passed) {
            return found;
        }
        let earlier =
            item.after.as_ref().and_then(|id| before.iter().find(|finding| finding.id == *id));
        match (item.hold, earlier) {
            (Some(Hold::Locker), Some(lock)) => self.unlocked(item, found, lock),
            (Some(Hold::Another), _) => self.released(item, found),
            (_, Some(earlier)) if !settled(earlier) => {
                let wait = format!("comes after “{}”, which is open", earlier.text);
                Found { answer: None, ..found }.noted(&wait)
            }
            _ => found,
        }
    }

    /// An answer that somebody else has to look at before it counts.
    fn released(&self, item: &Item, found: Found) -> Found {
        let Some((answer, _)) = self.record.answered(&item.id) else { return found };
        let held = HoldFinding { answer: answer.uuid, released: None };
        let Some((fact, release)) = self.record.hold_release(answer.uuid) else {
            let found = Found { answer: None, hold: Some(held), ..found };
            return found.noted("stops the work until somebody else releases it");
        };
        if !suits(release.manner, self.record.class()) {
            let found = Found { answer: None, hold: Some(held), ..found };
            return found.noted("its own release no longer stands: the job is not single-handed");
        }
        let by = format!(
            "released by {}, {}, {}",
            self.record.name(fact.by),
            fact.measured.shown(),
            release.manner.shown()
        );
        let hold = Some(HoldFinding { released: Some(fact.uuid), ..held });
        Found { hold, ..found }.noted(&joined(by, &release.read_back)).resting_on(Some(fact.uuid))
    }

    /// The answer of whoever set the lock, given after it was set; nobody else's counts.
    fn unlocked(&self, item: &Item, found: Found, lock: &ItemFinding) -> Found {
        if lock.answer == Some(Answer::NotApplicable) {
            return found;
        }
        let set = self.record.answered(&lock.id).filter(|_| lock.answer == Some(Answer::Passed));
        let (Some((set, _)), Some((clear, _))) = (set, self.record.answered(&item.id)) else {
            let open = format!("nobody has set the lock: “{}” is open", lock.text);
            return Found { answer: None, ..found }.noted(&open);
        };
        let found = found.resting_on(Some(set.uuid));
        let after = self.record.place(clear.uuid) > self.record.place(set.uuid);
        if set.by == clear.by && after {
            return found;
        }
        let whose = format!(
            "the lock was set by {}, {}: only who set it removes it, and says so after",
            self.record.name(set.by),
            set.measured.shown()
        );
        Found { answer: None, ..found }.noted(&whose)
    }
}
