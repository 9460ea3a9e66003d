//! Which chain, which original: what eval, render, verify and pace have in common.

use std::path::PathBuf;

use clap::Args;
use colour::CodeRange;
use gpu::assemble::Edge;
use graph::Elaborated;

use session::chain::ChainSource;
pub use session::chain::{Chain, add_encoding, add_lut, encodings, file_range, find, lut_files};

use super::failure::Failure;
use super::say;

/// The chain, and what is known of the original.
#[derive(Args, Clone, Debug, Default)]
pub struct ChainArgs {
    /// Operations joined by |, each a name and key=value settings.
    #[arg(long, value_name = "CHAIN", conflicts_with_all = ["chain_file", "project"])]
    pub chain: Option<String>,
    /// A text file that holds the chain.
    #[arg(long, value_name = "FILE", conflicts_with = "project")]
    pub chain_file: Option<PathBuf>,
    /// A project file; its kit, one of its candidates and the numbers of a shot are used.
    #[arg(long, value_name = "FILE")]
    pub project: Option<PathBuf>,
    /// Which candidate of the project; else the one that the shot has chosen, or the only one.
    #[arg(long, value_name = "NAME", requires = "project")]
    pub candidate: Option<String>,
    /// A shot of the project: its numbers, encoding, exposure index and range hold, and its frames stand in for IN.
    #[arg(long, value_name = "NAME", requires = "project")]
    pub shot: Option<String>,
    /// The numbers that the shot has at this frame; without it each frame that is worked on has its own.
    #[arg(long, value_name = "NUMBER", value_parser = frame, allow_hyphen_values = true)]
    pub frame: Option<i64>,
    /// The original's encoding, where no input-transform names it; goes before what the file says.
    #[arg(long, value_name = "ENCODING")]
    pub input: Option<String>,
    /// The exposure index that belongs to --input, for LogC3.
    #[arg(long, value_name = "INDEX", requires = "input")]
    pub ei: Option<u32>,
    /// Whether the original's codes fill the full or the legal range.
    #[arg(long, value_name = "full|legal", value_parser = <CodeRange as ops::Setting>::parse)]
    pub range: Option<CodeRange>,
    /// An encoding file (TOML); its name can then be used like a built-in one. May be repeated.
    #[arg(long, value_name = "FILE")]
    pub encoding_file: Vec<PathBuf>,
    /// Print to standard error what the chain means and how it runs: the elaborated graph, the plan before and after
    /// the optimiser, the WGSL of each pass.
    #[arg(long)]
    pub explain: bool,
}

fn frame(text: &str) -> Result<i64, String> {
    text.parse().map_err(|_| "the number of a frame is wanted, for instance 1001".to_string())
}

impl ChainArgs {
    /// Whether any chain is given.
    pub fn is_given(&self) -> bool {
        self.chain.is_some() || self.chain_file.is_some() || self.project.is_some()
    }

    /// Reads the chain. With none given, the chain is empty.
    pub fn read(&self) -> Result<Chain, Failure> {
        if self.frame.is_some() && self.shot.is_none() {
            return Err(Failure::usage("--frame says which numbers of a shot hold; say which shot with --shot"));
        }
        self.read_of_frame()
    }

    /// As [`ChainArgs::read`], for commands whose `--frame` also says which frame is looked at.
    pub fn read_of_frame(&self) -> Result<Chain, Failure> {
        Ok(self.source().read(say::note)?)
    }

    /// Where the chain comes from.
    pub fn source(&self) -> ChainSource {
        ChainSource {
            chain: self.chain.clone(),
            chain_file: self.chain_file.clone(),
            project: self.project.clone(),
            candidate: self.candidate.clone(),
            shot: self.shot.clone(),
            frame: self.frame,
            input: self.input.clone(),
            exposure_index: self.ei,
            range: self.range,
            encoding_files: self.encoding_file.clone(),
        }
    }
}

/// Prints what a chain means and how it runs to standard error.
pub fn explain(chain: &Chain, elaborated: &Elaborated, source: Edge, result: Edge) -> Result<(), Failure> {
    eprint!("{}", session::chain::explain(chain, elaborated, source, result)?);
    Ok(())
}
