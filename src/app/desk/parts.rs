//! Small pieces that several screens are made of.

use egui::{Response, RichText, TextStyle, Ui, Widget as _};

use super::theme::{APART, FIGURE, NEAR};

/// A heading with room above it.
pub fn heading(ui: &mut Ui, text: &str) {
    ui.add_space(APART);
    ui.label(RichText::new(text).heading());
    ui.add_space(NEAR);
}

/// A question and a field of one or more lines below it, joined for a screen reader.
pub fn asked(ui: &mut Ui, question: &str, answer: &mut String, lines: usize) -> Response {
    let label = ui.label(question);
    let field = match lines {
        1 => egui::TextEdit::singleline(answer),
        _ => egui::TextEdit::multiline(answer).desired_rows(lines),
    };
    let response = field.ui(ui).labelled_by(label.id);
    ui.add_space(NEAR);
    response
}

/// Lesser words.
pub fn aside(ui: &mut Ui, text: impl Into<String>) {
    ui.label(RichText::new(text).weak());
}

/// Words in bold.
#[must_use]
pub fn strong(text: impl Into<String>) -> RichText {
    RichText::new(text).text_style(TextStyle::Name("strong".into()))
}

/// A large figure.
#[must_use]
pub fn figure(text: impl Into<String>) -> RichText {
    RichText::new(text).text_style(TextStyle::Name(FIGURE.into()))
}

/// The one thing to do next on a screen.
pub fn main_button(ui: &mut Ui, text: &str) -> Response {
    let act = ui.visuals().hyperlink_color;
    let ink = ui.visuals().panel_fill;
    ui.add(egui::Button::new(RichText::new(text).color(ink).text_style(TextStyle::Name("strong".into()))).fill(act))
}

/// Something framed that belongs together.
pub fn card<R>(ui: &mut Ui, content: impl FnOnce(&mut Ui) -> R) -> R {
    egui::Frame::group(ui.style())
        .inner_margin(14.0)
        .show(ui, |ui| {
            ui.set_min_width((ui.available_width()).min(super::theme::COLUMN));
            content(ui)
        })
        .inner
}
