//! From what a browser sent to the decision on a declared job.

use crate::web::Fields;

/// What was decided.
#[derive(Debug, Clone)]
pub enum Decision {
    /// Accept it.
    Accept {
        /// Remarks; may be empty.
        remarks: String,
        /// The own password as it was typed: spaces at its ends belong to it.
        password: String,
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
    let password = fields.value("password");
    let decision = match fields.value("decision") {
        "accept" => {
            if password.is_empty() {
                form.refuse("password", "this is needed: accepting is signed with your password");
            }
            remarks.map(|remarks| Decision::Accept { remarks, password: password.to_owned() })
        }
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
