//! What names in a chain mean: encodings of encoding files, LUTs by their files.

use std::collections::BTreeSet;
use std::path::{Path, PathBuf};

use colour::Encoding;
use graph::Document;
use ops::{Book, Op};

use crate::Fault;

fn unreadable(path: &Path, error: &std::io::Error) -> Fault {
    let remedy = match error.kind() {
        std::io::ErrorKind::NotFound => "no such file; check the spelling and the folder".to_string(),
        std::io::ErrorKind::InvalidData => "this is not text; name a text file in UTF-8".to_string(),
        _ => format!("it cannot be read: {error}"),
    };
    Fault::failed(format!("{}: {remedy}", path.display()))
}

pub(super) fn read_text(path: &Path) -> Result<String, Fault> {
    std::fs::read_to_string(path).map_err(|error| unreadable(path, &error))
}

/// The LUT files that a candidate may use for a shot, as they are written: those of the kit and of the layers.
pub fn lut_files(document: &Document, candidate: &str, shot: Option<&str>) -> BTreeSet<String> {
    let shot = shot.and_then(|name| document.shots.get(name));
    let set_up = shot.and_then(|shot| document.set_ups.get(shot.set_up.as_ref()?));
    let layers = [Some(&document.scene), set_up.map(|set_up| &set_up.layer), shot.map(|shot| &shot.layer)];
    let mut files = BTreeSet::new();
    let wiring = document.candidates.get(candidate);
    let used = wiring.into_iter().flat_map(|wiring| wiring.graph().node_weights()).filter(|place| !place.bypass);
    for member in used.map(|place| &place.member) {
        if let Some(Op::Lut(lut)) = document.kit.get(member) {
            let numbers = layers.iter().flatten().filter_map(|layer| layer.number(member, "file"));
            let of_layers = numbers.flat_map(|number| number.base.iter().chain(number.marks.values()));
            files.extend(lut.file.iter().chain(of_layers).filter(|file| !file.is_empty()).cloned());
        }
    }
    files
}

/// Reads a LUT file into the book. Its path is seen from `folder`.
pub fn add_lut(book: &mut Book, file: &str, folder: &Path) -> Result<(), Fault> {
    let path = folder.join(file);
    let bytes = std::fs::read(&path).map_err(|error| unreadable(&path, &error))?;
    let cube = interchange::cube::read(&bytes, &path.display().to_string()).map_err(Fault::failed)?;
    book.add_lut(file, cube.lut);
    Ok(())
}

/// The encodings that names may mean, those of encoding files among them.
pub fn encodings(files: &[PathBuf]) -> Result<Book, Fault> {
    let mut book = Book::default();
    files.iter().try_for_each(|path| add_encoding(&mut book, path))?;
    Ok(book)
}

/// Adds the encoding of an encoding file.
pub fn add_encoding(book: &mut Book, path: &Path) -> Result<(), Fault> {
    let text = read_text(path)?;
    book.add(Encoding::from_toml(&text, &path.display().to_string()).map_err(Fault::failed)?);
    Ok(())
}

/// Finds an encoding. The exposure index is a fact of the shoot; only some encodings depend on it.
pub fn find(book: &Book, name: &str, index: Option<u32>) -> Result<Encoding, colour::EncodingError> {
    let depends = book.find(name, None).is_ok_and(|encoding| encoding.exposure_index.is_some());
    book.find(name, index.filter(|_| depends))
}
