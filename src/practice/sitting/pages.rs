//! The pages that practice adds to those of its session: for the carer before it, for the client behind it.

use super::Sitting;
use crate::practice::summary::Ending;
use crate::session::scene::{Body, Message, Reader, Scene};
use crate::session::words;
use crate::time::Span;

/// What the carer has to know besides.
const CALLS_NOBODY: &str = "The alarm and the bell on this screen call nobody. Without a way to call, do not begin.";
const TRY_POINTER: &str = "The pointer takes nothing yet. Try whether it comes to every corner of the screen.";
const TRY: &str = "Try the switch: a press changes the picture above and is not counted.";
const CONFIRM: &str = "Yes: F3, Enter or a click. Then hand the switch to the client. No: F10 ends.";

impl Sitting {
    /// The page that stands instead of the session's, if one does.
    pub(super) fn page(&self) -> Option<Scene> {
        let body = match (self.to_confirm(), self.ending()) {
            // A pause says what it waits for.
            (Some(_), _) if self.session().is_paused() => return None,
            (Some(question), _) => self.before(question),
            (None, Some(ending)) => behind(ending),
            (None, None) => return None,
        };
        Some(Scene { body: Body::Message(body), cue: None, home: Vec::new(), ..self.session().scene().clone() })
    }

    fn before(&self, question: String) -> Message {
        let protocol = &self.session_plan().protocol;
        let lines = vec![
            question,
            CALLS_NOBODY.to_string(),
            format!("{}: {}", protocol.name, protocol.about),
            length(self.length()),
            if self.session().block_to_come_points() { TRY_POINTER } else { TRY }.to_string(),
            CONFIRM.to_string(),
        ];
        let icon = match &self.session().scene().body {
            Body::Message(message) => message.icon.clone(),
            Body::Tiles(_) | Body::Strip(_) => None,
        };
        Message { title: "Before practice: how help is called".to_string(), lines, icon, to: Reader::Clinician }
    }
}

fn length(agreed: Span) -> String {
    let minutes = (agreed.as_seconds() / 60.0).ceil();
    format!("At most {minutes:.0} minutes, then it ends by itself. Rest is offered again and again.")
}

fn behind(ending: Ending) -> Message {
    let lines = vec![ending.words().to_string()];
    Message { title: words::FINISHED.to_string(), lines, icon: Some("check".to_string()), to: Reader::Client }
}
