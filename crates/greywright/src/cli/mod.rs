//! The command line: one module a command.

mod bench;
mod bytes;
mod chain;
mod check;
mod compare;
mod confidence;
mod demo;
mod edit;
mod engine;
mod eval;
pub mod failure;
mod follow;
mod help;
mod inspect;
mod interrupt;
mod monitor;
mod named_numbers;
mod orders;
mod pace;
mod pattern;
mod picture;
mod play;
mod probe;
mod project;
mod queue;
mod render;
mod response;
mod samples;
mod say;
mod scopes;
mod timings;
mod verify;
mod view;

use std::process::ExitCode;

use clap::{Parser, Subcommand};
use failure::Failure;

/// Brings camera-log image sequences to a correct, consistent, display-ready neutral, and proves it.
#[derive(Parser)]
#[command(
    name = "greywright",
    version,
    propagate_version = true,
    max_term_width = 100,
    after_help = "\
A chain is operations joined by |, each a name and key=value settings:
  input-transform encoding=LogC3 | exposure stops=+0.5 | white-balance from=3200K | output-transform display=BT.1886

Results go to standard output, messages to standard error.
Exit codes: 0 done, 1 the work failed, 2 the command was typed wrongly.
GREYWRIGHT_ADAPTER=none|software|NAME chooses the graphics adapter."
)]
struct Cli {
    /// The window, where none is named.
    #[command(subcommand)]
    command: Option<Command>,
}

// Each command's own arguments say what it does.
#[derive(Subcommand)]
enum Command {
    Bench(bench::Args),
    Demo(demo::Args),
    Inspect(inspect::Args),
    Eval(eval::Args),
    Render(render::Args),
    Play(play::Args),
    Check(check::Args),
    Pattern(pattern::Args),
    Scopes(scopes::Args),
    Response(response::Args),
    Probe(probe::Args),
    Compare(compare::Args),
    View(view::Args),
    Verify(verify::Args),
    Pace(pace::Args),
    Project(project::Args),
    Edit(edit::Args),
    Orders(orders::Args),
    Monitor(monitor::Args),
    Queue(queue::Args),
}

/// Reads the arguments, does the work, and gives the exit code.
pub fn run() -> ExitCode {
    let cli = match Cli::try_parse() {
        Ok(cli) => cli,
        Err(error) => {
            // Help and version are asked for, not wrong.
            let code = if error.use_stderr() { 2 } else { 0 };
            let _ = error.print();
            return ExitCode::from(code);
        }
    };
    let command = cli.command.unwrap_or_else(|| Command::Bench(bench::Args::default()));
    match work(&command) {
        Ok(()) => ExitCode::SUCCESS,
        Err(Failure { message, code }) => {
            if !message.is_empty() {
                say::error(&message);
            }
            ExitCode::from(code)
        }
    }
}

/// Commands that work through frames, and so leave files or long runs behind, end between two of them at Ctrl-C. The
/// others end at once, as any program does: `eval` would otherwise wait on for its input.
fn work(command: &Command) -> Result<(), Failure> {
    let through_frames = matches!(
        command,
        Command::Demo(_) | Command::Render(_) | Command::Play(_) | Command::Queue(_) | Command::Verify(_)
    );
    if through_frames {
        interrupt::listen()?;
    }
    match command {
        Command::Bench(args) => bench::run(args),
        Command::Demo(args) => demo::run(args),
        Command::Inspect(args) => inspect::run(args),
        Command::Eval(args) => eval::run(args),
        Command::Render(args) => render::run(args),
        Command::Play(args) => play::run(args),
        Command::Check(args) => check::run(args),
        Command::Pattern(args) => pattern::run(args),
        Command::Scopes(args) => scopes::run(args),
        Command::Response(args) => response::run(args),
        Command::Probe(args) => probe::run(args),
        Command::Compare(args) => compare::run(args),
        Command::View(args) => view::run(args),
        Command::Verify(args) => verify::run(args),
        Command::Pace(args) => pace::run(args),
        Command::Project(args) => project::run(args),
        Command::Edit(args) => edit::run(args),
        Command::Orders(args) => orders::run(args),
        Command::Monitor(args) => monitor::run(args),
        Command::Queue(args) => queue::run(args),
    }
}
