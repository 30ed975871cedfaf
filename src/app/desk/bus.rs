//! Whether screen readers may be looked for: they are reached over message buses, which may not lead off this machine.

/// The variables that say where the buses are: of the session, of screen readers.
const VARIABLES: [&str; 2] = ["DBUS_SESSION_BUS_ADDRESS", "AT_SPI_BUS_ADDRESS"];

/// The first variable that leads elsewhere, with its value, as `variable` gives them. Where none is set
/// the bus is the one in the user's own runtime folder.
#[must_use]
pub fn elsewhere(variable: impl Fn(&str) -> Option<String>) -> Option<String> {
    let set = VARIABLES.iter().filter_map(|name| Some((name, variable(name)?)));
    set.into_iter().find(|(_, value)| !local(value)).map(|(name, value)| format!("{name}={value}"))
}

/// Whether every address of the list is a socket of this machine (D-Bus specification, server addresses:
/// `unix:`; others are TCP or run a program).
fn local(addresses: &str) -> bool {
    addresses.split(';').filter(|one| !one.is_empty()).all(|one| one.starts_with("unix:"))
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(name: &str, value: &str) -> Option<String> {
        elsewhere(|asked| (asked == name).then(|| value.to_string()))
    }

    #[test]
    fn a_bus_on_this_machine_or_none_is_well() {
        assert_eq!(elsewhere(|_| None), None);
        for value in ["", "unix:path=/run/user/1000/bus", "unix:abstract=/tmp/x,guid=1;unix:path=/y;"] {
            assert_eq!(found("DBUS_SESSION_BUS_ADDRESS", value), None, "{value}");
        }
    }

    #[test]
    fn what_leads_elsewhere_is_named() {
        for value in ["tcp:host=example.org,port=1", "unixexec:path=ssh", "nonce-tcp:host=x", "unix:path=/x;tcp:host=y"]
        {
            for name in VARIABLES {
                assert_eq!(found(name, value), Some(format!("{name}={value}")));
            }
        }
    }
}
