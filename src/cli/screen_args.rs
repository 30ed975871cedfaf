//! The arguments of every command with a window: how the board looks, and what the switches are.

use clap::Args as ClapArgs;

#[cfg(feature = "app")]
use crate::session::setup::MICROPHONE;

/// How the board looks, and from where.
#[derive(Debug, ClapArgs)]
#[command(next_help_heading = "Screen")]
pub(in crate::cli) struct ScreenArgs {
    /// Look of the board.
    #[arg(long, value_name = "LOOK", default_value = "dark", value_parser = ["dark", "light", "black-yellow"])]
    pub look: String,
    /// Eye to screen, in millimetres; asked for when it is missing.
    #[arg(long, value_name = "MM", value_parser = clap::value_parser!(u32).range(200..=10_000))]
    pub distance: Option<u32>,
    /// Visible width of the screen, in millimetres; asked for when it is missing.
    #[arg(long, value_name = "MM", value_parser = clap::value_parser!(u32).range(100..=5_000))]
    pub screen_width: Option<u32>,
    /// Low vision: letters twice as large.
    #[arg(long)]
    pub low_vision: bool,
    /// Turn the board by 90, 180 or 270 degrees.
    #[arg(long, value_name = "DEGREES", default_value_t = 0)]
    pub turn: u32,
    /// Keep to a part of the screen.
    #[arg(long, value_name = "PART", default_value = "whole", value_parser = ["whole", "left-half", "right-half", "upper-half", "lower-half", "middle"])]
    pub part: String,
    /// A corner patch that changes with each step, for a light sensor.
    #[arg(long)]
    pub corner_patch: bool,
    /// What the switches do, one to five, in the order in which they are learned; without it, as the technique needs.
    #[arg(long, value_name = "ROLE,…", value_delimiter = ',', value_parser = ["step", "select", "back", "exit", "call"])]
    pub roles: Vec<String>,
    /// A switch: `key Space`, `mouse button 1`, `mouse wheel up`, `touch anywhere`, `pad 1 button South`,
    /// `pad 1 axis LeftStickX +`; learned by working it when it is missing. With `touch field` only touches on a field
    /// count that the board then shows at its lower edge.
    #[arg(long = "switch", value_name = "SWITCH")]
    pub switches: Vec<String>,
    /// A breath whose pressure reaches this computer as an axis, named with the side of the puff
    /// (`pad 1 axis LeftStickY +`, with `to 5 kPa` behind it where the pressure at the end of the axis is known), or
    /// `emulated` to try it with the arrow keys. It is calibrated first; `keys` where the interface sends keys or buttons,
    /// which are learned as any other. The switches
    /// are then `breath soft puff`, `breath hard sip` and so on, for the emulator `emulated breath soft puff`; without
    /// `--switch` they are in order a soft puff, a soft sip, a hard puff and a hard sip, as many as there are roles.
    #[arg(long, value_name = "AXIS|emulated|keys")]
    pub breath: Option<String>,
    /// A voice or another sound that the microphone hears; room and ventilator are measured first. The switches are then
    /// `microphone soft sound` and `microphone loud sound`; without `--switch` they are these, as many as there are roles.
    #[arg(long, conflicts_with = "breath")]
    pub sound_switch: bool,
}

#[cfg(feature = "app")]
impl ScreenArgs {
    /// What `--breath` or `--sound-switch` names.
    pub fn level(&self) -> Option<&str> {
        if self.sound_switch { Some(MICROPHONE) } else { self.breath.as_deref() }
    }
}

impl Default for ScreenArgs {
    fn default() -> ScreenArgs {
        ScreenArgs {
            look: "dark".to_string(),
            distance: None,
            screen_width: None,
            low_vision: false,
            turn: 0,
            part: "whole".to_string(),
            corner_patch: false,
            roles: Vec::new(),
            switches: Vec::new(),
            breath: None,
            sound_switch: false,
        }
    }
}

#[cfg(test)]
mod tests {
    use clap::CommandFactory as _;

    #[test]
    fn no_command_has_two_arguments_of_one_name() {
        crate::cli::args::Args::command().debug_assert();
    }
}
