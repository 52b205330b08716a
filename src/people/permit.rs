//! Permission as a value: a permit can only be had from here, so a function that asks for one says
//! who may call it, and the site it works on is the permit's.

use std::marker::PhantomData;

use sqlx::SqliteConnection;

use crate::clock::Utc;
use crate::db::StoreError;
use crate::people::model::{Person, Role};
use crate::people::store;

/// Something a role may or may not do.
pub trait Ability: Send + Sync + 'static {
    /// Whether the role may.
    fn of(role: Role) -> bool;
}

macro_rules! abilities {
    ($($(#[$doc:meta])* $name:ident: $($role:ident)|+;)+) => {$(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy)]
        pub struct $name;
        impl Ability for $name {
            fn of(role: Role) -> bool {
                matches!(role, $(Role::$role)|+)
            }
        }
    )+};
}

abilities! {
    /// See what one is granted.
    See: Contractor | Engineer | Manager | Reader;
    /// Open a job.
    OpenJob: Contractor | Engineer | Manager;
    /// Record facts, answer checks.
    RecordFacts: Contractor | Engineer | Manager;
    /// Make and edit sites and assignments.
    KeepSites: Engineer | Manager;
    /// Make a revision of a chain (a contractor within an open job).
    ReviseChain: Contractor | Engineer | Manager;
    /// Keep instruments (a contractor those of the own firm).
    KeepInstruments: Contractor | Engineer | Manager;
    /// Release a gate.
    Release: Contractor | Engineer | Manager;
    /// Declare completion.
    Declare: Contractor | Engineer | Manager;
    /// Accept or return a declared job.
    Decide: Engineer | Manager;
    /// Grant a concession, set a job's independence.
    Concede: Manager;
    /// Keep people and their grants.
    KeepPeople: Manager;
}

/// Why there is no permit.
#[derive(Debug, thiserror::Error)]
pub enum Denied {
    /// The person may know of the thing, but not do this.
    #[error("forbidden")]
    Forbidden,
    /// The person may not even know of it, or it does not exist.
    #[error("not found")]
    NotFound,
    /// The database.
    #[error(transparent)]
    Store(#[from] StoreError),
}

/// An ability without a record.
#[derive(Debug, Clone)]
pub struct Permit<A> {
    person: Person,
    ability: PhantomData<A>,
}

impl<A: Ability> Permit<A> {
    /// Gives the permit to a signed-in person, if the role may.
    ///
    /// # Errors
    /// [`Denied::Forbidden`].
    pub fn of(person: Person) -> Result<Self, Denied> {
        if !A::of(person.role) {
            return Err(Denied::Forbidden);
        }
        Ok(Self { person, ability: PhantomData })
    }

    /// Whose it is.
    #[must_use]
    pub fn person(&self) -> &Person {
        &self.person
    }

    /// Whether it covers what belongs to the firm: a contractor works for the own firm only.
    #[must_use]
    pub fn covers_firm(&self, firm_id: i64) -> bool {
        self.person.role != Role::Contractor || self.person.firm_id == firm_id
    }
}

/// An ability on one site.
#[derive(Debug, Clone)]
pub struct SitePermit<A> {
    person: Person,
    site_id: i64,
    site_code: String,
    ability: PhantomData<A>,
}

impl<A: Ability> SitePermit<A> {
    /// Gives the permit for the site with this code: not found for a site that does not exist or is
    /// not granted, forbidden where the role may see but not do this.
    ///
    /// # Errors
    /// [`Denied`].
    pub async fn of(
        conn: &mut SqliteConnection,
        now: Utc,
        person: Person,
        code: &str,
    ) -> Result<Self, Denied> {
        let granted_site = store::site_for(conn, &person, now, code).await?;
        let (site_id, site_code) = granted_site.ok_or(Denied::NotFound)?;
        if !A::of(person.role) {
            return Err(Denied::Forbidden);
        }
        Ok(Self { person, site_id, site_code, ability: PhantomData })
    }

    /// Whose it is.
    #[must_use]
    pub fn person(&self) -> &Person {
        &self.person
    }

    /// The row of the site.
    #[must_use]
    pub fn site_id(&self) -> i64 {
        self.site_id
    }

    /// The site's code as it is written.
    #[must_use]
    pub fn site_code(&self) -> &str {
        &self.site_code
    }

    /// Whether the same person could hold another ability on this site: for showing or hiding a form.
    #[must_use]
    pub fn also<B: Ability>(&self) -> bool {
        B::of(self.person.role)
    }
}
