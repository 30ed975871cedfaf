//! The sliders of "what if", dragged from place to place: from each move until its predictions stand in a frame.

use std::path::Path;
use std::sync::Arc;
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use egui::{Theme, Vec2};
use pacewright::app::desk::predictor::Predictor;
use pacewright::app::desk::state::{Found, News, Wish};
use pacewright::app::desk::what_if::Answer;
use pacewright::app::desk::worker;
use pacewright::settings::Settings;

use super::data::WHAT_IF;
use super::rig::Rig;

/// Moves of the slider.
const MOVES: usize = 200;

/// Drags, and prints how long each answer took.
pub fn bench(data: &Path) {
    let (send, news) = channel();
    let tell: worker::Tell = Arc::new(move |told| _ = send.send(told));
    let program = env!("CARGO_BIN_EXE_pacewright").into();
    let wishes = worker::start(data.into(), None, program, |log| Ok(log.into()), tell);
    let (answer, answers) = channel();
    let predictor = Predictor::start(data.into(), move |told| _ = answer.send(told));
    let mut rig = Rig::new((1_180.0, 800.0), Theme::Light);
    let mut pass_on = |rig: &mut Rig| {
        for wish in rig.wishes() {
            match wish {
                Wish::Predict(question) => predictor.ask(*question),
                wish => wishes.send(wish),
            }
        }
    };
    pass_on(&mut rig);
    until(&mut rig, &news, &mut pass_on, |rig| rig.desk.index.is_some());
    rig.desk.open(WHAT_IF.parse().expect("a code"));
    rig.desk.at = "what if";
    rig.settle();
    pass_on(&mut rig);
    until(&mut rig, &news, &mut pass_on, |rig| {
        rig.desk.visit.as_ref().is_some_and(|visit| matches!(visit.found, Found::Here(..)))
    });
    // The fit comes before the first answer; it is no part of a drag.
    wait_for(&mut rig, &answers, None);
    let at = rig.grasp("Scan rate, seconds per item");
    let (mut frames, mut times) = (Vec::new(), Vec::new());
    for turn in 0..MOVES {
        let before = tried(&rig);
        let began = Instant::now();
        // Here and there, so that no value comes twice in a row.
        rig.pull(at + Vec2::new(3.0 * (turn * 17 % 23) as f32, 0.0));
        frames.push(began.elapsed());
        pass_on(&mut rig);
        let now = tried(&rig);
        if now != before {
            wait_for(&mut rig, &answers, Some(&now));
            times.push(began.elapsed());
        }
    }
    assert!(times.len() > MOVES / 2, "the slider moved");
    print("what if, from a move to its predictions in a frame", times);
    print("of that until the frame that moved the slider", frames);
}

fn tried(rig: &Rig) -> Settings {
    rig.desk.visit.as_ref().and_then(|visit| visit.what_if.as_ref()).expect("a client").tried.clone()
}

/// Waits for the answer about these settings, or any, and shows it.
fn wait_for(rig: &mut Rig, answers: &Receiver<Answer>, settings: Option<&Settings>) {
    loop {
        let answer = answers.recv_timeout(Duration::from_secs(120)).expect("an answer");
        let (found, _) = answer.found.as_ref().expect("a client who can be fitted");
        let wanted = settings.is_none_or(|settings| settings == found);
        rig.desk.told(News::Predicted(Box::new(answer)));
        if wanted {
            return rig.frame(Vec::new());
        }
    }
}

fn until(rig: &mut Rig, news: &Receiver<News>, pass_on: &mut impl FnMut(&mut Rig), there: impl Fn(&Rig) -> bool) {
    while !there(rig) {
        rig.desk.told(news.recv_timeout(Duration::from_secs(120)).expect("news"));
        rig.settle();
        pass_on(rig);
    }
}

fn print(what: &str, mut times: Vec<Duration>) {
    times.sort_unstable();
    let at = |share: f64| 1e3 * times[(times.len() as f64 * share) as usize].as_secs_f64();
    let last = 1e3 * times[times.len() - 1].as_secs_f64();
    println!("{what}: median {:.1} ms, p95 {:.1} ms, max {last:.1} ms (n = {})", at(0.5), at(0.95), times.len());
}
