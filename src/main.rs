//! Opens the window on a session and prints its records as JSON Lines, until the command line stands.

#[cfg(feature = "app")]
fn main() -> std::process::ExitCode {
    window::main()
}

#[cfg(not(feature = "app"))]
fn main() {}

#[cfg(feature = "app")]
mod window {
    use std::io::Write;
    use std::process::ExitCode;

    use pacewright::app::machine::Machine;
    use pacewright::app::{self, AppConfig, RecordSink, Start};
    use pacewright::session::{Plan, Session, shipped};
    use pacewright::settings::Settings;

    pub fn main() -> ExitCode {
        let arguments: Vec<String> = std::env::args().skip(1).collect();
        let after = |name: &str| arguments.iter().position(|one| one == name).and_then(|at| arguments.get(at + 1));
        let config = AppConfig {
            title: "pacewright".into(),
            windowed: arguments.iter().any(|one| one == "--windowed"),
            board: app::board::BoardSetup::default(),
            place_known: after("--switch").is_some(),
            switch_count: 1,
            switches: after("--switch").into_iter().flat_map(|text| text.parse()).collect(),
            begin: Box::new(begin),
        };
        match app::run(config) {
            Ok(outcome) => {
                let lateness = outcome.lateness;
                let (half, most) = (lateness.percentile_us(50.0), lateness.percentile_us(100.0));
                eprintln!("{} deadlines, late by a median of {half} µs, at most {most} µs", lateness.count());
                ExitCode::SUCCESS
            }
            Err(error) => {
                eprintln!("{error}");
                ExitCode::from(2)
            }
        }
    }

    fn begin(start: Start) -> Result<(Box<dyn Machine>, RecordSink), String> {
        eprintln!("{start:?}");
        let sink: RecordSink = Box::new(|records| {
            let mut out = std::io::stdout().lock();
            for record in records {
                let what = serde_json::to_string(&record.what).expect("records are plain data");
                let _ = writeln!(out, "{{\"at\":{},\"what\":{what}}}", record.at.0);
            }
        });
        Ok((Box::new(Session::new(plan())), sink))
    }

    fn plan() -> Plan {
        let (protocol, menu) = shipped::find("demonstration").expect("it is shipped");
        let settings = Settings::from_json(&protocol.settings).expect("shipped protocols are valid");
        Plan { protocol, menu, settings, seed: 1 }
    }
}
