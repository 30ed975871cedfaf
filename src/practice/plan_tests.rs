//! Plans that hold together, and plans that do not.

use super::*;

fn example() -> String {
    crate::json::documented_example(include_str!("plan.rs"))
}

fn first_problem(from: &str, to: &str) -> String {
    let text = example();
    assert!(text.contains(from), "{from}");
    let (plan, problems) = read("plan.json", text.replace(from, to));
    assert!(plan.is_none(), "{from} → {to} is taken");
    problems.iter().map(ToString::to_string).collect::<Vec<_>>().join("\n")
}

#[test]
fn the_example_of_the_documentation_is_a_valid_plan() {
    let (plan, problems) = read("example", example());
    assert_eq!(problems, []);
    let limits = plan.unwrap().limits();
    assert_eq!((limits.shortest, limits.longest), (Span::from_ms(600), Span::from_ms(4_000)));
}

#[test]
fn a_plan_without_help_cannot_be_used() {
    let (from, rest) = example().split_once(",\n   \"help\"").map(|(a, b)| (a.to_string(), b.to_string())).unwrap();
    assert!(rest.contains("call button"));
    let (plan, problems) = read("plan.json", from + "\n}");
    assert!(plan.is_none() && problems[0].to_string().contains("how the client calls for help"), "{problems:?}");
    assert!(first_problem("the call button at the left hand", " ").contains("`how` is empty"));
}

#[test]
fn contradictions_are_told_with_line_and_remedy() {
    for (from, to, told) in [
        ("\"three-items\"", "\"tree-items\"", "line 6: unknown step `tree-items`; did you mean `three-items`?"),
        ("\"three-items\"", "\"two-items\"", "stands twice"),
        ("\"shortest\": 0.6", "\"shortest\": 5", "`shortest` (5 s) is longer than `longest` (4 s)"),
        ("\"scan_interval\": 1.4", "\"scan_interval\": 0.5", "lies outside the limits"),
        ("2026-11-20", "yesterday", "write the day as 2026-11-20"),
        ("\"minutes\": 10", "\"minutes\": 90", "a number from 1 to 30"),
        ("\"success\": 0.9", "\"success\": 1", "a number from 0.7 to 0.98"),
        ("\"improve\"", "\"keep\", \"pace\": \"stepped\"", "goes by steps towards faster"),
        ("\"success\": 0.9", "\"settings\": { \"scan_interval\": 1 }", "put it into `advised`"),
        ("\"success\": 0.9", "\"settings\": { \"hold\": 99 }", "hold"),
    ] {
        let found = first_problem(from, to);
        assert!(found.contains(told), "{found}");
    }
}

#[test]
fn to_keep_is_never_faster_than_advised() {
    let (plan, _) = read("example", example().replace("improve", "keep"));
    assert_eq!(plan.unwrap().limits().shortest, Span::from_ms(1_400));
}

#[test]
fn a_plan_for_a_pointer_is_about_the_dwell_time() {
    let pointer = |advised: &str| {
        let text = example().replace("\"success\": 0.9", "\"settings\": { \"technique\": \"dwell\" }");
        read("example", text.replace("\"scan_interval\": 1.4", advised).replace("\"shortest\": 0.6, ", ""))
    };
    let (plan, problems) = pointer("\"dwell\": 0.9");
    assert_eq!(problems, []);
    let mut plan = plan.unwrap();
    // An ordinary look must not take anything, unless the clinician says otherwise.
    assert_eq!((plan.advised_s(), plan.limits().shortest), (Some(0.9), Span::from_ms(600)));
    assert!(plan.go_on_from(Span::from_ms(850), "2026-11-20"));
    assert_eq!((plan.advised_s(), plan.advised.unwrap().scan_interval), (Some(0.85), None));
    assert!(pointer("\"scan_interval\": 1.4").1[0].to_string().contains("the advice has no `dwell`"));
}

#[test]
fn a_pointer_cannot_practise_what_is_about_a_press_alone() {
    let plan = |step: &str| {
        let text = example().replace("\"success\": 0.9", "\"settings\": { \"technique\": \"dwell\" }");
        let text =
            text.replace("\"scan_interval\": 1.4", "\"dwell\": 1").replace("\"two-items\"", &format!("\"{step}\""));
        read("plan.json", text)
    };
    assert!(plan("two-items").0.is_some());
    for step in ["anything", "when-lit", "wait-then-press", "hold-and-release"] {
        let (read, problems) = plan(step);
        assert!(read.is_none() && problems[0].to_string().contains("no press and no hold"), "{problems:?}");
    }
}

#[test]
fn the_last_practice_takes_the_place_of_older_advice_unless_that_is_to_be_kept() {
    let after = |from: &str, to: &str, on: &str| {
        let mut plan = read("example", example().replace(from, to)).0.unwrap();
        plan.go_on_from(Span::from_ms(1_100), on);
        plan.advised_s().unwrap()
    };
    assert_eq!(after("", "", "2026-11-20"), 1.1);
    assert_eq!(after("", "", "2026-11-19"), 1.4);
    assert_eq!(after("improve", "keep", "2026-11-21"), 1.4);
    assert_eq!(after("\"longest\": 4", "\"longest\": 4, \"locked\": true", "2026-11-21"), 1.4);
}

#[test]
fn no_bytes_panic() {
    for bytes in [&b""[..], b"{}", b"[", b"\xff\xfe", b"{\"steps\": [1]}", b"null"] {
        assert!(read("plan.json", bytes).0.is_none());
    }
}
