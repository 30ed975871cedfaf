//! Cautions that hold for every session with a switch.
//!
//! Signs of autonomic dysreflexia after published clinical guidance for spinal cord injury; the
//! advice on mouth switches is general handbook advice, from memory; breaks are common practice, no
//! source.

use super::Material;
use super::markup::{Html, list, plain, section};

const CARE: &[&str] = &[
    "Spinal cord injury at or above T6: headache, sweating, a flushed face or a slow pulse during a session can mean \
     autonomic dysreflexia, an emergency. Stop, sit the person up, loosen what is tight, and call the carer or \
     emergency help at once. A switch that presses on the skin can be the cause.",
    "Look at the skin under the switch before and after each session.",
    "Rest every 5 to 10 minutes. When presses begin to be missed or a spasm comes, stop; never speed up.",
    "A switch worked by the mouth: one mouthpiece a person, cleaned or changed by the local rules; look at the lips, \
     mind choking, and keep moisture and fluid out of the tube.",
    "Fast changes of light can trigger seizures in people with photosensitive epilepsy. Ask before a scan rate under \
     0.334 s per item.",
    "Practice only: this program is wired to no door, bed or alarm. Its alarm tile calls nobody; keep the real call \
     for help within reach.",
    "These are health data. Keep this file and its log where such data belong, under a code and not a name.",
];

pub(super) fn care(_: &Material) -> Html {
    section("Care", &[plain("p", super::LIMITS), list("plain", CARE.iter().map(|text| Html::text(text)))])
}
