//! Holds off the screen saver and sleep while the window is open, or says that it could not.
//!
//! The X server's own saver is held by a request that ends with the connection; sleep and the
//! desktop's idle lock by a child of `systemd-inhibit` that ends when this is dropped.

use std::process::{Child, Command, Stdio};

use super::x11_client::X11Client;

/// What is held off.
#[derive(Debug)]
pub struct KeepAwake {
    saver_held: bool,
    sleep: Option<Child>,
}

impl KeepAwake {
    /// Holds off what can be held off.
    #[must_use]
    pub fn hold(client: Option<&X11Client>) -> KeepAwake {
        KeepAwake { saver_held: client.is_some_and(X11Client::hold_screen_saver), sleep: inhibitor() }
    }

    /// What the clinician has to do by hand. The child is given a moment to fail before this is asked.
    pub fn troubles(&mut self) -> Vec<String> {
        let sleep_held = self.sleep.as_mut().is_some_and(|child| matches!(child.try_wait(), Ok(None)));
        let saver = (!self.saver_held).then_some("The screen saver cannot be held off here: switch it off yourself.");
        let sleep = (!sleep_held).then_some("Sleep cannot be held off here: see that the computer stays awake.");
        saver.into_iter().chain(sleep).map(String::from).collect()
    }
}

impl Drop for KeepAwake {
    fn drop(&mut self) {
        if let Some(mut child) = self.sleep.take() {
            drop(child.stdin.take());
            let _ = child.kill();
            let _ = child.wait();
        }
    }
}

/// `cat` waits for the end of its input, which comes at the latest when this process ends.
fn inhibitor() -> Option<Child> {
    Command::new("systemd-inhibit")
        .args(["--what=idle:sleep", "--who=pacewright", "--why=a session is running", "--mode=block", "cat"])
        .stdin(Stdio::piped())
        .stdout(Stdio::null())
        .stderr(Stdio::null())
        .spawn()
        .ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_not_held_is_said() {
        let mut awake = KeepAwake { saver_held: false, sleep: None };
        assert_eq!(awake.troubles().len(), 2);
        let mut awake = KeepAwake { saver_held: true, sleep: None };
        assert!(awake.troubles()[0].starts_with("Sleep"));
    }
}
