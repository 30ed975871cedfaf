//! What the client does for a press: works a switch, puffs, sips, makes a sound.

use super::levels::LevelKind;
use super::{Session, words};
use crate::engine::effect::{Role, Switch};
use crate::engine::roles;
use crate::level::{Side, Strength, Way};

/// What takes the thing that is lit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Doing {
    /// Something that is pressed, or that nothing more is known of.
    Press,
    Puff,
    HardPuff,
    Sip,
    HardSip,
    Sound,
    LoudSound,
}

impl Doing {
    /// `harder` where a weaker press to the same side does something else.
    fn of(kind: LevelKind, way: Way, harder: bool) -> Doing {
        match (kind, way.side, harder) {
            (LevelKind::Sound, _, false) => Doing::Sound,
            (LevelKind::Sound, _, true) => Doing::LoudSound,
            (LevelKind::Breath, Side::Above, false) => Doing::Puff,
            (LevelKind::Breath, Side::Above, true) => Doing::HardPuff,
            (LevelKind::Breath, Side::Below, false) => Doing::Sip,
            (LevelKind::Breath, Side::Below, true) => Doing::HardSip,
        }
    }

    fn words(self, text: &str) -> String {
        let verb = match self {
            Doing::Press => return text.to_string(),
            Doing::Puff => "Puff",
            Doing::HardPuff => "Puff hard",
            Doing::Sip => "Sip",
            Doing::HardSip => "Sip hard",
            Doing::Sound => "Make your sound",
            Doing::LoudSound => "Make your loud sound",
        };
        if text == words::STUCK { words::STILL_ON.to_string() } else { text.replace("Press", verb) }
    }
}

impl Session {
    /// One of the session's own sentences, with the client's own way to press.
    pub(super) fn told(&self, text: &'static str) -> String {
        self.doing().words(text)
    }

    fn doing(&self) -> Doing {
        let usual = roles::usual(self.block_settings().technique());
        let roles = self.roles.as_deref().unwrap_or(usual);
        let takes = roles.iter().position(|role| *role == Role::Select).unwrap_or(0);
        let works = self.levels.works(Switch(takes as u8));
        works.map_or(Doing::Press, |(kind, way, ways)| {
            let weaker = Way { strength: Strength::Soft, ..way };
            Doing::of(kind, way, way.strength == Strength::Hard && ways.contains(&weaker))
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_way_to_press_has_its_own_words() {
        let told = |doing: Doing| [words::TIMED, words::REST, words::HOLD, words::STUCK].map(|text| doing.words(text));
        assert_eq!(told(Doing::Press)[0], words::TIMED);
        assert_eq!(told(Doing::HardSip)[0], "Sip hard on the marked tile.");
        assert_eq!(told(Doing::Puff)[1], "Resting. Puff when you are ready.");
        assert_eq!(told(Doing::Sound)[2], "Make your sound when it lights, and hold.");
        assert_eq!(told(Doing::Puff)[3], words::STILL_ON);
        let puff = Way { side: Side::Above, strength: Strength::Hard };
        assert_eq!(Doing::of(LevelKind::Breath, puff, false), Doing::Puff, "the only puff there is");
    }
}
