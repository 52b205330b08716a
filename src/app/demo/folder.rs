//! The demo's folder: made afresh, in place of nothing but a former demo.

use std::fs;
use std::io;
use std::path::Path;

use crate::app::Failure;
use crate::db::{self, FolderError};

/// Says to whoever finds the folder, and to the next demo, what it is.
const MARKER: &str = "made-by-standmast-demo.txt";

const MARKED: &str =
    "`standmast demo` made this folder. The next one deletes it: keep nothing of yours here.\n";

/// Makes an empty folder that is marked as a demo's, deleting what a former demo made.
///
/// # Errors
/// [`Failure::NotADemo`] for anything that is there and carries no mark, [`Failure::DemoInUse`] while a
/// former demo is served, [`Failure::Folder`].
pub(super) fn fresh(path: &Path) -> Result<(), Failure> {
    let refused = |error: io::Error| FolderError::NotWritable(path.to_owned(), error);
    match fs::symlink_metadata(path) {
        Ok(found) if found.is_dir() && path.join(MARKER).is_file() => {
            if db::is_in_use(path)? {
                return Err(Failure::DemoInUse(path.to_owned()));
            }
            fs::remove_dir_all(path).map_err(refused)?;
        }
        // A link, a file, a folder of somebody's: whatever it is, it is not ours to delete.
        Ok(_) => return Err(Failure::NotADemo(path.to_owned())),
        Err(error) if error.kind() == io::ErrorKind::NotFound => {}
        Err(error) => return Err(refused(error).into()),
    }
    db::make_folder(path)?;
    fs::write(path.join(MARKER), MARKED).map_err(refused)?;
    Ok(())
}
