//! What a process holds in memory.

/// Resident memory (VmRSS) of the process, `self` or a number, in KiB, from the kernel; 0 where it does not tell.
pub fn resident_kib(process: &str) -> u64 {
    let status = std::fs::read_to_string(format!("/proc/{process}/status")).unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:"));
    line.and_then(|rest| rest.trim().trim_end_matches(" kB").parse().ok()).unwrap_or(0)
}
