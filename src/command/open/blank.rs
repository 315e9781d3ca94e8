//! One blank folder for each route, to be copied on a phone for a new job: a `job.toml` to be filled in and a
//! folder for each step. It is no job itself, since its name begins with the word `blank` (`read::job`); the
//! copy becomes one when it is renamed to the job's number.

use crate::base::files::{self, FileError, with_path};
use crate::model::{PhotoFault, Route};
use crate::read;
use std::fs;
use std::path::Path;

/// Lays out the blank folders of a shop that holds its routes already.
pub(super) fn lay_out(shop: &Path) -> Result<(), FileError> {
    // The starter's own routes are sound; a test keeps that.
    let Ok((read, _)) = read::shop(shop, &|_| Err(PhotoFault::Empty)) else { return Ok(()) };
    for route in read.routes.values() {
        let folder = shop.join("content/jobs").join(format!("blank {}", route.key));
        files::create_new(&folder.join("job.toml"), text(route).as_bytes())?;
        for (at, step) in steps(route).iter().enumerate() {
            let step = folder.join(format!("{} {step}", at + 1));
            with_path(fs::create_dir_all(&step), "make the folder", &step)?;
        }
        let hidden = folder.join("not shown");
        with_path(fs::create_dir_all(&hidden), "make the folder", &hidden)?;
    }
    Ok(())
}

/// The words that a photo's folder can say, in the order of the route; an away step is sent before it is back.
fn steps(route: &Route) -> Vec<&str> {
    let words = route.steps.iter().flat_map(|step| {
        let sent = step.sent.as_deref().filter(|_| step.work.kind().is_away());
        sent.into_iter().chain([step.name.as_str()])
    });
    words.chain(["collected"]).collect()
}

fn text(route: &Route) -> String {
    format!(
        "# For a new job: copy this whole folder, and rename the copy to the job's number and a few words, such as\n\
         # `26-041 Fenn gobbler`. Then fill in these lines. Take out the `#` before those that you need.\n\
         customer = \"\"\n\
         phone    = \"\"\n\
         piece    = \"{}\"\n\
         route    = \"{}\"\n\
         # taken-in = 2026-04-28\n\
         # pose     = \"\"\n\
         # pose-on  = 2026-04-28\n\
         # note     = \"What the customer reads.\"\n\
         \n\
         # [[charge]]\n\
         # what   = \"\"\n\
         # amount = 0\n\
         \n\
         # [[paid]]\n\
         # on     = 2026-04-28\n\
         # amount = 0\n",
        route.name.replace(['"', '\\'], ""),
        route.key
    )
}
