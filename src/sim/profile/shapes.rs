//! What a profile may hold, as data.

use crate::json::Located;
use crate::json::shape::{Field, Shape, needed, optional};
use crate::problem::Findings;
use crate::sim::profile::Profile;

static SHARE: Shape = Shape::Number(0.0, 1.0);
static SECONDS: Shape = Shape::Number(0.0, 60.0);
static SHIFT: Shape = Shape::Number(0.0, 20.0);
static POSITIVE_SECONDS: Shape = Shape::Number(0.001, 60.0);
static RATE: Shape = Shape::Number(0.0, 20.0);
static FEW: Shape = Shape::Whole(0, 50);
static GROWTH: Shape = Shape::Number(-1.0, 1.0);
static SPREAD: Shape = Shape::Number(0.0, 10.0);
static LOG_SPREAD: Shape = Shape::Number(0.0, 3.0);

/// The laws of latency, by name.
static LATENCY: Shape = Shape::OneOf {
    by: "law",
    of: &[
        ("ex-gaussian", &EX_GAUSSIAN),
        ("lognormal", &LOGNORMAL),
        ("wald", &WALD),
        ("gamma", &GAMMA),
        ("quantiles", &QUANTILES),
    ],
};
/// Which law it is was settled before.
static LAW: Shape = Shape::Text(20);
static EX_GAUSSIAN: Shape =
    law(&[needed("law", &LAW), needed("mu_s", &SHIFT), needed("sigma_s", &SPREAD), needed("tau_s", &SPREAD)]);
static LOGNORMAL: Shape = law(&[
    needed("law", &LAW),
    needed("shift_s", &SHIFT),
    needed("median_s", &POSITIVE_SECONDS),
    needed("log_sd", &LOG_SPREAD),
]);
static WALD: Shape = law(&[
    needed("law", &LAW),
    needed("shift_s", &SHIFT),
    needed("mean_s", &POSITIVE_SECONDS),
    needed("shape_s", &Shape::Number(0.001, 1e6)),
]);
static GAMMA: Shape = law(&[
    needed("law", &LAW),
    needed("shift_s", &SHIFT),
    needed("shape", &Shape::Number(0.1, 1e4)),
    needed("scale_s", &Shape::Number(1e-5, 10.0)),
]);
static QUANTILES: Shape =
    law(&[needed("law", &LAW), needed("seconds", &Shape::List { of: &SECONDS, least: 2, most: 10_000 })]);

const fn law(fields: &'static [Field]) -> Shape {
    Shape::Table { what: "`latency`", fields }
}

static AIM: Shape = Shape::Table {
    what: "`aim`",
    fields: &[
        needed("share", &Shape::Number(-1.0, 2.0)),
        optional("offset_s", &Shape::Number(-5.0, 5.0)),
        needed("sd_s", &SPREAD),
        optional("sd_share", &SHARE),
    ],
};
static SPASM: Shape = Shape::Table {
    what: "`spasm`",
    fields: &[optional("per_s", &RATE), optional("presses", &FEW), optional("gap_s", &SECONDS)],
};
static TREMOR: Shape = Shape::Table {
    what: "`tremor`",
    fields: &[optional("share", &SHARE), optional("hertz", &RATE), optional("presses", &FEW)],
};
static POINTER: Shape = Shape::Table {
    what: "`pointer`",
    fields: &[
        optional("tremor_deg", &Shape::Number(0.0, 20.0)),
        optional("move_s", &SECONDS),
        optional("move_s_per_bit", &SECONDS),
        optional("searches", &SHARE),
        optional("looks_s", &SECONDS),
    ],
};
static CONTACT: Shape = Shape::Table {
    what: "`contact`",
    fields: &[
        optional("bounces", &FEW),
        optional("bounce_s", &SHARE),
        optional("drop_outs_per_s", &Shape::Number(0.0, 1_000.0)),
        optional("drop_out_s", &SHARE),
    ],
};
static COURSE: Shape = Shape::Table {
    what: "`course`",
    fields: &[
        optional("slower_per_min", &GROWTH),
        optional("lapses_per_min", &GROWTH),
        optional("rest_undoes", &SHARE),
        optional("unpractised", &Shape::Number(-0.9, 10.0)),
        optional("practice_presses", &Shape::Number(0.0, 1e5)),
    ],
};
static RECOVERY: Shape =
    Shape::Table { what: "`recovery`", fields: &[optional("takes_exit", &SHARE), optional("tries_again", &SHARE)] };
static TRAITS: Shape = Shape::Table {
    what: "`traits`",
    fields: &[
        needed("latency", &LATENCY),
        optional("aim", &AIM),
        optional("first_item_s", &SECONDS),
        optional("miss", &SHARE),
        optional("gives_up_late", &SHARE),
        optional("involuntary_per_s", &RATE),
        optional("spasm", &SPASM),
        optional("tremor", &TREMOR),
        optional("held_s", &POSITIVE_SECONDS),
        optional("held_scatter", &LOG_SPREAD),
        optional("pointer", &POINTER),
        optional("contact", &CONTACT),
        optional("course", &COURSE),
        optional("recovery", &RECOVERY),
        optional("rests", &SHARE),
        optional("stops_after_s", &Shape::Number(0.0, 1e6)),
    ],
};
static WORDS: Shape = Shape::Text(300);
static FIGURE: Shape = Shape::Number(-1e6, 1e6);
static COUNT: Shape = Shape::Whole(0, 1_000_000_000);
static MEASURED: Shape = Shape::Table {
    what: "`measured`",
    fields: &[
        needed("trait", &WORDS),
        needed("unit", &WORDS),
        needed("value", &FIGURE),
        needed("low", &FIGURE),
        needed("high", &FIGURE),
        needed("count", &COUNT),
    ],
};
static ASSUMED: Shape = Shape::Table {
    what: "`assumed`",
    fields: &[needed("trait", &WORDS), needed("value", &WORDS), needed("why", &WORDS)],
};
static DRAW: Shape = Shape::Table {
    what: "a draw",
    fields: &[
        needed("latency", &LATENCY),
        optional("aim", &AIM),
        optional("first_item_s", &SECONDS),
        optional("miss", &SHARE),
        optional("gives_up_late", &SHARE),
        optional("involuntary_per_s", &RATE),
        optional("slower_per_min", &GROWTH),
    ],
};
static FITTED: Shape = Shape::Table {
    what: "`fitted`",
    fields: &[
        needed("sessions", &COUNT),
        needed("presses", &COUNT),
        needed("set_up", &WORDS),
        needed("invented", &Shape::Flag),
        needed("measured", &Shape::List { of: &MEASURED, least: 0, most: 100 }),
        needed("assumed", &Shape::List { of: &ASSUMED, least: 0, most: 100 }),
        needed("draws", &Shape::List { of: &DRAW, least: 0, most: 10_000 }),
    ],
};
static PROFILE: Shape = Shape::Table {
    what: "the profile",
    fields: &[
        needed("format", &Shape::Choice(&[Profile::FORMAT])),
        needed("version", &Shape::Version(Profile::VERSION as i64)),
        needed("name", &Shape::Text(60)),
        optional("about", &Shape::Text(600)),
        needed("traits", &TRAITS),
        optional("fitted", &FITTED),
    ],
};

/// Adds a problem for everything that does not fit.
pub(super) fn check(root: &Located, findings: &mut Findings) {
    PROFILE.check("the profile", root, findings);
}
