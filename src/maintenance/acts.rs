//! What people do after acceptance: take routine readings, and strike one that was wrong.

use serde_json::json;
use uuid::Uuid;

use crate::clock::{Clock, Measured, Utc};
use crate::db::Writer;
use crate::equipment;
use crate::jobs::acts::{Correction, Moment};
use crate::jobs::store::insert_withdrawal;
use crate::journal::{Act, ActError, Begun, Entry, Intent};
use crate::maintenance::store;
use crate::measurements::model::{Circumstances, Reading};
use crate::measurements::store::{Recording, insert_reading};
use crate::people::permit::{RecordFacts, SitePermit};
use crate::problem::Problem;
use crate::sites;
use crate::sites::model::{Assignment, Site};

/// What was read, and the calibration of the instrument it was read with.
#[derive(Debug, Clone, PartialEq)]
pub struct RoutineRead {
    /// What was read.
    pub reading: Reading,
    /// The row of the calibration.
    pub calibration_id: Option<i64>,
}

/// An assignment within an act.
struct Opened {
    act: Box<Act>,
    site: Site,
    assignment: Assignment,
}

async fn begin(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<RecordFacts>,
    intent: Intent,
    number: i64,
) -> Result<Result<Opened, String>, ActError> {
    let mut act = match Act::begin(writer, clock, intent).await? {
        Begun::Again(answer) => return Ok(Err(answer)),
        Begun::New(act) => act,
    };
    let site = sites::store::find(act.conn(), permit.site_id()).await?;
    let assignment = sites::store::assignment(act.conn(), permit.site_id(), number).await?;
    let site = site.ok_or(ActError::Unknown)?;
    let assignment = assignment.ok_or(ActError::Unknown)?;
    Ok(Ok(Opened { act, site, assignment }))
}

impl Opened {
    fn at(&self, measured: Measured, device_at: Option<Utc>) -> Circumstances {
        Circumstances {
            site_id: self.site.id,
            job_id: None,
            measured,
            device_at,
            assignment_revision_id: Some(self.assignment.revision_id),
            chain_revision_id: None,
            calibration_id: None,
            profile_id: None,
            corrects: None,
        }
    }

    async fn commit(self, fact: Uuid, says: serde_json::Value) -> Result<String, ActError> {
        let what = json!({
            "site": self.site.code,
            "assignment": self.assignment.number.to_string(),
            "fact": fact,
            "says": says,
        });
        let site_id = Some(self.site.id);
        self.act.commit(Entry { site_id, what, answer: fact.to_string() }).await
    }
}

/// Records a routine reading of an assignment; it pins the assignment and its chain as they hold now.
///
/// # Errors
/// [`ActError`]; refused without a chain: the reading would hold nowhere.
pub async fn record_routine(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<RecordFacts>,
    intent: Intent,
    number: i64,
    moment: Moment,
    read: &RoutineRead,
) -> Result<String, ActError> {
    let mut opened = match begin(writer, clock, permit, intent, number).await? {
        Ok(opened) => opened,
        Err(answer) => return Ok(answer),
    };
    let assignment_id = opened.assignment.assignment_id;
    let Some(chain) = equipment::store::newest(opened.act.conn(), assignment_id).await? else {
        return Err(ActError::Refused(vec![Problem::blocking(
            "NO_CHAIN",
            None,
            "There is no RF chain on the record: the reading would hold nowhere. Enter the chain first.",
        )]));
    };
    let point = read.reading.point_position;
    if !chain.meters().any(|(part, _)| part.position == point) {
        return Err(ActError::Field {
            field: "point",
            message: "this is no measuring point of the chain as it holds now".to_owned(),
        });
    }
    let at = Circumstances {
        chain_revision_id: Some(chain.revision_id),
        calibration_id: read.calibration_id,
        ..opened.at(moment.measured, moment.device_at)
    };
    let recording = Recording::judged();
    let uuid = insert_reading(&mut opened.act, &recording, &at, &read.reading).await?;
    opened.commit(uuid, json!(read.reading)).await
}

/// Strikes a routine reading; it stays, with the reason.
///
/// # Errors
/// [`ActError`]; unknown when the assignment has no such reading, refused when it is struck already.
pub async fn strike(
    writer: &Writer,
    clock: &Clock,
    permit: &SitePermit<RecordFacts>,
    intent: Intent,
    number: i64,
    correction: &Correction,
) -> Result<String, ActError> {
    let mut opened = match begin(writer, clock, permit, intent, number).await? {
        Ok(opened) => opened,
        Err(answer) => return Ok(answer),
    };
    let assignment_id = opened.assignment.assignment_id;
    let routines = store::routines(opened.act.conn(), assignment_id).await?;
    let found = routines.into_iter().find(|routine| routine.uuid == correction.fact);
    let routine = found.ok_or(ActError::Unknown)?;
    if let Some(struck) = routine.struck {
        let text = format!("This reading was {struck}");
        return Err(ActError::Refused(vec![Problem::blocking("STRUCK", None, text)]));
    }
    let now = opened.site.time_zone().measured(opened.act.now());
    let corrects = Some((routine.id, correction.reason.clone()));
    let at = Circumstances { corrects, ..opened.at(now, None) };
    let uuid = insert_withdrawal(&mut opened.act, &Recording::judged(), &at).await?;
    let says = json!({ "withdrawn": correction.fact, "reason": correction.reason });
    opened.commit(uuid, says).await
}
