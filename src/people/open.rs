//! Opening the people of a folder: their record, with what the file that shows them and the machine say otherwise.
//!
//! Takes a folder; gives its [`Workshop`], with what is to be said of it.

use std::io;
use std::path::Path;

use super::workshop::{Workshop, not_kept, record};
use super::written;
use crate::chain;
use crate::keys::{Home, LastSeen};
use crate::report::{Code, Problem};

impl Workshop {
    /// The people of a folder; none where it has none.
    pub fn open(folder: &Path) -> Result<Option<Self>, Problem> {
        let path = record(folder);
        let read = || {
            let chain = chain::read(&path, &|| ()).map_err(|error| error.problem(&path));
            chain.map(|chain| Self::of(folder, chain))
        };
        let mut workshop = read()?;
        if workshop.record.entries.is_empty() && !folder.join(written::FILE).exists() {
            return Ok(None);
        }
        let seen = Home::of_this_machine().and_then(|home| home.seen(&workshop.id));
        if let Ok(Some(seen)) = &seen
            && workshop.record.against(seen).is_some()
        {
            // Others may have added to it since it was read.
            workshop = read()?;
        }
        workshop.look(seen);
        Ok(Some(workshop))
    }

    /// Looks at the file that shows the people, and at what the machine keeps.
    fn look(&mut self, seen: io::Result<Option<LastSeen>>) {
        self.warnings.extend(written::otherwise(self));
        if self.record.torn > 0 {
            let message = "the last line was cut off, and does not count";
            let help = "see whether what was done last stands in the list, and do it again where it does not";
            self.warnings.push(
                Problem::warning(Code::RecordTorn, message)
                    .at(self.place())
                    .help(help),
            );
        }
        let kept = seen.and_then(|seen| {
            let home = Home::of_this_machine()?;
            let doubt = self.doubts(&home, seen.as_ref())?;
            if doubt.is_none() && !self.record.entries.is_empty() {
                self.record.remember(&home, &self.id, false)?;
            }
            Ok(doubt)
        });
        if self.record.entries.is_empty() {
            self.doubt = Some(self.empty());
            return;
        }
        match kept {
            Ok(doubt) => self.doubt = doubt,
            Err(error) => self.warnings.push(not_kept(&error)),
        }
    }

    /// What is said where a list of people stands beside no record of them.
    fn empty(&self) -> Problem {
        let message = "nobody has joined this workshop yet, so nobody can sign here";
        let help = "the first who joins is a supervisor: `liftsheet people FOLDER --join ID --name … --role supervisor`; or take `people.yaml` away";
        self.refusal(Code::UnknownPerson, message, help)
    }
}
