//! `client`: all that a data folder holds of one client is handed over, moved away or deleted.

use std::path::{Path, PathBuf};

use super::args::{ClientCommand, DeleteArgs, MoveArgs, WhoseArgs};
use super::{Done, Trouble, files, tell};
use crate::analysis::words::count;
use crate::code::ClientCode;
use crate::problem::Problem;
use crate::store::{Belongings, Store};

/// What no program can reach from the data folder.
const NOT_REACHED: &str = "Not reached: copies, backups and exports made before, their key files, and your list of \
                           consent; a disk may keep deleted bytes until it writes over them.";

pub(super) fn run(command: &ClientCommand) -> Done {
    match command {
        ClientCommand::Export(args) => export(args),
        ClientCommand::Archive(args) => archive(args),
        ClientCommand::Delete(args) => delete(args),
    }
}

fn export(args: &MoveArgs) -> Done {
    let found = Found::of(&args.whose)?;
    found.copy_to(&args.out)?;
    say!("It names the client by code and holds all dates and remarks: keep it as you keep the data folder.");
    Ok(())
}

fn archive(args: &MoveArgs) -> Done {
    let found = Found::of(&args.whose)?;
    found.copy_to(&args.out)?;
    found.remove()
}

fn delete(args: &DeleteArgs) -> Done {
    let found = Found::of(&args.whose)?;
    if args.confirm.as_deref() != Some(found.client.as_str()) {
        say!("Would delete, for good, {} of {}:", words(&found.all.files), found.client);
        list(&found.all.files);
        let what = match &args.confirm {
            Some(other) => format!("nothing was deleted: `{other}` is not `{}`", found.client),
            None => "nothing was deleted: it has to be confirmed".to_string(),
        };
        let remedy = format!("to delete it for good, say it again with `--confirm {}`", found.client);
        return Err(Problem::error("--confirm", None, what, remedy).into());
    }
    found.remove()
}

/// All of a client, in a folder in which no other program works.
struct Found {
    client: ClientCode,
    all: Belongings,
    store: Store,
}

impl Found {
    fn of(args: &WhoseArgs) -> Result<Found, Trouble> {
        let client = files::client(&args.client)?;
        let folder = args.data.display().to_string();
        if !args.data.is_dir() {
            // To open it would make it.
            return Err(Problem::error(&folder, None, "there is no such folder", "check the path").into());
        }
        let store = Store::open(&args.data)?;
        let all = store.belongings(&client)?;
        tell(&all.unclear.iter().map(|path| unclear(path, &client)).collect::<Vec<_>>());
        if all.files.is_empty() {
            let what = format!("it holds nothing of {client}");
            return Err(Problem::error(&folder, None, what, "check the code and the folder").into());
        }
        Ok(Found { client, all, store })
    }

    fn copy_to(&self, folder: &Path) -> Done {
        let copies = self.all.copy_to(folder)?;
        say!("{} of {} copied to {} and compared:", words(&copies), self.client, folder.display());
        list(&copies);
        Ok(())
    }

    fn remove(&self) -> Done {
        let (gone, problems) = self.store.remove(&self.all);
        say!("{} of {} deleted:", words(&gone), self.client);
        list(&gone);
        say!("{NOT_REACHED}");
        if problems.is_empty() { Ok(()) } else { Err(Trouble::Input(problems)) }
    }
}

fn unclear(path: &Path, client: &ClientCode) -> Problem {
    let what = format!("left alone: it begins with {client}, but nothing says whose it is");
    Problem::warning(&path.display().to_string(), None, what, "look into it yourself")
}

fn words(files: &[PathBuf]) -> String {
    count(files.len() as u32, "file", "files")
}

fn list(files: &[PathBuf]) {
    files.iter().for_each(|file| say!("  {}", file.display()));
}
