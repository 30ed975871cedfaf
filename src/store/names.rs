//! Names of session logs: `CLIENT-YYYYMMDD-HHMMSS[-n].jsonl`.

use jiff::Zoned;

use crate::code::ClientCode;

/// The name of the `turn`-th log (from 1) that this client began in this second, by local time.
pub(super) fn log_name(client: &ClientCode, began: &Zoned, turn: u32) -> String {
    name_at(client, &began.strftime("%Y%m%d%H%M%S").to_string(), turn)
}

/// The same from the fourteen digits of day and time.
pub(super) fn name_at(client: &ClientCode, stamp: &str, turn: u32) -> String {
    let (day, time) = stamp.split_at(8);
    if turn <= 1 { format!("{client}-{day}-{time}.jsonl") } else { format!("{client}-{day}-{time}-{turn}.jsonl") }
}

/// Where a log of `client` belongs among the others, by its name; `None` for any other file.
pub(super) fn place(client: &ClientCode, name: &str) -> Option<(String, u32)> {
    let stamp = name.strip_prefix(client.as_str())?.strip_prefix('-')?.strip_suffix(".jsonl")?;
    let mut parts = stamp.split('-');
    let (date, time) = (digits(parts.next()?, 8)?, digits(parts.next()?, 6)?);
    let turn = match parts.next() {
        None => 1,
        Some(turn) => digits(turn, turn.len())?.parse().ok()?,
    };
    parts.next().is_none().then(|| (format!("{date}{time}"), turn))
}

fn digits(text: &str, count: usize) -> Option<&str> {
    (text.len() == count && text.bytes().all(|byte| byte.is_ascii_digit())).then_some(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_name_is_found_again_by_its_own_client_only() {
        let code = |text: &str| text.parse::<ClientCode>().unwrap();
        let began: Zoned = "2026-01-02T03:04:05+01:00[+01:00]".parse().unwrap();
        assert_eq!(log_name(&code("C-7"), &began, 1), "C-7-20260102-030405.jsonl");
        let second = log_name(&code("C-7"), &began, 12);
        assert_eq!(place(&code("C-7"), &second), Some(("20260102030405".into(), 12)));
        assert_eq!(place(&code("C"), &second), None);
        assert_eq!(place(&code("C-7"), "C-7-20260102-030405.jsonl.bak"), None);
        assert_eq!(place(&code("C-7"), "C-7-20260102-0304-5.jsonl"), None);
    }
}
