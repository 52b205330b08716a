//! Slows down whoever guesses passwords: a count of attempts for each login, and one for each address, in
//! memory, bounded.

use std::collections::HashMap;
use std::sync::{Mutex, PoisonError};

use crate::clock::Utc;

/// So many attempts are free; a person who mistypes does not notice the throttle.
const FREE: u32 = 5;

/// So many attempts are free from one address: a whole crew may sit behind it.
const FREE_OF_ADDRESS: u32 = 30;

/// The first wait; every further failure doubles it.
const FIRST_WAIT_SECONDS: i64 = 5;

/// No wait is longer, so that nobody can be kept out for long by somebody else's guessing.
const LONGEST_WAIT_SECONDS: i64 = 60;

/// After so long without an attempt a login is forgotten.
const FORGET_SECONDS: i64 = 15 * 60;

/// So many logins are kept in mind at most: some 1 MB.
const MOST_LOGINS: usize = 10_000;

#[derive(Debug, Clone, Copy)]
struct Attempts {
    count: u32,
    last: Utc,
}

impl Attempts {
    fn wait_until(self, free: u32) -> Utc {
        if self.count < free {
            return self.last;
        }
        let doublings = (self.count - free).min(8);
        self.last.plus_seconds((FIRST_WAIT_SECONDS << doublings).min(LONGEST_WAIT_SECONDS))
    }

    fn forgotten(self, now: Utc) -> bool {
        self.last.plus_seconds(FORGET_SECONDS) <= now
    }
}

/// The attempts of late, by login or by address. Whether a login exists makes no difference.
#[derive(Debug)]
pub struct Throttle {
    free: u32,
    attempts: Mutex<HashMap<String, Attempts>>,
}

impl Default for Throttle {
    fn default() -> Self {
        Self { free: FREE, attempts: Mutex::default() }
    }
}

impl Throttle {
    /// One that counts by address.
    #[must_use]
    pub fn of_addresses() -> Self {
        Self { free: FREE_OF_ADDRESS, attempts: Mutex::default() }
    }

    /// Counts an attempt that is about to be made. It counts as a failure until [`Throttle::forget`],
    /// so that many at the same time gain nothing.
    ///
    /// # Errors
    /// The seconds to wait; then this attempt was not counted and must not be made.
    pub fn attempt(&self, login: &str, now: Utc) -> Result<(), i64> {
        // A lock whose holder panicked still guards a usable map.
        let mut all = self.attempts.lock().unwrap_or_else(PoisonError::into_inner);
        let login = login.to_lowercase();
        let known = all.get(&login).copied().filter(|attempts| !attempts.forgotten(now));
        if let Some(attempts) = known
            && attempts.wait_until(self.free) > now
        {
            return Err(attempts.wait_until(self.free).seconds() - now.seconds());
        }
        if all.len() >= MOST_LOGINS && !all.contains_key(&login) {
            make_room(&mut all, now);
        }
        let count = known.map_or(0, |attempts| attempts.count).saturating_add(1);
        all.insert(login, Attempts { count, last: now });
        Ok(())
    }

    /// Takes one attempt back: the password was right. The others from the same address still count, so that
    /// nobody clears them by signing in to an account of the own.
    pub fn forgive(&self, key: &str) {
        let mut all = self.attempts.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(attempts) = all.get_mut(&key.to_lowercase()) {
            attempts.count = attempts.count.saturating_sub(1);
        }
    }

    /// Forgets the attempts of a login whose password was right.
    pub fn forget(&self, login: &str) {
        let mut all = self.attempts.lock().unwrap_or_else(PoisonError::into_inner);
        all.remove(&login.to_lowercase());
    }
}

fn make_room(all: &mut HashMap<String, Attempts>, now: Utc) {
    all.retain(|_, attempts| !attempts.forgotten(now));
    while all.len() >= MOST_LOGINS {
        // Those with the fewest attempts go first: a login under attack stays slowed down.
        let Some(least) = all
            .iter()
            .min_by_key(|(_, attempts)| (attempts.count, attempts.last))
            .map(|(login, _)| login.clone())
        else {
            return;
        };
        all.remove(&least);
    }
}

#[cfg(test)]
mod tests {
    use super::{MOST_LOGINS, Throttle};
    use crate::clock::Utc;

    fn at(second: i64) -> Utc {
        Utc::from_seconds(1_900_000_000 + second)
    }

    #[test]
    fn the_wait_begins_after_five_attempts_and_grows_to_a_minute() {
        let throttle = Throttle::default();
        for _ in 0..5 {
            assert_eq!(throttle.attempt("mara", at(0)), Ok(()));
        }
        assert_eq!(throttle.attempt("Mara", at(0)), Err(5));
        assert_eq!(throttle.attempt("mara", at(4)), Err(1));
        assert_eq!(throttle.attempt("other", at(4)), Ok(()));
        let mut now = 0;
        for wait in [5, 10, 20, 40, 60, 60] {
            now += wait;
            assert_eq!(throttle.attempt("mara", at(now - 1)), Err(1));
            assert_eq!(throttle.attempt("mara", at(now)), Ok(()));
        }
    }

    #[test]
    fn a_right_password_and_a_quarter_of_an_hour_clear_the_count() {
        let throttle = Throttle::default();
        for _ in 0..5 {
            throttle.attempt("mara", at(0)).unwrap();
        }
        throttle.forget("MARA");
        for _ in 0..5 {
            throttle.attempt("mara", at(1)).unwrap();
        }
        assert!(throttle.attempt("mara", at(2)).is_err());
        for _ in 0..5 {
            throttle.attempt("mara", at(2000)).unwrap();
        }
    }

    #[test]
    fn a_flood_of_logins_is_bounded_and_does_not_free_the_one_under_attack() {
        let throttle = Throttle::default();
        for _ in 0..5 {
            throttle.attempt("mara", at(0)).unwrap();
        }
        for number in 0..MOST_LOGINS + 50 {
            throttle.attempt(&format!("flood-{number}"), at(1)).unwrap();
        }
        assert!(throttle.attempts.lock().unwrap().len() <= MOST_LOGINS);
        assert_eq!(throttle.attempt("mara", at(1)), Err(4));
    }
}
