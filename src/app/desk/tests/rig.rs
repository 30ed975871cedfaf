//! A desk without a window: frames, clicks by what a screen reader would say, keys.

use egui::accesskit::{Node, Role};
use egui::{ClippedPrimitive, Context, Event, Key, Modifiers, PointerButton, Pos2, RawInput, Rect, Theme, Vec2};
use tiny_skia::Pixmap;

use super::raster::{Textures, paint};
use pacewright::app::desk::running::admit;
use pacewright::app::desk::state::{Desk, Wish};
use pacewright::app::desk::{show, theme};
use pacewright::desk::words::Language;

/// The day of all these tests.
pub const TODAY: &str = "2026-11-29";

pub struct Rig {
    context: Context,
    pub desk: Desk,
    size: Vec2,
    textures: Textures,
    nodes: Vec<Node>,
    /// What the keyboard works.
    focus: Option<String>,
    shapes: Vec<ClippedPrimitive>,
}

impl Rig {
    /// A desk over an empty folder, of this size in points.
    pub fn new((width, height): (f32, f32), look: Theme) -> Rig {
        let context = Context::default();
        theme::apply(&context);
        context.set_theme(look);
        context.enable_accesskit();
        let mut rig = Rig {
            context,
            desk: Desk::new("/data".into(), TODAY.into(), Language::English),
            size: Vec2::new(width, height),
            textures: Textures::default(),
            nodes: Vec::new(),
            focus: None,
            shapes: Vec::new(),
        };
        rig.settle();
        rig
    }

    /// What the desk has wished for since it was asked last.
    pub fn wishes(&mut self) -> Vec<Wish> {
        std::mem::take(&mut self.desk.wishes)
    }

    /// Runs until a layout that had to be measured first stands.
    pub fn settle(&mut self) {
        (0..3).for_each(|_| self.frame(Vec::new()));
    }

    pub fn frame(&mut self, events: Vec<Event>) {
        let input = RawInput {
            screen_rect: Some(Rect::from_min_size(Pos2::ZERO, self.size)),
            focused: true,
            events,
            ..RawInput::default()
        };
        let (desk, mut input) = (&mut self.desk, input);
        admit(desk, &mut input);
        let output = self.context.run_ui(input, |ui| show(ui, desk));
        if let Some(update) = output.platform_output.accesskit_update {
            let focused = update.nodes.iter().find(|(id, _)| *id == update.focus);
            self.focus = focused.and_then(|(_, node)| node.label().map(str::to_string));
            self.nodes = update.nodes.into_iter().map(|(_, node)| node).collect();
            // As they are read: from above, then from the left.
            let place = |node: &Node| node.bounds().map_or((0.0, 0.0), |bounds| (bounds.y0, bounds.x0));
            self.nodes.sort_by(|one, other| place(one).partial_cmp(&place(other)).expect("no place is NaN"));
        }
        self.textures.take(&output.textures_delta);
        self.shapes = self.context.tessellate(output.shapes, output.pixels_per_point);
    }

    /// What the last frame looks like.
    pub fn picture(&self) -> Pixmap {
        paint(&self.shapes, &self.textures, self.size.x as u32, self.size.y as u32)
    }

    /// What the keyboard works now, by its name.
    pub fn focused(&self) -> Option<&str> {
        self.focus.as_deref()
    }

    /// Every word on the screen.
    pub fn words(&self) -> String {
        let words = self.nodes.iter().filter_map(|node| node.label().or_else(|| node.value()).map(str::to_string));
        words.collect::<Vec<_>>().join("\n")
    }

    /// Whether something says exactly this.
    pub fn says(&self, words: &str) -> bool {
        self.words().contains(words)
    }

    fn pressable(&self, name: &str, nth: usize) -> Option<Pos2> {
        let pressable = |node: &&Node| {
            matches!(node.role(), Role::Button | Role::RadioButton | Role::CheckBox | Role::ComboBox | Role::Link)
                && (node.label() == Some(name) || node.role() == Role::ComboBox && node.value() == Some(name))
        };
        self.nodes.iter().filter(pressable).nth(nth).and_then(middle)
    }

    /// Clicks the `nth` thing that can be pressed and is called this.
    pub fn click_nth(&mut self, name: &str, nth: usize) {
        let at = self.place_of(name, nth);
        self.press(at);
    }

    pub fn click(&mut self, name: &str) {
        self.click_nth(name, 0);
    }

    fn press(&mut self, at: Pos2) {
        self.press_and_move(at, 0.0);
    }

    fn press_and_move(&mut self, from: Pos2, right: f32) {
        self.hold(from);
        let to = from + Vec2::new(right, 0.0);
        self.pull(to);
        self.button(to, false);
        self.settle();
    }

    fn hold(&mut self, at: Pos2) {
        self.frame(vec![Event::PointerMoved(at)]);
        self.button(at, true);
    }

    fn button(&mut self, pos: Pos2, pressed: bool) {
        let (button, modifiers) = (PointerButton::Primary, Modifiers::NONE);
        self.frame(vec![Event::PointerButton { pos, button, pressed, modifiers }]);
    }

    /// Moves what is held to there.
    pub fn pull(&mut self, to: Pos2) {
        self.frame(vec![Event::PointerMoved(to)]);
    }

    /// Takes hold of the slider that is called this; gives where.
    pub fn grasp(&mut self, name: &str) -> Pos2 {
        let at = self.slider(name);
        self.hold(at);
        at
    }

    fn slider(&self, name: &str) -> Pos2 {
        let at = self.beside(name, |node| node.role() == Role::Slider);
        at.unwrap_or_else(|| panic!("no slider is called `{name}`; there is:\n{}", self.words()))
    }

    /// Where the `nth` thing that can be pressed and is called this stands.
    pub fn place_of(&self, name: &str, nth: usize) -> Pos2 {
        let at = self.pressable(name, nth);
        at.unwrap_or_else(|| panic!("nothing to press is called `{name}`; there is:\n{}", self.words()))
    }

    /// Drags the slider that is called this so many points to the right.
    pub fn drag(&mut self, name: &str, right: f32) {
        let at = self.slider(name);
        self.press_and_move(at, right);
    }

    /// Types into the field that is called this.
    pub fn type_into(&mut self, name: &str, text: &str) {
        let labelled = self.nodes.iter().find(|node| is_field(node) && node.label() == Some(name)).and_then(middle);
        let at = labelled.or_else(|| self.beside(name, is_field));
        let at = at.unwrap_or_else(|| panic!("no field is called `{name}`; there is:\n{}", self.words()));
        self.press(at);
        self.frame(vec![Event::Text(text.into())]);
        self.settle();
    }

    /// Types into the first field that holds this, behind it.
    pub fn type_into_value(&mut self, held: &str, text: &str) {
        let at = self.nodes.iter().find(|node| is_field(node) && node.value() == Some(held)).and_then(middle);
        self.press(at.unwrap_or_else(|| panic!("no field holds `{held}`; there is:\n{}", self.words())));
        self.key(Key::End, Modifiers::NONE);
        self.frame(vec![Event::Text(text.into())]);
        self.settle();
    }

    /// What is nearest to a label, to its right or below: where a label is joined by its place.
    fn beside(&self, name: &str, wanted: impl Fn(&Node) -> bool) -> Option<Pos2> {
        let label =
            self.nodes.iter().find(|node| node.role() == Role::Label && node.value() == Some(name)).and_then(middle)?;
        let fields = self.nodes.iter().filter(|node| wanted(node)).filter_map(middle);
        let after = fields.filter(|at| at.y > label.y - 4.0 && (at.x > label.x || at.y > label.y + 8.0));
        after.min_by(|one, other| one.distance(label).total_cmp(&other.distance(label)))
    }

    pub fn key(&mut self, key: Key, modifiers: Modifiers) {
        for pressed in [true, false] {
            self.frame(vec![Event::Key { key, physical_key: None, pressed, repeat: false, modifiers }]);
        }
        self.settle();
    }
}

fn is_field(node: &Node) -> bool {
    matches!(node.role(), Role::TextInput | Role::MultilineTextInput)
}

fn middle(node: &Node) -> Option<Pos2> {
    let bounds = node.bounds()?;
    Some(Pos2::new(f64::midpoint(bounds.x0, bounds.x1) as f32, f64::midpoint(bounds.y0, bounds.y1) as f32))
}
