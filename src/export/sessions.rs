//! One row for every session, and one for every remark made in it.

use super::cell::Cell;
use super::presses::micros;
use super::session::{Owned, View, Whose, keys, menu_name, protocol_name};
use super::table::Column;
use crate::log::header::Header;
use crate::session::input::Input;
use crate::session::record::What;
use crate::time::{Moment, Span};

type Field = Column<SessionRow>;

/// One session.
#[derive(Clone, Debug)]
pub struct SessionRow {
    whose: Whose,
    header: Header,
    began: Option<String>,
    log: String,
    whole: bool,
    complete: bool,
    length: Span,
    protocol: String,
    menu: String,
    trials: usize,
    counted: usize,
    presses: usize,
    lag_us: Option<i64>,
}

impl Owned for SessionRow {
    fn whose(&self) -> &Whose {
        &self.whose
    }
}

/// The row of a session with this many closures of the switch.
pub(super) fn row(view: &View, presses: usize) -> SessionRow {
    let (session, reading) = (view.session, &view.reading);
    let trials = || reading.blocks.iter().flat_map(|block| &block.trials);
    SessionRow {
        whose: view.whose(),
        header: session.header.clone(),
        began: session.began.clone(),
        log: session.log.into(),
        whole: session.whole,
        complete: reading.complete,
        length: reading.length,
        protocol: protocol_name(session.header, view.shown),
        menu: menu_name(session.header, view.shown),
        trials: trials().count(),
        counted: trials().filter(|judged| judged.counts()).count(),
        presses,
        lag_us: view.lag_us(),
    }
}

/// The session as BIDS names it.
pub(super) fn label(row: &SessionRow) -> Cell {
    Cell::text(format!("ses-{}", row.whose.session))
}

/// What a row of the table of sessions holds.
pub(super) fn columns() -> Vec<Field> {
    let mut all: Vec<Field> = keys().into();
    all.extend(course());
    all.extend(circumstances());
    all.extend(rulers());
    all
}

fn course() -> Vec<Field> {
    vec![
        Field::of(
            "began",
            "",
            "Local date and time of the beginning, YYYY-MM-DDThh:mm:ss. Unless codes and dates are kept, all dates of a client are shifted by the same number of days, so that intervals and the time of day stay.",
            |row| Cell::some(row.began.clone(), Cell::text),
        ),
        Field::of("log", "", "Name of the log.", |row| Cell::text(row.log.clone())).identifying(),
        Field::of("seed", "", "Seed of all draws of the session; it may hold the time of day.", |row| {
            Cell::text(row.header.seed.to_string())
        })
        .identifying(),
        Field::of("assessor", "", "Code of the assessor.", |row| Cell::text(row.header.setup.assessor.clone()))
            .identifying(),
        Field::of("invented", "", "A virtual client pressed: the data are invented.", |row| {
            Cell::Flag(row.header.invented)
        }),
        Field::of("whole", "", "Nothing is missing from the log; otherwise what could be read of it is here.", |row| {
            Cell::Flag(row.whole)
        }),
        Field::of("complete", "", "All blocks of the protocol were done.", |row| Cell::Flag(row.complete)),
        Field::of("length_s", "s", "From the beginning to the last record.", |row| Cell::Micros(row.length.0 as i64)),
        Field::of("program", "", "Version of pacewright that recorded it.", |row| {
            Cell::text(row.header.program.clone())
        }),
        Field::of(
            "protocol",
            "",
            "Name of the protocol; `own` for one that is not shipped, unless free text was asked for.",
            |row| Cell::text(row.protocol.clone()),
        ),
        Field::of(
            "menu",
            "",
            "Name of the menu; `own` for one that is not shipped, unless free text was asked for.",
            |row| Cell::text(row.menu.clone()),
        ),
        Field::of("trials", "", "Trials, practice and broken-off ones too.", |row| Cell::Whole(row.trials as i64)),
        Field::of("trials_counted", "", "Trials that enter the findings.", |row| Cell::Whole(row.counted as i64)),
        Field::of("presses", "", "Closures of the raw contact.", |row| Cell::Whole(row.presses as i64)),
    ]
}

fn circumstances() -> Vec<Field> {
    vec![
        Field::of("site", "", "Body site.", |row| Cell::text(row.header.setup.site.clone())).free_text(),
        Field::of("side", "", "Side of the body.", |row| Cell::text(row.header.setup.side.clone())).free_text(),
        Field::of("switch_kind", "", "Kind of switch.", |row| Cell::text(row.header.setup.switch.clone())).free_text(),
        Field::of("mounting", "", "How it was mounted.", |row| Cell::text(row.header.setup.mounting.clone()))
            .free_text(),
        Field::of("body_position", "", "Position of the body.", |row| Cell::text(row.header.setup.position.clone()))
            .free_text(),
        Field::of("breathing", "", "Breathing support.", |row| Cell::text(row.header.setup.breathing.clone()))
            .free_text(),
        Field::of("since_rest", "", "Time since the last rest.", |row| Cell::text(row.header.setup.since_rest.clone()))
            .free_text(),
        Field::of("since_medication", "", "Time since the last medication.", |row| {
            Cell::text(row.header.setup.since_medication.clone())
        })
        .free_text(),
        Field::of("screen_distance_mm", "mm", "Eye to screen.", |row| {
            Cell::measured(row.header.setup.screen_distance_mm)
        }),
        Field::of("screen_width_mm", "mm", "Visible width of the screen.", |row| {
            Cell::measured(row.header.setup.screen_width_mm)
        }),
        Field::of("low_vision", "", "Letters twice as large.", |row| Cell::Flag(row.header.setup.low_vision)),
        Field::of("look", "", "Look of the board.", |row| Cell::text(row.header.setup.look.clone())),
        Field::of("cue_kind", "", "How the target was told.", |row| Cell::text(row.header.setup.cue_kind.clone())),
        Field::of("feedback", "", "What answered a press.", |row| Cell::text(row.header.setup.feedback.clone())),
        Field::of("language", "", "Language of the words on the screen.", |row| {
            Cell::text(row.header.setup.language.clone())
        }),
        Field::of("text_version", "", "Version of the words on the screen.", |row| {
            Cell::measured(row.header.setup.text_version)
        }),
        Field::of("input_devices", "", "What each switch is, in order, with semicolons between.", |row| {
            Cell::text(row.header.setup.devices.join("; "))
        }),
    ]
}

fn rulers() -> Vec<Field> {
    vec![
        Field::of("display", "", "Kind of display and driver.", |row| Cell::text(row.header.measured.display.clone())),
        Field::of("clock_step_ns", "ns", "Least step of the clock; missing when it was not measured.", |row| {
            Cell::measured(row.header.measured.clock_step_ns)
        }),
        Field::of(
            "frame_interval_s",
            "s",
            "Median interval between frames; missing when it was not measured.",
            |row| micros_measured(row.header.measured.frame_interval_us),
        ),
        Field::of(
            "frame_lag_s",
            "s",
            "Median time from the wish for a frame to its hand-over. Latencies begin at the hand-over, so that this is no part of them.",
            |row| micros_measured(row.header.measured.frame_lag_us),
        ),
        Field::of("input_step_s", "s", "Steps at which the input is polled; missing where it is not polled.", |row| {
            micros_measured(row.header.measured.input_step_us)
        }),
        Field::of(
            "lag_s",
            "s",
            "Delay that is taken to stand inside every measured latency: one frame from hand-over to light (no light sensor measured it; drivers queue none to two) and half a step of the polling. Missing when frames were not measured.",
            |row| Cell::some(row.lag_us, Cell::Micros),
        ),
    ]
}

fn micros_measured(us: u64) -> Cell {
    if us == 0 { Cell::Missing } else { Cell::Micros(us as i64) }
}

/// One remark.
#[derive(Clone, Debug)]
pub struct NoteRow {
    whose: Whose,
    at: Moment,
    text: String,
}

impl Owned for NoteRow {
    fn whose(&self) -> &Whose {
        &self.whose
    }
}

/// The remarks of a session.
pub(super) fn notes(view: &View) -> Vec<NoteRow> {
    let notes = view.session.records.iter().filter_map(|record| match &record.what {
        What::Input(Input::Note { text }) => Some(NoteRow { whose: view.whose(), at: record.at, text: text.clone() }),
        _ => None,
    });
    notes.collect()
}

/// What a row of the table of remarks holds.
pub(super) fn note_columns() -> Vec<Column<NoteRow>> {
    let mut all: Vec<Column<NoteRow>> = keys().into();
    all.extend([
        Column::of("at_s", "s", "When it was made, since the session began.", |row: &NoteRow| micros(row.at)),
        Column::of("note", "", "The clinician's words.", |row: &NoteRow| Cell::text(row.text.clone())).free_text(),
    ]);
    all
}
