//! What makes a frame what it is, beside its original: told from anything else by one number.

use graph::Work;
use media::About;

use super::Job;
use super::content::Content;
use crate::Fault;

/// What a job means for each of its frames.
pub struct Meaning<'a> {
    job: &'a Job<'a>,
    /// Whether a graphics adapter computes. Which one it is does not count: frames that several machines share are one
    /// sequence.
    on_device: bool,
    /// What the files say. One that said something of other meaning would end the render.
    about: About,
    /// Of any frame but for its noise, where all have the same.
    always: Option<Content>,
    /// The places of the last frame, where numbers move: most of them do not, and a LUT is long.
    last: Vec<(Work, Content)>,
}

impl<'a> Meaning<'a> {
    /// Of a job for files that say this.
    pub fn new(job: &'a Job<'a>, on_device: bool, about: &About) -> Self {
        Self { job, on_device, about: about.clone(), always: None, last: Vec::new() }
    }

    /// Of a frame: what is done and in which numbers, where it leads, how it is stored, and by which program.
    ///
    /// # Errors
    /// A chain that means nothing for it.
    pub fn of(&mut self, number: i64) -> Result<Content, Fault> {
        let job = self.job;
        let all_but_noise = match self.always {
            Some(always) => always,
            None => self.all_but_noise(number)?,
        };
        if !job.chain.moves() {
            self.always = Some(all_but_noise);
        }
        // Noise is another one in every frame.
        Ok(Content::of_value(&(all_but_noise, job.dither.map(|dither| (dither.name(), number)))))
    }

    fn all_but_noise(&mut self, number: i64) -> Result<Content, Fault> {
        let job = self.job;
        let elaborated = job.chain.for_frame(&self.about, number)?;
        let mut work = Vec::with_capacity(elaborated.nodes.len());
        for (at, node) in elaborated.nodes.iter().enumerate() {
            let content = match self.last.get(at) {
                Some((work, content)) if *work == node.work => *content,
                _ => Content::of_value(&node.work),
            };
            work.push((node.input, node.side, content));
        }
        let led = (elaborated.original_range, elaborated.result, &elaborated.result_signal, elaborated.result_range);
        // The rest of what a result's file says of itself is of the original's.
        let mut said = About::default();
        job.chain.overrule(&mut said);
        let says = (&elaborated.made, said.camera_roll);
        let format = job.sink.format();
        let stored = (format.to_string(), job.depth.unwrap_or_else(|| format.default_depth()));
        let by = (env!("CARGO_PKG_VERSION"), self.on_device);
        let meaning = Content::of_value(&(&work, led, says, stored, by));
        self.last =
            elaborated.nodes.into_iter().zip(work).map(|(node, (_, _, content))| (node.work, content)).collect();
        Ok(meaning)
    }
}
