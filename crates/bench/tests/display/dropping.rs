//! Files that another program lets go over a window.
//!
//! # Source
//! The XDND protocol, version 5 (freedesktop.org): a message when the pointer comes in, one where it is, one when the button
//! is let go; the window then asks for what is dropped as for any selection, and says when it has it.

use std::path::Path;

use x11rb::connection::Connection as _;
use x11rb::protocol::Event;
use x11rb::protocol::xproto::{
    ClientMessageEvent, ConnectionExt as _, CreateWindowAux, EventMask, PropMode, SELECTION_NOTIFY_EVENT,
    SelectionNotifyEvent, WindowClass,
};
use x11rb::wrapper::ConnectionExt as _;

use super::{Real, wait_for};

const VERSION: u32 = 5;

/// Lets a file or folder go over the middle of the window.
pub fn drop_on(real: &Real<'_>, path: &Path) {
    // A source has a connection of its own, as another program has.
    let (connection, screen) = x11rb::connect(Some(&real.screen.number)).unwrap();
    let setup = &connection.setup().roots[screen];
    let source = connection.generate_id().unwrap();
    let (class, events) = (WindowClass::INPUT_OUTPUT, CreateWindowAux::new());
    connection.create_window(0, source, setup.root, 0, 0, 1, 1, 0, class, 0, &events).unwrap();
    let atom = |name: &str| connection.intern_atom(false, name.as_bytes()).unwrap().reply().unwrap().atom;
    let (selection, list) = (atom("XdndSelection"), atom("text/uri-list"));
    connection.set_selection_owner(source, selection, x11rb::CURRENT_TIME).unwrap();
    let send = |name: &str, data: [u32; 5]| {
        let event = ClientMessageEvent::new(32, real.window, atom(name), data);
        connection.send_event(false, real.window, EventMask::NO_EVENT, event).unwrap();
        connection.flush().unwrap();
    };
    let [width, height] = real.screen.size.map(u32::from);
    let copy = atom("XdndActionCopy");
    let place = (width / 2) << 16 | (height / 2);
    send("XdndEnter", [source, VERSION << 24, list, 0, 0]);
    send("XdndPosition", [source, 0, place, x11rb::CURRENT_TIME, copy]);
    let (status, finished) = (atom("XdndStatus"), atom("XdndFinished"));
    let mut is_dropped = false;
    wait_for("what is dropped is taken", || {
        let Some(event) = connection.poll_for_event().unwrap() else { return false };
        match event {
            // The window is asked for what it takes before anything is let go.
            Event::ClientMessage(told) if told.type_ == status && !is_dropped => {
                assert_eq!(told.data.as_data32()[1] & 1, 1, "the window does not take it");
                send("XdndDrop", [source, 0, x11rb::CURRENT_TIME, 0, 0]);
                is_dropped = true;
            }
            Event::ClientMessage(told) if told.type_ == finished => return true,
            Event::SelectionRequest(asked) => {
                let uri = format!("file://{}\r\n", path.display());
                let (window, name) = (asked.requestor, asked.property);
                connection.change_property8(PropMode::REPLACE, window, name, list, uri.as_bytes()).unwrap();
                let given = SelectionNotifyEvent {
                    response_type: SELECTION_NOTIFY_EVENT,
                    sequence: 0,
                    time: asked.time,
                    requestor: asked.requestor,
                    selection: asked.selection,
                    target: asked.target,
                    property: asked.property,
                };
                connection.send_event(false, window, EventMask::NO_EVENT, given).unwrap();
                connection.flush().unwrap();
            }
            _ => {}
        }
        false
    });
    real.settle();
}
