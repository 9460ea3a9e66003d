//! What a panel asks for.

use std::path::PathBuf;

use graph::Edit;

use super::{
    Look, OnOriginals, OnPlaying, OnProbes, OnRenders, OnSecond, OnTable, OnTrust, OnVerdict, Opened, Square, Tap,
    Tile, TileId, Touched, Wide, Zoom,
};

/// Something that lies over the window until it is done with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Sheet {
    /// All commands with their keys, searched by words.
    Commands {
        /// What is searched for.
        search: String,
    },
    /// Why the picture is what it is: the plan.
    Plan,
    /// How far the GPU is from the proof, adapter and times.
    Trust,
    /// The steps back.
    Steps,
    /// Unsaved work lies beside the project: take it up or leave it.
    Recovery,
    /// Another project, by its path.
    Open {
        /// The path as far as it is typed.
        typed: String,
    },
    /// The window is to close, and there is unsaved work, or a render runs.
    Leaving,
    /// All verdict figures of the active tile's shot.
    Verdict,
    /// What the active tile shows.
    Tile,
    /// A picture from outside for the active tile.
    Outside {
        /// Its path as far as it is typed.
        typed: String,
        /// Its encoding as far as it is typed.
        encoding: String,
    },
    /// The profile of the second window's monitor.
    Monitor {
        /// Its path as far as it is typed.
        typed: String,
    },
    /// What is to be rendered, and what is being rendered.
    Renders,
    /// A project is to be made of a folder of originals.
    NewProject,
}

/// One thing that a panel, a key or a command asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum Action {
    /// Change the document; one step back.
    Edit(Edit),
    /// Show the document as it would be, and keep nothing yet.
    Try(Edit),
    /// Keep what is tried; one step back.
    Keep,
    /// Return from what is tried, and empty the entry line.
    Return,
    /// Return from what is tried; what is typed stays.
    Forget,
    /// Take the last step back.
    StepBack,
    /// Bring again what was taken back.
    StepForth,
    /// Save the project.
    Save,
    /// Open a project, or the one of a folder.
    Open(PathBuf),
    /// Take up the work that was left unsaved.
    TakeUp,
    /// Leave that work for good.
    Leave,
    /// Close the window, once unsaved work has been decided about.
    Close,
    /// Lay something over the window, or nothing.
    Lay(Option<Sheet>),
    /// Touch a scale: typed entries go to it.
    Touch(Touched),
    /// Type in the entry line.
    Type(String),
    /// Choose shots in the table, the first of them for the active tile.
    Choose(Vec<String>),
    /// Go so many shots on in cut order, or back.
    Shot(isize),
    /// Go to a frame.
    Frame(i64),
    /// Give the keys to a tile.
    Activate(TileId),
    /// Show something else in a tile.
    Tile(TileId, Tile),
    /// Add a tile beside the active one.
    AddTile,
    /// Take a tile away.
    DropTile(TileId),
    /// Tap the active tile's rail elsewhere.
    Tap(Tap),
    /// Draw the active tile's picture otherwise.
    Look(Look),
    /// Show pictures larger or smaller.
    Zoom(Zoom),
    /// Bring a point of the pictures into the middle.
    Middle([f32; 2]),
    /// Join the first two pictures at a seam, or part them.
    Seam(Option<f32>),
    /// Show how far all tiles are from the first.
    Difference(bool),
    /// Show the original for as long as it is held.
    Before(bool),
    /// Show the picture alone.
    Alone(bool),
    /// Say something.
    Say(String),
    /// Open the scales of a carriage, or close those that are open.
    OpenScales(Option<Opened>),
    /// Look at the table of shots otherwise.
    Table(OnTable),
    /// Place probes, or take what they read.
    Probes(OnProbes),
    /// Aim all tiles together, or each for itself.
    Link(bool),
    /// Let the scale of differences reach to so many 10-bit codes.
    DifferenceEnd(f32),
    /// Keep the active tile's picture as it is while everything else goes on, or let it go on.
    KeepPicture(bool),
    /// Draw another wide trace under the tiles.
    Wide(Wide),
    /// Draw another square trace under the tiles.
    Square(Square),
    /// Go so many steps back, or forth where it is above 0.
    Steps(isize),
    /// Save the project and close the window.
    SaveAndClose,
    /// Close the window; unsaved work waits beside the project.
    CloseAsItIs,
    /// Ask for verdict figures, or take them.
    Verdict(OnVerdict),
    /// Ask for proofs, or take what they say.
    Trust(OnTrust),
    /// Show a picture from outside in a tile, with the encoding that is named or none; or the tile's shot again.
    Outside(TileId, Option<(PathBuf, String)>),
    /// Take what was let go over the window; a picture on a tile of its own where it is to stand beside.
    Dropped(PathBuf, bool),
    /// Show the active shot between those before and after it in the cut, or the wall as it was.
    Around(bool),
    /// Say what went wrong.
    Fault(String),
    /// Something about the second window.
    Second(OnSecond),
    /// Render shots, or do something about renders.
    Renders(OnRenders),
    /// Make a project of a folder of originals.
    Originals(OnOriginals),
    /// Play the frames of the shot.
    Playing(OnPlaying),
}
