//! Reading a colour decision list.

use roxmltree::Node;

use super::{About, CdlFile, Correction, Form};
use crate::XmlError;
use crate::xml::{Reading, elements, name, text, words};

/// Reads a file's bytes; `file` is its name for messages. Any namespace is taken, and the element names of the first
/// release too (`ASC_SOP`, `ASC_SAT`). A correction without slope, offset and power, or without saturation, leaves these neutral.
///
/// # Errors
/// The first thing that does not fit, with its line, its element and what to do.
pub fn read(bytes: &[u8], file: &str) -> Result<CdlFile, XmlError> {
    let text = text(bytes, file)?;
    let reading = Reading::new(text, file, "a colour decision list")?;
    let root = reading.root();
    let forms = [Form::Correction, Form::Collection, Form::List];
    let Some(form) = forms.into_iter().find(|form| form.element() == name(root)) else {
        let wanted = forms.map(Form::element).join(", ");
        return Err(
            reading.fault(root, format!("{} is no colour decision list; such a file begins with {wanted}", name(root)))
        );
    };
    let mut walk = Walk { reading: &reading, left_out: Vec::new() };
    let (mut about, mut corrections) = (About::default(), Vec::new());
    if form == Form::Correction {
        corrections.push(walk.correction(root)?);
    } else {
        for element in elements(root) {
            match (name(element), form) {
                ("ColorCorrection", Form::Collection) => corrections.push(walk.correction(element)?),
                ("ColorDecision", Form::List) => corrections.push(walk.decision(element)?),
                _ if walk.about(element, &mut about) => {}
                _ => walk.leave_out(element),
            }
        }
    }
    if corrections.is_empty() {
        return Err(reading.fault(root, format!("{} holds no correction; put a ColorCorrection into it", name(root))));
    }
    Ok(CdlFile { form, about, corrections, left_out: walk.left_out })
}

struct Walk<'r, 'a> {
    reading: &'r Reading<'a>,
    left_out: Vec<String>,
}

impl Walk<'_, '_> {
    fn leave_out(&mut self, element: Node) {
        self.left_out.push(format!("line {}: {}", self.reading.line(element), name(element)));
    }

    /// Takes an element that is words on what it stands in.
    fn about(&mut self, element: Node, about: &mut About) -> bool {
        match name(element) {
            "Description" => about.descriptions.push(words(element)),
            "InputDescription" => about.input = Some(words(element)),
            "ViewingDescription" => about.viewing = Some(words(element)),
            _ => return false,
        }
        true
    }

    fn decision(&mut self, decision: Node) -> Result<Correction, XmlError> {
        let (mut found, mut media) = (None, None);
        for element in elements(decision) {
            match name(element) {
                "ColorCorrection" => self.once(&mut found, element, Self::correction)?,
                "MediaRef" => media = Some(self.reading.attribute(element, "ref")?.to_string()),
                "ColorCorrectionRef" => {
                    let problem =
                        "ColorCorrectionRef names a correction of another place; put the ColorCorrection itself here";
                    return Err(self.reading.fault(element, problem));
                }
                _ => self.leave_out(element),
            }
        }
        let none = || self.reading.fault(decision, "ColorDecision holds no ColorCorrection; put one into it");
        Ok(Correction { media, ..found.ok_or_else(none)? })
    }

    fn correction(&mut self, at: Node) -> Result<Correction, XmlError> {
        let id = self.reading.attribute(at, "id")?.trim();
        if id.is_empty() {
            return Err(self.reading.fault(at, "the id of a ColorCorrection is empty; give it a name"));
        }
        let mut correction = Correction::neutral(id);
        let (mut sop, mut saturation) = (None, None);
        for element in elements(at) {
            match name(element) {
                "SOPNode" | "ASC_SOP" => self.once(&mut sop, element, Self::sop)?,
                "SatNode" | "SATNode" | "ASC_SAT" => self.once(&mut saturation, element, Self::saturation)?,
                _ if self.about(element, &mut correction.about) => {}
                _ => self.leave_out(element),
            }
        }
        if let Some(([slope, offset, power], descriptions)) = sop {
            correction = Correction { slope, offset, power, sop_descriptions: descriptions, ..correction };
        }
        if let Some((saturation, descriptions)) = saturation {
            correction = Correction { saturation, saturation_descriptions: descriptions, ..correction };
        }
        match correction.fault() {
            None => Ok(correction),
            Some((element, wanted)) => {
                Err(self.reading.fault(at, format!("{element} of correction '{}' must be {wanted}", correction.id)))
            }
        }
    }

    /// Slope, offset and power, with the words beside them.
    fn sop(&mut self, at: Node) -> Result<([[f64; 3]; 3], Vec<String>), XmlError> {
        let mut found = [None; 3];
        let mut about = About::default();
        for element in elements(at) {
            match ["Slope", "Offset", "Power"].iter().zip(&mut found).find(|(own, _)| **own == name(element)) {
                Some((_, place)) => self.once(place, element, |walk, at| walk.reading.numbers(at))?,
                None if self.about(element, &mut about) => {}
                None => self.leave_out(element),
            }
        }
        let [Some(slope), Some(offset), Some(power)] = found else {
            return Err(self.reading.fault(at, format!("{} needs Slope, Offset and Power; give all three", name(at))));
        };
        Ok(([slope, offset, power], about.descriptions))
    }

    fn saturation(&mut self, at: Node) -> Result<(f64, Vec<String>), XmlError> {
        let mut found = None;
        let mut about = About::default();
        for element in elements(at) {
            match name(element) {
                "Saturation" => self.once(&mut found, element, |walk, at| walk.reading.numbers(at))?,
                _ if self.about(element, &mut about) => {}
                _ => self.leave_out(element),
            }
        }
        let none = || self.reading.fault(at, format!("{} holds no Saturation; give it", name(at)));
        let [saturation] = found.ok_or_else(none)?;
        Ok((saturation, about.descriptions))
    }

    /// Reads an element that may be there once.
    fn once<T>(
        &mut self,
        found: &mut Option<T>,
        at: Node,
        read: impl FnOnce(&mut Self, Node) -> Result<T, XmlError>,
    ) -> Result<(), XmlError> {
        if found.is_some() {
            return Err(self.reading.fault(at, format!("{} is there twice; take one of them out", name(at))));
        }
        *found = Some(read(self, at)?);
        Ok(())
    }
}
