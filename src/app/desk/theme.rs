//! The desk's look: one family of letters, one scale of sizes, few colours, much room.
//!
//! Data colours are those of Okabe and Ito. Colour never carries a meaning alone.

use std::sync::Arc;

use egui::{
    Color32, Context, CornerRadius, FontData, FontDefinitions, FontFamily, FontId, Margin, Stroke, TextStyle, Theme,
    Vec2, Visuals,
};

/// Blue of Okabe and Ito: what can be done, and the first series of data.
pub const BLUE: Color32 = Color32::from_rgb(0, 114, 178);
/// Their sky blue: the same on a dark ground.
pub const SKY: Color32 = Color32::from_rgb(86, 180, 233);
/// Their orange: what asks for attention.
pub const ORANGE: Color32 = Color32::from_rgb(230, 159, 0);
/// Their vermillion: the second series of data, and what went wrong.
pub const VERMILLION: Color32 = Color32::from_rgb(213, 94, 0);

/// Names of the type scale beyond egui's own.
pub const FIGURE: &str = "figure";

/// Room between things that belong together, and between those that do not.
pub const NEAR: f32 = 6.0;
/// See [`NEAR`].
pub const APART: f32 = 20.0;

/// Below this width room is scarce.
pub const NARROW: f32 = 900.0;

/// The widest that a column of text may be.
pub const COLUMN: f32 = 760.0;

/// Gives `context` letters, sizes and colours, light and dark.
pub fn apply(context: &Context) {
    context.set_fonts(letters());
    context.all_styles_mut(|style| {
        style.text_styles = [
            (TextStyle::Small, 13.0, "regular"),
            (TextStyle::Body, 15.5, "regular"),
            (TextStyle::Button, 15.5, "regular"),
            (TextStyle::Monospace, 15.0, "regular"),
            (TextStyle::Heading, 22.0, "bold"),
            (TextStyle::Name("strong".into()), 15.5, "bold"),
            (TextStyle::Name(FIGURE.into()), 26.0, "bold"),
        ]
        .map(|(name, size, family)| (name, FontId::new(size, family_of(family))))
        .into();
        style.spacing.item_spacing = Vec2::new(10.0, 8.0);
        style.spacing.button_padding = Vec2::new(14.0, 7.0);
        style.spacing.interact_size = Vec2::new(44.0, 34.0);
        style.spacing.text_edit_width = 420.0;
        style.spacing.menu_margin = Margin::same(8);
        style.animation_time = 0.0;
        style.visuals.striped = true;
    });
    context.set_visuals_of(Theme::Light, visuals(Visuals::light(), Ground::light()));
    context.set_visuals_of(Theme::Dark, visuals(Visuals::dark(), Ground::dark()));
}

/// The ground and what stands on it.
struct Ground {
    paper: Color32,
    raised: Color32,
    field: Color32,
    ink: Color32,
    faint: Color32,
    line: Color32,
    act: Color32,
    /// Behind what is chosen; opaque, since drivers mix colours in two ways.
    chosen: Color32,
}

impl Ground {
    fn light() -> Ground {
        Ground {
            paper: Color32::from_rgb(250, 249, 245),
            raised: Color32::from_rgb(240, 238, 231),
            field: Color32::WHITE,
            ink: Color32::from_rgb(28, 30, 33),
            faint: Color32::from_rgb(89, 89, 86),
            line: Color32::from_rgb(196, 193, 183),
            act: BLUE,
            chosen: Color32::from_rgb(204, 224, 236),
        }
    }

    fn dark() -> Ground {
        Ground {
            paper: Color32::from_rgb(27, 29, 32),
            raised: Color32::from_rgb(39, 42, 46),
            field: Color32::from_rgb(18, 20, 22),
            ink: Color32::from_rgb(236, 234, 228),
            faint: Color32::from_rgb(172, 170, 164),
            line: Color32::from_rgb(82, 86, 92),
            act: SKY,
            chosen: Color32::from_rgb(36, 62, 80),
        }
    }
}

fn visuals(mut visuals: Visuals, ground: Ground) -> Visuals {
    // A cursor that blinks would have the window painted twice a second for nothing.
    visuals.text_cursor.blink = false;
    visuals.panel_fill = ground.paper;
    visuals.window_fill = ground.paper;
    visuals.extreme_bg_color = ground.field;
    visuals.faint_bg_color = ground.raised;
    visuals.weak_text_color = Some(ground.faint);
    visuals.hyperlink_color = ground.act;
    visuals.warn_fg_color = ORANGE;
    visuals.error_fg_color = VERMILLION;
    visuals.selection.bg_fill = ground.chosen;
    visuals.selection.stroke = Stroke::new(2.0, ground.act);
    let widgets = &mut visuals.widgets;
    for widget in [
        &mut widgets.noninteractive,
        &mut widgets.inactive,
        &mut widgets.hovered,
        &mut widgets.active,
        &mut widgets.open,
    ] {
        widget.corner_radius = CornerRadius::same(5);
        widget.fg_stroke = Stroke::new(1.0, ground.ink);
        widget.bg_stroke = Stroke::new(1.0, ground.line);
        widget.expansion = 0.0;
    }
    widgets.inactive.weak_bg_fill = ground.raised;
    widgets.inactive.bg_fill = ground.raised;
    widgets.hovered.bg_stroke = Stroke::new(2.0, ground.act);
    widgets.hovered.weak_bg_fill = ground.raised;
    widgets.active.weak_bg_fill = ground.raised;
    widgets.active.bg_stroke = Stroke::new(2.0, ground.act);
    visuals
}

fn family_of(name: &'static str) -> FontFamily {
    FontFamily::Name(name.into())
}

/// The letters of the board, so that client and clinician read the same.
fn letters() -> FontDefinitions {
    let mut fonts = FontDefinitions::empty();
    for (name, data) in [("regular", notosans::REGULAR_TTF), ("bold", notosans::BOLD_TTF)] {
        fonts.font_data.insert(name.into(), Arc::new(FontData::from_static(data)));
        fonts.families.insert(family_of(name), vec![name.into()]);
    }
    for family in [FontFamily::Proportional, FontFamily::Monospace] {
        fonts.families.insert(family, vec!["regular".into()]);
    }
    fonts
}
