//! `analyse`: the findings of logs, as text or JSON.

use super::Done;
use super::args::AnalyseArgs;
use super::report::Read;

pub(super) fn run(args: &AnalyseArgs) -> Done {
    let mut objects = Vec::new();
    for path in &args.logs {
        let read = Read::of(path)?;
        if args.json {
            objects.push(read.json());
        } else {
            say!("{}", path.display());
            read.print();
        }
    }
    if args.json {
        say!("{}", serde_json::Value::from(objects));
    }
    Ok(())
}
