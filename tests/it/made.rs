//! Builds the records of a session from what is to be found in it.

use pacewright::log::header::Header;
use pacewright::menu::shipped;
use pacewright::session::Plan;
use pacewright::session::event::{BlockEnd, BlockKind, Event};
use pacewright::session::input::{Input, Prompt};
use pacewright::session::protocol::{Block, Protocol};
use pacewright::session::record::{Record, What};
use pacewright::session::trial::{Outcome, Press, Trial};
use pacewright::settings::Settings;
use pacewright::time::{Moment, Span};
use serde_json::json;

/// A session in the making. Its clock goes only where it is sent.
pub struct Made {
    pub at: Moment,
    pub records: Vec<Record>,
    blocks: Vec<Block>,
    trials: u32,
}

/// A press at this latency; the highlight it was meant for was shown at `shown`.
pub fn press(outcome: Outcome, shown: Moment, latency_ms: i64) -> Press {
    let pressed = Moment(shown.0.saturating_add_signed(latency_ms * 1_000));
    Press {
        pressed,
        accepted: pressed,
        outcome,
        level: 0,
        position: Some(2),
        wanted: 2,
        count: 6,
        latency_us: Some(latency_ms * 1_000),
    }
}

impl Made {
    pub fn new() -> Made {
        Made { at: Moment::START, records: Vec::new(), blocks: Vec::new(), trials: 0 }
    }

    pub fn wait(mut self, ms: u64) -> Made {
        self.at += Span::from_ms(ms);
        self
    }

    pub fn input(mut self, input: Input) -> Made {
        self.records.push(Record { at: self.at, what: What::Input(input) });
        self
    }

    pub fn event(mut self, event: Event) -> Made {
        self.records.push(Record { at: self.at, what: What::Event(event) });
        self
    }

    pub fn begin(mut self, block: Block) -> Made {
        let (index, kind) = (self.blocks.len() as u16, block.kind);
        self.blocks.push(block);
        self.trials = 0;
        self.event(Event::BlockBegan { block: index, kind })
    }

    pub fn end(self, why: BlockEnd) -> Made {
        let block = self.block();
        self.event(Event::BlockEnded { block, why })
    }

    pub fn block(&self) -> u16 {
        self.blocks.len() as u16 - 1
    }

    /// A trial of 4 s, a hit unless `change` says otherwise.
    pub fn trial(mut self, change: impl FnOnce(&mut Trial)) -> Made {
        self.trials += 1;
        let cued = self.at;
        let (began, ended) = (cued + Span::from_ms(1_000), cued + Span::from_ms(4_000));
        let kind = self.blocks.last().map_or(BlockKind::TimedPress, |block| block.kind);
        let mut trial = Trial {
            block: self.block(),
            kind,
            trial: self.trials,
            scored: true,
            outcome: Outcome::Hit,
            reached: true,
            target: "lamp".into(),
            attempt: 1,
            cued,
            began,
            ended,
            wait_us: None,
            position: 2,
            count: 6,
            interval_us: Span::from_ms(2_000),
            settings: 0,
            passes_missed: 0,
            presses: Vec::new(),
            previous: None,
            prompt: Prompt::None,
            interruption: None,
            excluded: None,
        };
        change(&mut trial);
        let (block, number, target) = (trial.block, trial.trial, trial.target.clone());
        self = self.event(Event::TrialBegan { block, trial: number, target });
        self.at = trial.ended;
        self.event(Event::Trial(Box::new(trial)))
    }

    /// A trial with one press of this outcome and latency.
    pub fn pressed(self, outcome: Outcome, latency_ms: i64) -> Made {
        self.trial(|trial| {
            trial.outcome = outcome;
            trial.reached = outcome == Outcome::Hit;
            trial.presses = vec![press(outcome, trial.began + Span::from_ms(1_000), latency_ms)];
        })
    }

    pub fn header(&self) -> Header {
        self.header_with(Settings::default())
    }

    pub fn header_with(&self, settings: Settings) -> Header {
        let protocol = json!({
            "format": Protocol::FORMAT, "version": Protocol::VERSION, "name": "made", "menu": "six",
            "blocks": serde_json::to_value(&self.blocks).expect("blocks are data"),
        });
        let plan = Plan {
            protocol: serde_json::from_value(protocol).expect("a valid protocol"),
            menu: shipped::find("six").expect("a shipped menu"),
            settings,
            seed: 1,
        };
        let began = "2026-01-02T03:04:05+01:00".into();
        Header { client: "A1".into(), invented: true, began, ..Header::for_plan(&plan) }
    }
}
