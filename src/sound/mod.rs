//! What is to be heard: which sound follows from which record, as which samples, at which instant.
//!
//! Pure: records, stamps and pulls of the sound device are handed in; cues, samples and onsets are handed out. No
//! device is opened here and no clock is read. Everything that is heard is seen as well: a sound stands beside the
//! highlight, the answer or the cue, never in their place.

pub mod cue;
pub mod flat;
pub mod loudness;
pub mod mixer;
pub mod player;
pub mod pulls;
pub mod recording;
pub mod tone;
