//! From what a browser sent to the decision on a declared job. Who signs it is asked by `web::signature`.

use crate::web::Fields;

/// What was decided.
#[derive(Debug, Clone)]
pub enum Decision {
    /// Accept it.
    Accept {
        /// Remarks; may be empty.
        remarks: String,
    },
    /// Return it.
    Return {
        /// What is to be put right; not empty.
        remarks: String,
    },
}

/// The decision.
///
/// # Errors
/// The fields with their messages.
pub fn decision(fields: &Fields) -> Result<Decision, Fields> {
    let mut form = fields.check();
    let remarks = form.text("remarks");
    let decision = match fields.value("decision") {
        "accept" => remarks.map(|remarks| Decision::Accept { remarks }),
        "return" => {
            if remarks.as_deref() == Some("") {
                form.refuse("remarks", "say what is to be put right");
            }
            remarks.map(|remarks| Decision::Return { remarks })
        }
        _ => {
            form.refuse("", "Choose whether to accept the job or to return it.");
            None
        }
    };
    form.finish(decision)
}
