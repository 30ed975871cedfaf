//! The scenes: what stands on the screen in each phase.

use super::course::Target;
use super::event::BlockKind;
use super::event::Event;
use super::input::PauseReason;
use super::offer::Offer;
use super::phase::{Phase, Place, Then};
use super::protocol::{Block, Protocol};
use super::record::Record;
use super::running::{Running, Stage};
use super::scene::{Body, Cue, Message, Note, Reader, Scene, Tile, Tiles};
use super::{Session, words};
use crate::engine::effect::Lit;
use crate::engine::pattern::{Page, TileRef, near_square};
use crate::engine::tree::ScanTree;
use crate::menu::home::HomeThing;

/// Before anything is shown.
pub(super) fn blank() -> Scene {
    let body = Body::Message(Message { title: String::new(), lines: Vec::new(), icon: None, to: Reader::Client });
    Scene { number: 0, cue: None, body, home: Vec::new(), note: None, left: None, answered: false }
}

impl Session {
    /// Shows the scene of the phase under a new number; `text` are its main words, for the log.
    pub(super) fn show(&mut self, text: &str, out: &mut Vec<Record>) {
        let number = self.engine.take_number();
        self.scene = self.compose(number);
        self.tell(Event::Scene { number, text: text.to_string() }, out);
    }

    /// Shows the cue or the answer of the running trial.
    pub(super) fn show_cue(&mut self, out: &mut Vec<Record>) {
        let text = self.trial_cue().map_or_else(String::new, |cue| cue.text);
        self.show(&text, out);
    }

    /// Shows the scene again with a small change.
    pub(super) fn show_again(&mut self, out: &mut Vec<Record>) {
        let text = self.scene.cue.as_ref().map_or_else(String::new, |cue| cue.text.clone());
        self.show(&text, out);
    }

    /// The scene of the phase.
    pub(super) fn compose(&self, number: u64) -> Scene {
        let (cue, body) = match &self.phase {
            Phase::Mine { back, lamp } => (None, self.mine_page(*back, *lamp)),
            Phase::Contact { lamp_until, .. } => {
                (self.answer.clone().or(cue(&self.told(words::CONTACT), None)), self.contact_tile(lamp_until.is_some()))
            }
            Phase::Watch { .. } => (None, client(words::WATCH, "quiet")),
            Phase::Check { .. } => (None, self.check_page()),
            Phase::Trial(running) => (self.trial_cue(), self.trial_body(running)),
            Phase::Question { offers, .. } => (cue(self.question(), None), self.choices(offers)),
            Phase::Rest { .. } if self.points() => (cue(words::REST_POINTER, None), self.rest_tiles()),
            Phase::Rest { .. } => (None, client(&self.rest_words(), "rest")),
            Phase::Bell { .. } => (cue(words::BELL, Some("bell")), bell()),
            Phase::Paused { why, .. } => (None, self.pause_page(*why)),
            Phase::Finished => (None, client(words::FINISHED, "check")),
        };
        let body = self.with_filled_edge(body);
        Scene {
            number,
            cue,
            body,
            home: self.home_strip(),
            note: self.edge_note(),
            left: self.trials_left(),
            answered: self.answered_until.is_some(),
        }
    }

    fn trial_cue(&self) -> Option<Cue> {
        let Phase::Trial(running) = &self.phase else { return None };
        self.answer.clone().or_else(|| Some(self.cue(running.task.target)))
    }

    fn trial_body(&self, running: &Running) -> Body {
        let is_lit = |index: usize| matches!(self.lit, Lit::Entry { entry, .. } if usize::from(entry.0) == index);
        match running.task.target {
            Target::Lamp { .. } if self.alone() && running.reached => one_tile(false, "sun"),
            Target::Lamp { .. } if matches!(running.stage, Stage::Full { .. }) => full(),
            Target::Lamp { .. } => lamp(is_lit(0)),
            Target::Pair => lamp(running.presses.len() % 2 == 1),
            Target::Tile { position, tiles, .. } => {
                let after = matches!(running.stage, Stage::After { .. });
                let tile = |index: usize| Tile {
                    label: (index + 1).to_string(),
                    lit: is_lit(index) && !after,
                    target: index == usize::from(position),
                    ..Tile::default()
                };
                let tiles: Vec<Tile> = (0..usize::from(tiles)).map(tile).collect();
                Body::Tiles(Tiles { columns: near_square(tiles.len()), tiles })
            }
            Target::Item(_) => self.menu_page(),
        }
    }

    /// The pages of tiles that the protocol will show, unlit, so that somebody can see before the start
    /// whether they can be read from the bed.
    #[must_use]
    pub fn pages_to_come(&self) -> Vec<Scene> {
        let kinds = |block: &Block| matches!(block.kind, BlockKind::MenuTasks | BlockKind::Confirm);
        let menu = self.plan.protocol.blocks.iter().any(kinds);
        let pages = if menu { self.arrangement.pages() } else { &[] };
        let cue =
            self.arrangement.items().iter().max_by_key(|item| item.cue.len()).and_then(|item| cue(&item.cue, None));
        let scene = |page: &Page| {
            let tiles = page.tiles.iter().map(|tile| self.menu_tile(tile, false)).collect();
            let body = Body::Tiles(Tiles { columns: page.columns, tiles });
            Scene { cue: cue.clone(), body, home: self.home.things(), left: Some(1), ..blank() }
        };
        pages.iter().map(scene).collect()
    }

    /// A warning that stands at the edge of the screen until the first block begins.
    pub fn warn(&mut self, text: &str) {
        self.note = Some(Note { text: text.to_string(), urgent: true });
        self.scene = self.compose(self.scene.number);
    }

    /// The page of the menu that the scan is on.
    fn menu_page(&self) -> Body {
        let group = match (self.lit, &self.phase) {
            (Lit::Entry { group, .. }, _) => group,
            (Lit::Nothing, Phase::Trial(running)) => running.group(),
            (Lit::Nothing, _) => ScanTree::TOP,
        };
        let page = self.arrangement.page(self.arrangement.page_of(group));
        let lit: &[usize] = match self.lit {
            Lit::Entry { group, entry, .. } => self.arrangement.lit_tiles(group, entry),
            Lit::Nothing => &[],
        };
        let tiles = page.tiles.iter().enumerate().map(|(index, tile)| self.menu_tile(tile, lit.contains(&index)));
        Body::Tiles(Tiles { columns: page.columns, tiles: tiles.collect() })
    }

    fn menu_tile(&self, tile: &TileRef, lit: bool) -> Tile {
        match *tile {
            TileRef::Blank => Tile { blank: true, ..Tile::default() },
            TileRef::Back => Tile { lit, ..named(words::BACK, "back") },
            TileRef::Yes(_) => Tile { lit, ..named(words::YES, "yes") },
            TileRef::Item(item) => {
                let item = self.item(item);
                Tile { lit, on: self.home.on(item), ..named(&item.label, &item.icon) }
            }
            TileRef::Opens(group) => {
                let face = self.arrangement.face(group);
                let (label, icon) = face.map_or(("", ""), |face| (&face.label, &face.icon));
                Tile { lit, opens: true, ..named(label, icon) }
            }
        }
    }

    /// Alone the one tile shows what the press has done in the home.
    fn contact_tile(&self, lit: bool) -> Body {
        let icon = self.answer.as_ref().and_then(|answer| answer.icon.as_deref()).unwrap_or("switch");
        if self.alone() { one_tile(lit, icon) } else { lamp(lit) }
    }

    fn choices(&self, offers: &[Offer]) -> Body {
        let is_lit = |index| matches!(self.lit, Lit::Entry { entry, .. } if usize::from(entry.0) == index);
        let tile = |(index, offer): (usize, &Offer)| Tile { lit: is_lit(index), ..named(offer.label(), offer.icon()) };
        let tiles: Vec<Tile> = offers.iter().enumerate().map(tile).collect();
        // Up to three stand side by side; more are larger in two rows.
        let columns = if tiles.len() > 3 { tiles.len().div_ceil(2) } else { tiles.len() };
        Body::Tiles(Tiles { columns, tiles })
    }

    /// The words of the question.
    pub(super) fn question(&self) -> &'static str {
        match &self.phase {
            Phase::Question { offers, .. } if offers.contains(&Offer::Start) => words::QUESTION_START,
            Phase::Question { offers, .. } if offers.contains(&Offer::EndNow) => words::QUESTION_END,
            Phase::Question { offers, .. } if !offers.contains(&Offer::CarryOn) => words::QUESTION_NEXT,
            _ if self.alone() => words::QUESTION_WITH_END,
            _ => words::QUESTION,
        }
    }

    /// Whose presses these are, and what comes next, for the clinician.
    fn mine_page(&self, back: Place, on: bool) -> Body {
        let [means, begin, hand_back] = if self.block_to_come_points() {
            [words::MINE_POINTER, words::BEGIN_POINTER, words::HAND_BACK_POINTER]
        } else {
            [words::MINE_MEANS, words::BEGIN, words::HAND_BACK]
        };
        let mut lines = vec![means.to_string()];
        if back == Place::On(Then::NextBlock) && self.next_block == 0 {
            let protocol = &self.plan.protocol;
            lines.push(format!("{}: {}", protocol.name, protocol.about));
            if let Ok(cost) = protocol.cost(&self.plan.menu, &self.plan.settings) {
                lines.push(words::cost(&cost));
            }
            lines.push(begin.to_string());
        } else {
            let Protocol { name, blocks, .. } = &self.plan.protocol;
            if back == Place::On(Then::NextBlock) && !self.is_last_block() {
                lines.push(format!("{name}: block {} of {} comes next.", self.next_block + 1, blocks.len()));
            }
            lines.push(hand_back.to_string());
        }
        let icon = Some(if on { "sun" } else { "switch" }.to_string());
        Body::Message(Message { title: words::MINE.to_string(), lines, icon, to: Reader::Clinician })
    }

    /// A pause is calm for the client; what it waits for stands at the edge, for the clinician. A switch
    /// that is still pressed is the client's business too, and alone the client has to know how to go on.
    fn pause_page(&self, why: PauseReason) -> Body {
        let title = match why {
            PauseReason::Stuck => words::STUCK,
            PauseReason::Call => words::CALLED,
            PauseReason::FocusLost | PauseReason::Unplugged if self.alone() => words::pause(why, true),
            _ if self.alone() => words::PAUSED_ALONE,
            _ => words::PAUSED,
        };
        client(&self.told(title), "stop")
    }

    /// The words of the rest page.
    pub(super) fn rest_words(&self) -> String {
        self.told(if self.out_of_breath { words::REST_BREATHS } else { words::REST })
    }

    /// The home is seen where it answers.
    fn home_strip(&self) -> Vec<HomeThing> {
        match &self.phase {
            Phase::Trial(running) if running.is_menu_task() => self.home.things(),
            Phase::Contact { .. } if self.alone() => self.home.things(),
            _ => Vec::new(),
        }
    }

    fn edge_note(&self) -> Option<Note> {
        let ask = |rating| Note { text: words::rating(rating).to_string(), urgent: false };
        match &self.phase {
            Phase::Question { .. } | Phase::Rest { .. } | Phase::Finished => {
                self.rating.map(ask).or_else(|| self.note.clone())
            }
            // The page says it.
            Phase::Paused { why: PauseReason::Stuck | PauseReason::FocusLost | PauseReason::Unplugged, .. }
                if self.alone() =>
            {
                None
            }
            Phase::Paused { why, .. } => Some(Note { text: self.told(words::pause(*why, self.alone())), urgent: true }),
            _ => self.note.clone(),
        }
        .or_else(|| self.levels.emulated().then(|| Note { text: words::EMULATED.to_string(), urgent: false }))
    }

    fn trials_left(&self) -> Option<u32> {
        match (&self.phase, &self.progress) {
            // Practice ends when the step is mastered, not when its trials are done.
            (Phase::Trial(_), Some(progress)) if !self.alone() => Some(progress.tasks.len() as u32 + 1),
            _ => None,
        }
    }
}

fn named(label: &str, icon: &str) -> Tile {
    Tile { label: label.to_string(), icon: icon.to_string(), ..Tile::default() }
}

fn cue(text: &str, icon: Option<&str>) -> Option<Cue> {
    Some(Cue { text: text.to_string(), icon: icon.map(str::to_string) })
}

/// One tile with a lamp on it, lit or not.
fn lamp(lit: bool) -> Body {
    one_tile(lit, "lamp")
}

/// The same, filled to its end.
fn full() -> Body {
    let tile = Tile { lit: true, on: true, filled: 8, ..named("", "lamp") };
    Body::Tiles(Tiles { columns: 1, tiles: vec![tile] })
}

fn one_tile(lit: bool, icon: &str) -> Body {
    Body::Tiles(Tiles { columns: 1, tiles: vec![Tile { lit, on: lit, ..named("", icon) }] })
}

fn client(title: &str, icon: &str) -> Body {
    Body::Message(Message {
        title: title.to_string(),
        lines: Vec::new(),
        icon: Some(icon.to_string()),
        to: Reader::Client,
    })
}

/// As bright as the screen can be, so that it is seen from the door; it must not be taken for a call.
fn bell() -> Body {
    Body::Tiles(Tiles { columns: 1, tiles: vec![Tile { lit: true, ..named(words::BELL_MEANS, "bell") }] })
}
