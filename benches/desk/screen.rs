//! What stands on a display, as far as it is needed here.

use x11rb::connection::Connection as _;
use x11rb::protocol::xproto::{ConnectionExt as _, ImageFormat};
use x11rb::rust_connection::RustConnection;

/// Somebody who looks at a display.
pub struct Eyes {
    connection: RustConnection,
    root: u32,
}

impl Eyes {
    /// Sits down before this display.
    pub fn at(display: &str) -> Eyes {
        let (connection, screen) = x11rb::connect(Some(display)).expect("the display answers");
        let root = connection.setup().roots[screen].root;
        Eyes { connection, root }
    }

    /// Where the list of clients is painted, below the field with the cursor.
    pub fn look(&self) -> Vec<u8> {
        let asked = self.connection.get_image(ImageFormat::Z_PIXMAP, self.root, 20, 260, 700, 300, !0);
        asked.expect("the display is there").reply().expect("the root can be looked at").data
    }
}
