//! `cargo xtask demo [DIR]`: from a bare machine to corrected demo frames.

use crate::adapter;
use crate::failure::Failure;
use crate::packages::{Need, provide};
use crate::paths;
use crate::runtime::RuntimeFolder;
use crate::steps::{Steps, cargo, finish, program};
use std::env;
use std::path::PathBuf;

/// Installs what is missing, builds, writes the demo sequence and renders it through its correction.
///
/// # Errors
/// When a build tool is missing and may not be installed, or when the build or the demo fails.
pub fn run(arguments: &[String]) -> Result<(), Failure> {
    let folder = folder(arguments)?;
    let mut steps = Steps::default();
    steps.run("check the machine", check_machine)?;
    steps.run("build greywright", || {
        finish(cargo().args(["build", "--release", "--locked", "--package", "greywright"]))
    })?;
    steps.run("write and correct the demo sequence", || {
        let runtime = RuntimeFolder::new()?;
        let mut demo = program(paths::greywright("release")?);
        runtime.give_to(&mut demo);
        finish(demo.arg("demo").arg(&folder).args(QUICK))
    })?;
    println!(
        "That was a quick look: greywright demo DIR --render writes all frames at 1280x720 with all of their truth."
    );
    Ok(())
}

/// So small and short that nobody waits for more than a minute.
const QUICK: [&str; 7] = ["--render", "--size", "480x270", "--frames", "12", "--truth", "first"];

/// The folder asked for, from where the user stands; `demo-out` in the checkout by default.
fn folder(arguments: &[String]) -> Result<PathBuf, Failure> {
    match arguments {
        [] => Ok(paths::root().join("demo-out")),
        [flag] if flag.starts_with('-') => Err(Failure::wrong_use(format!("'{flag}' is not known"))),
        [folder] => env::current_dir()
            .map(|here| here.join(folder))
            .map_err(|error| Failure::work(format!("the current folder cannot be read: {error}"))),
        _ => Err(Failure::wrong_use("one folder at most")),
    }
}

/// A linker must be there; an adapter is good to have.
fn check_machine() -> Result<(), Failure> {
    if !cfg!(target_os = "linux") {
        println!("Nothing to install on this system: the GPU's driver comes with it.");
        return Ok(());
    }
    provide(&[Need::Linker])?;
    match provide(&[Need::Adapter]) {
        Ok(()) => {
            for manifest in adapter::found().drivers {
                println!("Vulkan driver: {}", manifest.display());
            }
        }
        Err(failure) => {
            println!("{failure}");
            println!("Going on without a Vulkan adapter: the proof executor will render, exactly but slowly.");
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn folder_by_default_lies_in_the_checkout() {
        assert_eq!(folder(&[]).unwrap(), paths::root().join("demo-out"));
    }

    #[test]
    fn folder_given_lies_where_the_user_stands() {
        let given = folder(&["frames".to_owned()]).unwrap();
        assert_eq!(given, env::current_dir().unwrap().join("frames"));
        assert!(folder(&["--frames".to_owned()]).is_err());
        assert!(folder(&["a".to_owned(), "b".to_owned()]).is_err());
    }
}
