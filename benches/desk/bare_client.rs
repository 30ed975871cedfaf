//! A client of the display that stamps every raw press and release of the space bar, and does nothing else.

use std::sync::mpsc::Sender;
use std::time::Instant;

use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::xinput::{ConnectionExt as _, Device, EventMask, XIEventMask};

use super::xvfb::key;

/// Stamps on `display`, the usual one where none is named, for as long as somebody listens.
pub fn stamp(display: Option<&str>, send: &Sender<Instant>) {
    let (connection, screen) = x11rb::connect(display).expect("the display answers");
    connection.xinput_xi_query_version(2, 2).expect("XInput 2").reply().expect("XInput 2");
    let mask = vec![XIEventMask::RAW_KEY_PRESS | XIEventMask::RAW_KEY_RELEASE];
    let masks = [EventMask { deviceid: Device::ALL_MASTER.into(), mask }];
    let root = connection.setup().roots[screen].root;
    connection.xinput_xi_select_events(root, &masks).expect("the display is there").check().expect("raw events");
    while let Ok(event) = connection.wait_for_event() {
        let at = Instant::now();
        if let Event::XinputRawKeyPress(event) | Event::XinputRawKeyRelease(event) = event
            && event.detail == u32::from(key::SPACE)
            && send.send(at).is_err()
        {
            return;
        }
    }
}
