//! Telling the story: each step passes through the form and the act that a page would use.

use crate::app::demo::story::{Deed, Member, Timed};
use crate::app::demo::{Account, jobs};
use crate::clock::Clock;
use crate::db::{DataFolder, Snapshot, StoreError};
use crate::equipment;
use crate::equipment::acts::RevisionBasis;
use crate::instruments;
use crate::journal::{ActError, Intent};
use crate::people::acts::PersonChange;
use crate::people::model::{Granting, Holder, Person, PersonDraft, SiteGrant};
use crate::people::password::PasswordError;
use crate::people::permit::{
    Ability, Denied, KeepPeople, KeepSites, Permit, ReviseChain, SitePermit,
};
use crate::people::{acts, form, store};
use crate::sites;
use crate::web::Fields;

/// Why a step cannot be told, in words.
#[derive(Debug)]
pub(super) struct Stuck(pub(super) String);

impl From<StoreError> for Stuck {
    fn from(error: StoreError) -> Self {
        Self(error.to_string())
    }
}

impl From<PasswordError> for Stuck {
    fn from(error: PasswordError) -> Self {
        Self(error.to_string())
    }
}

impl From<Denied> for Stuck {
    fn from(denied: Denied) -> Self {
        Self(denied.to_string())
    }
}

impl From<ActError> for Stuck {
    fn from(error: ActError) -> Self {
        match error {
            ActError::Refused(problems) => {
                let texts: Vec<String> = problems.into_iter().map(|problem| problem.text).collect();
                Self(texts.join(" "))
            }
            other => Self(other.to_string()),
        }
    }
}

impl From<Fields> for Stuck {
    fn from(fields: Fields) -> Self {
        let told = fields.errors().iter().map(|(field, message)| format!("{field}: {message}"));
        Self(told.collect::<Vec<_>>().join("; "))
    }
}

/// A record that is being made, and the held clock that walks through its days.
#[derive(Debug, Clone, Copy)]
pub(super) struct Teller<'a> {
    pub(super) folder: &'a DataFolder,
    pub(super) clock: &'a Clock,
    /// Who can sign in, with their passwords: accepting asks for the own one.
    pub(super) accounts: &'a [Account],
}

impl<'a> Teller<'a> {
    pub(super) fn password_of(self, login: &str) -> &'a str {
        let account = self.accounts.iter().find(|account| account.login == login);
        account.map_or("", |account| account.password.as_str())
    }

    pub(super) async fn snapshot(self) -> Result<Snapshot, Stuck> {
        Ok(self.folder.reads.snapshot().await?)
    }

    /// Adds the people: the first one as the operator does at the command line, the others as the
    /// first one does on the page.
    pub(super) async fn add(self, people: &[(Member, String)]) -> Result<(), Stuck> {
        let writer = &self.folder.writer;
        let Some(((manager, hash), others)) = people.split_first() else { return Ok(()) };
        acts::add_by_operator(writer, self.clock, &self.draft(manager)?, hash).await?;
        let manager = self.person(&manager.login).await?;
        let permit = Permit::<KeepPeople>::of(manager.clone())?;
        for (member, hash) in others {
            let draft = self.draft(member)?;
            let intent = Intent::without_form(self.clock, manager.actor(), "person added", &draft)?;
            acts::add(writer, self.clock, &permit, intent, &draft, hash).await?;
        }
        Ok(())
    }

    fn draft(self, member: &Member) -> Result<PersonDraft, Stuck> {
        let fields = Fields::empty(self.clock)
            .with("login", &member.login)
            .with("name", &member.name)
            .with("firm", &member.firm)
            .with("role", &member.role);
        Ok(form::draft(&fields)?)
    }

    async fn person(self, login: &str) -> Result<Person, Stuck> {
        let mut snapshot = self.snapshot().await?;
        let person = store::find_login(snapshot.conn(), login).await?;
        person.ok_or_else(|| Stuck(format!("nobody signs in as {login}")))
    }

    /// Does what the step says, at its time.
    pub(super) async fn tell(self, timed: &Timed) -> Result<(), Stuck> {
        self.clock.set(timed.at);
        let person = self.person(&timed.step.who).await?;
        let scene =
            Scene { teller: self, timed, person, fields: timed.fields(Fields::empty(self.clock)) };
        match timed.step.does {
            Deed::AddInstrument => scene.add_instrument().await,
            Deed::AddSite => scene.add_site().await,
            Deed::AddAssignment => scene.add_assignment().await,
            Deed::Grant => scene.grant().await,
            Deed::ReviseChain => scene.revise_chain().await,
            _ => jobs::tell(&scene).await,
        }
    }
}

/// A step with whoever does it and what is typed.
#[derive(Debug)]
pub(super) struct Scene<'a> {
    pub(super) teller: Teller<'a>,
    pub(super) timed: &'a Timed,
    pub(super) person: Person,
    pub(super) fields: Fields,
}

impl Scene<'_> {
    pub(super) fn intent(&self, kind: &'static str) -> Result<Intent, Stuck> {
        let (clock, actor) = (self.teller.clock, self.person.actor());
        Ok(Intent::without_form(clock, actor, kind, &self.timed.content())?)
    }

    fn permit<A: Ability>(&self) -> Result<Permit<A>, Stuck> {
        Ok(Permit::of(self.person.clone())?)
    }

    /// The permit for the story's site.
    pub(super) async fn on_site<A: Ability>(&self) -> Result<SitePermit<A>, Stuck> {
        let mut snapshot = self.teller.snapshot().await?;
        let (person, code) = (self.person.clone(), &self.timed.step.site);
        Ok(SitePermit::of(snapshot.conn(), self.timed.at, person, code).await?)
    }

    async fn add_instrument(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let (draft, statement) = instruments::form::new_instrument(&self.fields, self.timed.at)?;
        let (permit, intent) = (self.permit()?, self.intent("instrument added")?);
        instruments::acts::add(&folder.writer, clock, &permit, intent, &draft, &statement).await?;
        Ok(())
    }

    async fn add_site(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let draft = sites::form::new_site(&self.fields)?;
        let (permit, intent) = (self.permit()?, self.intent("site added")?);
        sites::acts::add(&folder.writer, clock, &permit, intent, &draft).await?;
        Ok(())
    }

    async fn add_assignment(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let particulars = sites::form::new_assignment(&self.fields)?;
        let permit = self.on_site::<KeepSites>().await?;
        let intent = self.intent("assignment added")?;
        let writer = &folder.writer;
        sites::acts::add_assignment(writer, clock, &permit, intent, &particulars).await?;
        Ok(())
    }

    /// Grants the site beside those that the person has already.
    async fn grant(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let whom = self.teller.person(&self.timed.step.of).await?;
        let mut snapshot = self.teller.snapshot().await?;
        let all = store::grants(snapshot.conn(), Holder::Person(whom.id)).await?;
        drop(snapshot);
        let now = self.timed.at;
        let wanted = |site: &SiteGrant| site.holds(now) || site.code == self.timed.step.site;
        let change = PersonChange {
            version: whom.version,
            draft: PersonDraft {
                login: whom.login.clone(),
                name: whom.name.clone(),
                firm: whom.firm.clone(),
                role: whom.role,
            },
            disabled: false,
            sites: all
                .iter()
                .filter(|site| wanted(site))
                .map(|site| Granting { site_id: site.site_id, expires_at: site.expires_at })
                .collect(),
        };
        let (permit, intent) = (self.permit()?, self.intent("person changed")?);
        acts::change(&folder.writer, clock, &permit, intent, whom.uuid, &change).await?;
        Ok(())
    }

    /// Revises the chain of the site's first assignment; what is not typed stays as it was.
    async fn revise_chain(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let permit = self.on_site::<ReviseChain>().await?;
        let mut snapshot = self.teller.snapshot().await?;
        let assignment = sites::store::assignment(snapshot.conn(), permit.site_id(), 1).await?;
        let assignment = assignment.ok_or_else(|| Stuck("no assignment".to_owned()))?.assignment_id;
        let chain = equipment::store::newest(snapshot.conn(), assignment).await?;
        let job = equipment::store::open_job(snapshot.conn(), assignment).await?;
        drop(snapshot);
        let typed = self.fields.clone();
        let fields = match &chain {
            Some(chain) => equipment::form::filled(typed, chain),
            None => equipment::form::fresh(typed),
        };
        let draft = equipment::form::draft(&fields)?;
        let basis = job.map_or(RevisionBasis::Keeper, |job| RevisionBasis::Job(job.id));
        let intent = self.intent("chain revised")?;
        equipment::acts::revise(&folder.writer, clock, &permit, 1, basis, intent, &draft).await?;
        Ok(())
    }
}
