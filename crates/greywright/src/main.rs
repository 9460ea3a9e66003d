//! The greywright binary: bring camera-log image sequences to a correct, consistent, display-ready neutral, and prove it.

mod cli;
mod draw;

fn main() -> std::process::ExitCode {
    cli::run()
}
