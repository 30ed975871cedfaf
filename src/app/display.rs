//! Whether there is a screen to open a window on.

/// Fine where a window can be opened.
///
/// # Errors
/// Says what is missing and what to do, for the command line.
#[cfg(all(unix, not(target_os = "macos")))]
pub fn display_available() -> Result<(), String> {
    let set = |name| std::env::var_os(name).is_some_and(|value: std::ffi::OsString| !value.is_empty());
    if set("WAYLAND_DISPLAY") || set("WAYLAND_SOCKET") {
        return Ok(());
    }
    if !set("DISPLAY") {
        return Err("cannot open a window: neither `DISPLAY` nor `WAYLAND_DISPLAY` is set; \
                    start it on a desktop, or run `pacewright demo`, which needs no screen"
            .into());
    }
    x11rb::connect(None).map(drop).map_err(|error| {
        let display = std::env::var("DISPLAY").unwrap_or_default();
        format!("cannot reach the display `{display}`: {error}; start it on a desktop, or run `pacewright demo`")
    })
}

/// Elsewhere there always is one.
///
/// # Errors
/// None.
#[cfg(not(all(unix, not(target_os = "macos"))))]
pub fn display_available() -> Result<(), String> {
    Ok(())
}
