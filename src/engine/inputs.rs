//! Inputs, with their ties.

use super::Engine;
use super::effect::{Input, Role, Why};
use super::scan::{Scan, Scanner, State};
use super::sink::Sink;
use super::tree::ScanTree;
use crate::time::Moment;

impl Engine {
    /// Something happened at `at`. All that was due before and at that instant is done first; an
    /// older stamp than the engine's own instant keeps its value and is handled now.
    #[inline]
    pub fn input(&mut self, at: Moment, input: Input, sink: &mut impl Sink) {
        if let Input::Edge { switch, down } = input {
            return self.edge(at, switch, down, sink);
        }
        if input != Input::Stalled {
            self.advance(at, sink);
        }
        match input {
            Input::Edge { .. } => {}
            Input::Shown { number } => self.scanner.frame(number, at, sink),
            Input::Start => self.scanner.start(sink),
            Input::Halt => self.scanner.halt(sink),
            Input::Stalled => {
                self.scanner.reach(at);
                self.scanner.stalled(sink);
            }
        }
    }

    /// What each switch does from now on, the first switch first.
    ///
    /// With `None`, as at first, the technique says it: in automatic scanning every switch takes, in
    /// step scanning the first one steps and the second one takes, in inverse scanning the first one
    /// is held. Step and back have a part in step scanning only; exit and call act in every technique,
    /// a call in every state.
    pub fn set_roles(&mut self, now: Moment, roles: Option<Vec<Role>>, sink: &mut impl Sink) {
        self.advance(now, sink);
        self.scanner.roles = roles;
    }

    /// Goes back one level, as asked from outside; at the top the scan stops.
    pub fn leave(&mut self, now: Moment, sink: &mut impl Sink) {
        self.advance(now, sink);
        self.scanner.leave(sink);
    }
}

impl Scanner {
    /// Begins at the top, or waits for the press that does.
    fn start(&mut self, sink: &mut impl Sink) {
        self.screen.use_up();
        self.late_running = 0;
        if self.rules.start_by_press {
            self.state = State::Idle { armed: true };
            return self.darken(sink);
        }
        self.begin(ScanTree::TOP, self.now, sink);
    }

    fn leave(&mut self, sink: &mut impl Sink) {
        if let State::Lit(Scan { group, .. }) | State::Ready { group } | State::Pause { group, .. } = self.state {
            self.screen.use_up();
            self.back(group, self.now, Why::Asked, sink);
        }
    }
}
