//! `settings`: the list of timing settings.

use clap::Args as ClapArgs;
use serde_json::{Value, json};

use super::Done;
use crate::settings::{REGISTRY, Setting, allowed, show_value, value_to_json};

#[derive(Debug, ClapArgs)]
pub(super) struct SettingsArgs {
    /// Print one JSON array instead of text.
    #[arg(long)]
    pub json: bool,
}

pub(super) fn run(args: &SettingsArgs) -> Done {
    if args.json {
        say!("{}", Value::from(REGISTRY.iter().map(as_json).collect::<Vec<_>>()));
    } else {
        REGISTRY.iter().for_each(print);
    }
    Ok(())
}

fn print(setting: &Setting) {
    say!("{}  ({})", setting.name, setting.label);
    say!("    {}", setting.short);
    say!("    default {}; {}", show_value(setting.id, setting.default), allowed(setting));
    for (technique, raw) in setting.by_technique {
        say!("    default {} under {technique}", show_value(setting.id, *raw));
    }
    if let Some(caution) = setting.caution {
        say!("    caution: {}", caution.text);
    }
}

fn as_json(setting: &Setting) -> Value {
    let by_technique: serde_json::Map<String, Value> = setting
        .by_technique
        .iter()
        .map(|(technique, raw)| ((*technique).to_string(), value_to_json(setting.id, *raw)))
        .collect();
    json!({
        "name": setting.name,
        "label": setting.label,
        "default": value_to_json(setting.id, setting.default),
        "default_by_technique": by_technique,
        "allowed": allowed(setting),
        "short": setting.short,
        "long": setting.long,
        "caution": setting.caution.map(|caution| caution.text),
    })
}
