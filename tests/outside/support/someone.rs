//! People with defaults: what a test does not care about is filled in.

use std::sync::LazyLock;

use argon2::{Algorithm, Argon2, Params, PasswordHasher, Version};
use standmast::journal::{Actor, Intent};
use standmast::people::acts::{self, Done, PersonChange};
use standmast::people::model::{Granting, Holder, Person, PersonDraft, Role};
use standmast::people::permit::{KeepPeople, Permit};
use standmast::people::store;
use uuid::Uuid;

use crate::support::TestApp;

/// The password of everybody.
pub const PASSWORD: &str = "over the ridge and down";

/// Its hash with the least cost argon2id takes, made once: signing in is tried by few tests, people are
/// needed by all.
static HASH: LazyLock<String> = LazyLock::new(|| {
    let cheap =
        Argon2::new(Algorithm::Argon2id, Version::V0x13, Params::new(8, 1, 1, None).unwrap());
    cheap.hash_password(PASSWORD.as_bytes()).unwrap().to_string()
});

/// A person about to be added.
pub struct Someone<'a> {
    app: &'a TestApp,
    draft: PersonDraft,
    sites: Vec<String>,
}

impl<'a> Someone<'a> {
    pub(super) fn new(app: &'a TestApp, role: Role, number: u32) -> Self {
        let firm = if role == Role::Contractor { "Ternfold Aerials" } else { "Ternfold Radio" };
        let draft = PersonDraft {
            login: format!("{}{number}", role.word()),
            name: format!("{} no. {number}", role.word()),
            firm: firm.to_owned(),
            role,
        };
        Self { app, draft, sites: Vec::new() }
    }

    /// The name.
    pub fn name(mut self, name: &str) -> Self {
        self.draft.name = name.to_owned();
        self
    }

    /// The sign-in name.
    pub fn login(mut self, login: &str) -> Self {
        self.draft.login = login.to_owned();
        self
    }

    /// The firm.
    pub fn firm(mut self, firm: &str) -> Self {
        self.draft.firm = firm.to_owned();
        self
    }

    /// The sites granted, by code; they must exist.
    pub fn sites(mut self, codes: &[&str]) -> Self {
        self.sites = codes.iter().map(|&code| code.to_owned()).collect();
        self
    }

    /// Adds the person.
    pub async fn added(self) -> Person {
        let Self { app, draft, sites } = self;
        let (writer, clock) = (&app.state.writer, &app.clock);
        let done = acts::add_by_operator(writer, clock, &draft, &HASH).await.unwrap();
        let Done::Now(uuid) = done else { panic!("a new person was added before") };
        let person = find(app, uuid.parse().unwrap()).await;
        if sites.is_empty() {
            return person;
        }
        let mut snapshot = app.state.snapshot().await.unwrap();
        let all = store::grants(snapshot.conn(), Holder::Person(person.id)).await.unwrap();
        drop(snapshot);
        let row = |code: &String| {
            let site = all.iter().find(|known| known.code == *code);
            let site = site.unwrap_or_else(|| panic!("no site {code} to grant"));
            Granting { site_id: site.site_id, expires_at: None }
        };
        let sites = sites.iter().map(row).collect();
        let change = PersonChange { version: person.version, draft, disabled: false, sites };
        // Grants are a manager's to give, so one is lent for it.
        let permit =
            Permit::<KeepPeople>::of(Person { role: Role::Manager, ..person.clone() }).unwrap();
        let intent = Intent {
            id: clock.uuid(),
            actor: Actor::System,
            kind: "person changed",
            digest: [0; 32],
        };
        acts::change(writer, clock, &permit, intent, person.uuid, &change).await.unwrap();
        find(app, person.uuid).await
    }
}

async fn find(app: &TestApp, uuid: Uuid) -> Person {
    let mut snapshot = app.state.snapshot().await.unwrap();
    store::find(snapshot.conn(), uuid).await.unwrap().unwrap()
}
