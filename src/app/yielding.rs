//! Who gives way on a small machine. A driver that draws on the processor holds all cores for milliseconds.

/// Puts this thread, and the threads that it starts from here on, behind others by `steps` of niceness. Programs that
/// it starts are put behind too, and cannot undo it.
#[cfg(target_os = "linux")]
pub fn behind(steps: i32) {
    // Refused only where the limit is reached, and then all is as it was.
    let _ = rustix::process::nice(steps);
}

/// Other systems are left to themselves.
#[cfg(not(target_os = "linux"))]
pub fn behind(_: i32) {}
