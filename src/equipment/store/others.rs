//! The chains that share parts with a chain from a combiner on.

use std::collections::BTreeSet;

use sqlx::SqliteConnection;
use uuid::Uuid;

use crate::db::StoreError;
use crate::equipment::model::{Chain, OtherCarrier, Spec};
use crate::equipment::store::newest_alone;
use crate::sites::store::{assignment_revision, newest_revision};

/// The carriers whose newest chains hold a combiner of this one, by the number of their assignments.
pub(super) async fn of(
    conn: &mut SqliteConnection,
    chain: &Chain,
) -> Result<Vec<OtherCarrier>, StoreError> {
    let combiners: Vec<Uuid> = chain
        .parts
        .iter()
        .filter(|part| matches!(part.spec, Spec::Combiner(_)))
        .map(|part| part.uuid)
        .collect();
    let mut found = Vec::new();
    for (other, assignment_id) in sharing(conn, chain.chain_id, &combiners).await? {
        let Some(joins_at) = chain.shared_combiner(&other.parts) else { continue };
        let Some(row) = newest_revision(conn, assignment_id).await? else { continue };
        let Some(assignment) = assignment_revision(conn, row).await? else { continue };
        found.push(OtherCarrier {
            assignment: assignment.number,
            assignment_revision: assignment.revision_uuid,
            chain_revision: other.revision_uuid,
            station_name: assignment.particulars.station_name,
            frequency: assignment.particulars.frequency,
            power: assignment.particulars.power,
            branch: other.branch_to(joins_at).to_vec(),
            joins_at,
        });
    }
    found.sort_by_key(|other| other.assignment);
    Ok(found)
}

/// The newest revisions of other chains that hold one of these parts, each with the row of its assignment.
///
/// - `chain_id`: the chain that asks, by its row; 0 for one that is not made yet
///
/// # Errors
/// [`StoreError`].
pub async fn sharing(
    conn: &mut SqliteConnection,
    chain_id: i64,
    parts: &[Uuid],
) -> Result<Vec<(Chain, i64)>, StoreError> {
    let mut assignments = BTreeSet::new();
    for uuid in parts {
        let found = sqlx::query_scalar!(
            "SELECT chain_assignment.assignment_id
             FROM part
             JOIN chain_part ON chain_part.part_id = part.id
             JOIN chain_revision ON chain_revision.id = chain_part.revision_id
             JOIN chain_assignment ON chain_assignment.chain_id = chain_revision.chain_id
             WHERE part.uuid = $1 AND chain_revision.chain_id <> $2",
            uuid,
            chain_id
        )
        .fetch_all(&mut *conn)
        .await?;
        assignments.extend(found);
    }
    let mut found = Vec::new();
    for assignment_id in assignments {
        // The part may have gone from it since.
        if let Some(chain) = newest_alone(conn, assignment_id).await?
            && chain.chain_id != chain_id
            && chain.parts.iter().any(|part| parts.contains(&part.uuid))
        {
            found.push((chain, assignment_id));
        }
    }
    Ok(found)
}
