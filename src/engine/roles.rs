//! Which roles a technique needs, and what it gives its switches where nobody says anything else.

use super::effect::Role;
use crate::settings::Technique;

/// What the first switch, or the first two, do by themselves.
#[must_use]
pub const fn usual(technique: Technique) -> &'static [Role] {
    match technique {
        Technique::Automatic | Technique::Inverse => &[Role::Select],
        Technique::Step => &[Role::Step, Role::Select],
        Technique::StepAutoAccept => &[Role::Step],
        Technique::Dwell => &[],
    }
}

/// Whether the technique can be worked with switches of these roles, one each.
///
/// # Errors
/// A sentence that says what is missing, or given twice, or has no part.
pub fn check(technique: Technique, roles: &[Role]) -> Result<(), String> {
    let twice = roles.iter().enumerate().find(|(place, role)| roles[..*place].contains(role));
    if let Some((_, role)) = twice {
        return Err(format!("two switches claim one role, `{}`: give each role once", word(*role)));
    }
    if let Some(missing) = usual(technique).iter().find(|role| !roles.contains(role)) {
        return Err(format!("no switch has the role `{}`, which this technique needs", word(*missing)));
    }
    let steps = matches!(technique, Technique::Step | Technique::StepAutoAccept);
    let idle = roles.iter().find(|role| !steps && matches!(role, Role::Step | Role::Back));
    idle.map_or(Ok(()), |role| {
        Err(format!(
            "the role `{}` has a part in step scanning only: leave it out, or set `technique=step`",
            word(*role)
        ))
    })
}

/// The word of a role, on the command line and in the log.
#[must_use]
pub const fn word(role: Role) -> &'static str {
    match role {
        Role::Step => "step",
        Role::Select => "select",
        Role::Back => "back",
        Role::Exit => "exit",
        Role::Call => "call",
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_usual_roles_of_every_technique_are_right_for_it() {
        for technique in [Technique::Automatic, Technique::Step, Technique::StepAutoAccept, Technique::Inverse] {
            assert_eq!(check(technique, usual(technique)), Ok(()));
        }
        assert_eq!(check(Technique::Step, &Role::ALL), Ok(()));
    }

    #[test]
    fn what_is_missing_doubled_or_idle_is_refused() {
        let refusal = |technique, roles: &[Role]| check(technique, roles).unwrap_err();
        assert!(refusal(Technique::Step, &[Role::Step]).contains("`select`"));
        assert!(refusal(Technique::Automatic, &[Role::Select, Role::Call, Role::Call]).contains("two switches claim"));
        assert!(refusal(Technique::Inverse, &[Role::Select, Role::Back]).contains("step scanning only"));
        assert!(refusal(Technique::Automatic, &[]).contains("`select`"));
    }

    #[test]
    fn words_are_those_of_the_log() {
        for role in Role::ALL {
            assert_eq!(serde_json::to_value(role).unwrap(), word(role));
        }
    }
}
