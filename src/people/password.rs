//! Passwords: argon2id, hashed off the request threads, two at a time.

use std::sync::Arc;

use argon2::{Argon2, PasswordHasher, PasswordVerifier, password_hash::phc::PasswordHash};
use tokio::sync::Semaphore;
use uuid::Uuid;

use crate::db::{Reads, StoreError};
use crate::people::model::Person;
use crate::people::store;

/// The shortest password taken. NIST SP 800-63B asks for at least 8; a shared site deserves more.
pub const SHORTEST: usize = 10;

/// The longest password taken, so that hashing a request stays bounded.
pub const LONGEST: usize = 200;

/// A hash no password verifies against. Checked when the login is unknown, so that the time of the
/// answer does not tell whether it exists.
const NOBODY: &str = "$argon2id$v=19$m=19456,t=2,p=1$c3RhbmRtYXN0LW5vYm9keQ$l1jZ2JBTyLHVhIKgYPRwLKiK4vZ8V1bUnVMCl1GvRpM";

/// Why a password could not be hashed or checked.
#[derive(Debug, thiserror::Error)]
#[error("password hashing: {0}")]
pub struct PasswordError(String);

/// Proof that a person typed the own password just now: an act that asks for it cannot be done by
/// whoever only found a device signed in. Made by [`Passwords::confirm`] alone.
#[derive(Debug)]
pub struct PasswordConfirmed(Uuid);

impl PasswordConfirmed {
    /// Whether it is this person's.
    #[must_use]
    pub fn is_of(&self, person: &Person) -> bool {
        self.0 == person.uuid
    }
}

/// Hashes and checks passwords; each takes some 20 MiB while it lasts, hence only two at a time.
#[derive(Debug, Clone)]
pub struct Passwords(Arc<Semaphore>);

impl Default for Passwords {
    fn default() -> Self {
        Self(Arc::new(Semaphore::new(2)))
    }
}

impl Passwords {
    /// The PHC text of an argon2id hash with a salt of its own.
    ///
    /// # Errors
    /// [`PasswordError`] when the machine gives no randomness or memory.
    pub async fn hash(&self, password: String) -> Result<String, PasswordError> {
        self.off_thread(move || {
            Argon2::default()
                .hash_password(password.as_bytes())
                .map(|hash| hash.to_string())
                .map_err(|error| PasswordError(error.to_string()))
        })
        .await?
    }

    /// Whether the password is the one of the hash; `None` stands for an unknown login and takes as
    /// long as a wrong password does.
    ///
    /// # Errors
    /// [`PasswordError`] when the stored hash cannot be read.
    pub async fn verify(
        &self,
        password: String,
        hash: Option<String>,
    ) -> Result<bool, PasswordError> {
        self.off_thread(move || {
            let known = hash.is_some();
            let text = hash.unwrap_or_else(|| NOBODY.to_owned());
            let parsed =
                PasswordHash::new(&text).map_err(|error| PasswordError(error.to_string()))?;
            let fits = Argon2::default().verify_password(password.as_bytes(), &parsed).is_ok();
            Ok(known && fits)
        })
        .await?
    }

    /// The proof that a signed-in person typed the own password; `None` for any other text.
    ///
    /// # Errors
    /// [`PasswordError`] when the stored hash cannot be read.
    pub async fn confirm(
        &self,
        reads: &Reads,
        person: &Person,
        typed: String,
    ) -> Result<Option<PasswordConfirmed>, PasswordError> {
        let failed = |error: StoreError| PasswordError(error.to_string());
        let mut snapshot = reads.snapshot().await.map_err(failed)?;
        let hash = store::password_hash(snapshot.conn(), person.id).await.map_err(failed)?;
        drop(snapshot);
        let fits = self.verify(typed, hash).await?;
        Ok(fits.then_some(PasswordConfirmed(person.uuid)))
    }

    async fn off_thread<T: Send + 'static>(
        &self,
        work: impl FnOnce() -> T + Send + 'static,
    ) -> Result<T, PasswordError> {
        let failed = |error: String| PasswordError(error);
        let _slot = self.0.acquire().await.map_err(|error| failed(error.to_string()))?;
        tokio::task::spawn_blocking(work).await.map_err(|error| failed(error.to_string()))
    }
}

/// A password made by the program: five groups of four letters and digits that are not mistaken for
/// one another, some 97 bits.
///
/// # Errors
/// [`PasswordError`] when the machine gives no randomness.
pub fn generated() -> Result<String, PasswordError> {
    const LETTERS: &[u8; 32] = b"abcdefghijkmnpqrstuvwxyz23456789";
    let mut random = [0_u8; 20];
    getrandom::fill(&mut random).map_err(|error| PasswordError(error.to_string()))?;
    let letters: Vec<char> =
        random.iter().map(|byte| char::from(LETTERS[usize::from(byte % 32)])).collect();
    Ok(letters
        .chunks(4)
        .map(|group| group.iter().collect::<String>())
        .collect::<Vec<_>>()
        .join("-"))
}

/// Why a new password is not taken, as a sentence for the person.
///
/// # Errors
/// The sentence.
pub fn check(password: &str) -> Result<(), String> {
    let length = password.chars().count();
    if length < SHORTEST {
        return Err(format!(
            "this password has {length} characters; it needs at least {SHORTEST}, any characters"
        ));
    }
    if length > LONGEST {
        return Err(format!("this password has {length} characters; at most {LONGEST} are taken"));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::{Passwords, check, generated};

    #[tokio::test]
    async fn a_password_fits_its_own_hash_and_no_other() {
        let passwords = Passwords::default();
        let hash = passwords.hash("over the ridge".to_owned()).await.unwrap();
        assert!(hash.starts_with("$argon2id$"));
        assert!(passwords.verify("over the ridge".to_owned(), Some(hash.clone())).await.unwrap());
        assert!(!passwords.verify("under the ridge".to_owned(), Some(hash)).await.unwrap());
        assert!(!passwords.verify("over the ridge".to_owned(), None).await.unwrap());
    }

    #[test]
    fn a_short_password_is_told_how_long_it_must_be() {
        assert!(check("short").unwrap_err().contains("at least 10"));
        assert_eq!(check(&generated().unwrap()), Ok(()));
    }
}
