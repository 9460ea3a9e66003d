//! What makes a frame what it is, beside its original: told from anything else by one number.

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
    /// Of any frame, where all have the same.
    always: Option<Content>,
}

impl<'a> Meaning<'a> {
    /// Of a job for files that say this.
    pub fn new(job: &'a Job<'a>, on_device: bool, about: &About) -> Self {
        Self { job, on_device, about: about.clone(), always: None }
    }

    /// Of a frame: what is done and in which numbers, where it leads, how it is stored, and by which program.
    ///
    /// # Errors
    /// A chain that means nothing for it.
    pub fn of(&mut self, number: i64) -> Result<Content, Fault> {
        if let Some(always) = self.always {
            return Ok(always);
        }
        let job = self.job;
        let elaborated = job.chain.for_frame(&self.about, number)?;
        let work: Vec<_> = elaborated.nodes.iter().map(|node| (node.input, node.side, &node.work)).collect();
        let led = (elaborated.original_range, elaborated.result, &elaborated.result_signal, elaborated.result_range);
        // The rest of what a result's file says of itself is of the original's.
        let mut said = About::default();
        job.chain.overrule(&mut said);
        let says = (&elaborated.made, said.camera_roll);
        let format = job.sink.format();
        // Noise is another one in every frame; numbers that move are in the work.
        let noise = job.dither.map(|dither| (dither.name(), number));
        let stored = (format.to_string(), job.depth.unwrap_or_else(|| format.default_depth()), noise);
        let by = (env!("CARGO_PKG_VERSION"), self.on_device);
        let meaning = Content::of_value(&(work, led, says, stored, by));
        if !job.chain.moves() && noise.is_none() {
            self.always = Some(meaning);
        }
        Ok(meaning)
    }
}
