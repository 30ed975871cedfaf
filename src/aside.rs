//! Lines on standard error, which nobody may be reading any more.

/// Prints a line on standard error. Where that is closed, as behind `| head`, the line is lost and nothing else: unlike
/// `eprintln!` it never panics.
macro_rules! aside {
    ($($words:tt)*) => { $crate::aside::line(format_args!($($words)*)) };
}

/// See `aside!`.
pub(crate) fn line(words: std::fmt::Arguments<'_>) {
    use std::io::Write as _;
    let _ = writeln!(std::io::stderr(), "{words}");
}
