//! All integration tests, in one binary.

mod analyse;
mod arrange;
mod arrange_search;
mod bad_input;
mod client_command;
mod clients;
#[cfg(all(feature = "app", unix))]
mod desk_folder;
#[cfg(all(feature = "app", unix))]
mod desk_remark;
#[cfg(all(feature = "app", unix))]
mod desk_rig;
#[cfg(all(feature = "app", unix))]
mod desk_visit;
mod durability;
mod durability_damage;
mod durability_disk;
mod engine_closed_forms;
mod engine_draws;
mod engine_dwell;
mod engine_filter;
mod engine_frames;
mod engine_presses;
mod engine_properties;
mod engine_rig;
mod engine_roles;
mod engine_rowcol_model;
mod engine_rules;
mod engine_silent;
mod engine_stall;
mod engine_techniques;
mod export;
mod export_command;
mod findings;
mod fitted;
mod forecast;
mod hard_evidence;
mod home_folder;
mod latency;
mod log;
mod log_spelling;
mod log_thread;
#[cfg(all(feature = "app", target_os = "linux"))]
mod loudspeaker;
mod made;
mod practising;
mod privacy;
#[cfg(all(feature = "app", target_os = "linux"))]
mod privacy_window;
mod refiltered;
mod replay;
mod report;
#[cfg(all(feature = "app", target_os = "linux"))]
mod room;
mod samples;
mod simulate;
mod sitting;
mod sound;
mod sound_switch;
mod store;
mod tidy;
mod two_sinks;
#[cfg(feature = "app")]
mod window;
#[cfg(feature = "app")]
mod window_breath;
#[cfg(feature = "app")]
mod window_hands;
#[cfg(feature = "app")]
mod window_pointer;
#[cfg(feature = "app")]
mod window_practice;
#[cfg(feature = "app")]
mod window_rig;
#[cfg(all(feature = "app", target_os = "linux"))]
mod window_sound;
#[cfg(feature = "app")]
mod xvfb;
