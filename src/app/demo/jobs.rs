//! The steps of the story that belong to a job.

use uuid::Uuid;

use crate::acceptance;
use crate::acceptance::form::Decision;
use crate::app::demo::story::Deed;
use crate::app::demo::teller::{Scene, Stuck, Teller};
use crate::instruments;
use crate::instruments::model::Instrument;
use crate::jobs::acts::{self, Moment, OnJob};
use crate::jobs::model::Record;
use crate::jobs::{form, store};
use crate::measurements;
use crate::people::password::Passwords;
use crate::people::permit::{Decide, Declare, OpenJob, RecordFacts, Release, See};
use crate::profiles::model::Stage;
use crate::web::Fields;

/// Every site of the story has one job.
const NUMBER: i64 = 1;

/// Does what the step says.
pub(super) async fn tell(scene: &Scene<'_>) -> Result<(), Stuck> {
    match scene.timed.step.does {
        Deed::OpenJob => scene.open_job().await,
        Deed::Answer => scene.answer().await,
        Deed::SetUpStand => scene.set_up_stand().await,
        Deed::RecordTrial | Deed::CorrectTrial => scene.record_trial().await,
        Deed::ChooseTrial => scene.choose_trial().await,
        Deed::Release => scene.release().await,
        Deed::RecordReading => scene.record_reading().await,
        Deed::Declare => scene.declare().await,
        Deed::Accept => scene.accept().await,
        other => Err(Stuck(format!("{other:?} belongs to no job"))),
    }
}

impl Scene<'_> {
    async fn record(&self) -> Result<Record, Stuck> {
        let permit = self.on_site::<See>().await?;
        let mut snapshot = self.teller.snapshot().await?;
        let record = store::find_record(snapshot.conn(), permit.site_id(), NUMBER).await?;
        record.ok_or_else(|| Stuck("the site has no job".to_owned()))
    }

    async fn instruments(&self) -> Result<Vec<Instrument>, Stuck> {
        let mut snapshot = self.teller.snapshot().await?;
        Ok(instruments::store::list(snapshot.conn()).await?)
    }

    /// The form with the meter that was named by its serial number chosen, as a browser sends it.
    fn with_meter(&self, instruments: &[Instrument]) -> Result<Fields, Stuck> {
        let serial = self.fields.value("instrument");
        let found = instruments.iter().find(|instrument| instrument.serial == serial);
        let found = found.ok_or_else(|| Stuck(format!("no instrument {serial}")))?;
        let begun = Fields::empty(self.teller.clock).with("instrument", found.uuid);
        Ok(self.timed.fields(begun))
    }

    /// The trial with this number that is not struck.
    fn trial(&self, record: &Record) -> Result<Uuid, Stuck> {
        let number: usize = self.timed.step.of.parse().unwrap_or_default();
        let trials = record.trials();
        let found = trials.iter().find(|one| one.number == number && one.struck_by.is_none());
        found.map(|one| one.fact.uuid).ok_or_else(|| Stuck(format!("no trial {number}")))
    }

    async fn open_job(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let draft = form::job(&self.fields)?;
        let permit = self.on_site::<OpenJob>().await?;
        let intent = self.intent("job opened")?;
        acts::open_job(&folder.writer, clock, &permit, intent, &draft).await?;
        Ok(())
    }

    async fn answer(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let record = self.record().await?;
        let id = &self.timed.step.of;
        let item = record.profile.item(id).ok_or_else(|| Stuck(format!("no item {id}")))?;
        // The page of an item carries along which answer and which concession hold.
        let mut fields = self.fields.clone();
        for (name, found) in [("corrects", record.answered(id)), ("conceded", record.conceded(id))]
        {
            if let Some((fact, _)) = found {
                fields = fields.with(name, fact.uuid);
            }
        }
        let zone = record.site.time_zone();
        let (answered, moment) = form::answer(&fields, item, &zone, self.timed.at)?;
        let correction = form::answer_correction(&fields)?;
        let permit = self.on_site::<RecordFacts>().await?;
        let on = OnJob::new(&folder.writer, clock, &permit, NUMBER);
        let intent = self.intent("item answered")?;
        acts::answer(on, intent, moment, &answered, correction.as_ref()).await?;
        Ok(())
    }

    async fn set_up_stand(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let zone = self.record().await?.site.time_zone();
        let taken = measurements::form::stand_setup(&self.fields, &zone, self.timed.at)?;
        let moment = Moment { measured: taken.measured, device_at: None };
        let permit = self.on_site::<RecordFacts>().await?;
        let on = OnJob::new(&folder.writer, clock, &permit, NUMBER);
        let intent = self.intent("stand set up")?;
        acts::record_stand_setup(on, intent, moment, &taken.what, None).await?;
        Ok(())
    }

    async fn record_trial(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let record = self.record().await?;
        let corrects = self.timed.step.does == Deed::CorrectTrial;
        let instruments = self.instruments().await?;
        let mut fields = self.with_meter(&instruments)?;
        if corrects {
            fields = fields.with("corrects", self.trial(&record)?);
        }
        let zone = record.site.time_zone();
        let taken = measurements::form::trial(&fields, &instruments, &zone, self.timed.at)?;
        let correction = form::correction(&fields)?;
        let moment = Moment { measured: taken.measured, device_at: None };
        let calibration = taken.calibration_id.unwrap_or_default();
        let permit = self.on_site::<RecordFacts>().await?;
        let on = OnJob::new(&folder.writer, clock, &permit, NUMBER);
        let intent = self.intent(if corrects { "trial corrected" } else { "trial recorded" })?;
        let what = &taken.what;
        acts::record_trial(on, intent, moment, calibration, what, correction.as_ref()).await?;
        Ok(())
    }

    async fn choose_trial(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let trial = self.trial(&self.record().await?)?;
        let permit = self.on_site::<RecordFacts>().await?;
        let on = OnJob::new(&folder.writer, clock, &permit, NUMBER);
        acts::choose(on, self.intent("setting chosen")?, trial).await?;
        Ok(())
    }

    async fn release(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let stage = Stage::from_word(&self.timed.step.of);
        let stage = stage.ok_or_else(|| Stuck("no such stage".to_owned()))?;
        let read_back = form::text(&self.fields, "read_back", None)?;
        let permit = self.on_site::<Release>().await?;
        let on = OnJob::new(&folder.writer, clock, &permit, NUMBER);
        acts::release(on, self.intent("gate released")?, stage, &read_back, None).await?;
        Ok(())
    }

    async fn record_reading(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let zone = self.record().await?.site.time_zone();
        let instruments = self.instruments().await?;
        let fields = self.with_meter(&instruments)?;
        let taken = measurements::form::reading(&fields, &instruments, &zone, self.timed.at)?;
        let moment = Moment { measured: taken.measured, device_at: None };
        let calibration = taken.calibration_id.unwrap_or_default();
        let permit = self.on_site::<RecordFacts>().await?;
        let on = OnJob::new(&folder.writer, clock, &permit, NUMBER);
        let intent = self.intent("installed reading recorded")?;
        acts::record_reading(on, intent, moment, calibration, &taken.what, None).await?;
        Ok(())
    }

    async fn declare(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let statement = form::text(&self.fields, "statement", None)?;
        let permit = self.on_site::<Declare>().await?;
        let on = OnJob::new(&folder.writer, clock, &permit, NUMBER);
        acts::declare(on, self.intent("job declared complete")?, &statement, None).await?;
        Ok(())
    }

    async fn accept(&self) -> Result<(), Stuck> {
        let Teller { folder, clock, .. } = self.teller;
        let password = self.teller.password_of(&self.person.login);
        let begun = Fields::empty(clock).with("decision", "accept");
        let decision = acceptance::form::decision(&self.timed.fields(begun))?;
        let Decision::Accept { remarks } = decision else {
            return Err(Stuck("the form does not accept".to_owned()));
        };
        let confirmed =
            Passwords::default().confirm(&folder.reads, &self.person, password.to_owned()).await?;
        let confirmed = confirmed.ok_or_else(|| Stuck("not the own password".to_owned()))?;
        let (permit, intent) = (self.on_site::<Decide>().await?, self.intent("job accepted")?);
        let writer = &folder.writer;
        acceptance::acts::accept(writer, clock, &permit, NUMBER, intent, &confirmed, &remarks)
            .await?;
        Ok(())
    }
}
