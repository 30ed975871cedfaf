//! How many of 10,000 synthetic breaths are understood as they were meant.
//!
//! Each waveform goes through all of it: a calibration of the virtual breather, thresholds, the samples
//! that matter, and the classification. Beside what is usual stand harder conditions.

use pacewright::level::{Side, Strength, Way};
use pacewright::settings::Settings;
use pacewright::sim::breather::Conditions;
use pacewright::sim::breaths::classified;

const WAVEFORMS: u64 = 10_000;

fn main() {
    let usual = Conditions::default();
    println!("usual: {usual:?}");
    table("usual", usual);
    table("50 samples a second", Conditions { rate: 50.0, ..usual });
    table("1,000 samples a second", Conditions { rate: 1_000.0, ..usual });
    table("twice the noise", Conditions { noise: 0.04, ..usual });
    table("twice the drift and the steps", Conditions { drift: 0.02, step: 0.16, ..usual });
    table("all breaths leaking", Conditions { leaking: 1.0, ..usual });
    table("softs that vary by half as much again", Conditions { soft: (0.43, 0.075), ..usual });
}

fn table(name: &str, conditions: Conditions) {
    let confusion = classified(WAVEFORMS, 2_026, conditions, &Settings::default());
    let share = 100.0 * confusion.right() as f64 / confusion.waveforms().max(1) as f64;
    println!(
        "\n{name}: {} of {} right, {share:.2} %; {} breathers refused",
        confusion.right(),
        confusion.waveforms(),
        confusion.refused
    );
    let names: Vec<String> = Way::ALL.iter().map(name_of).chain(["nothing".into()]).collect();
    println!("  meant \\ understood {}  several", names.join("  "));
    for (name, row) in names.iter().zip(confusion.counts) {
        println!("  {name:>18} {}", row.map(|count| format!("{count:>9}")).join(" "));
    }
}

fn name_of(way: &Way) -> String {
    let strength = if way.strength == Strength::Soft { "soft" } else { "hard" };
    format!("{strength} {}", if way.side == Side::Above { "puff" } else { "sip" })
}
