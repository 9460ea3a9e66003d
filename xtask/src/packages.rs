//! What a machine needs beside Rust, and how its distribution installs it.

use crate::adapter;
use crate::failure::Failure;
use crate::paths::is_on_path;
use crate::steps::{finish, succeeds};
use std::process::Command;

/// Something outside Rust that a chore needs.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Need {
    /// A C compiler: Rust links with it.
    Linker,
    /// A Vulkan loader and any driver: a GPU's or a software one.
    Adapter,
    /// A Vulkan loader and the software driver: the same pixels on every machine.
    SoftwareAdapter,
    /// Python with the module that makes virtual environments.
    Python,
    /// A display that nobody looks at, and a hand for it: for the test of the whole window.
    Display,
}

impl Need {
    /// Name for messages.
    fn name(self) -> &'static str {
        match self {
            Self::Linker => "a C compiler (Rust links with it)",
            Self::Adapter => "a Vulkan adapter",
            Self::SoftwareAdapter => "the software Vulkan adapter",
            Self::Python => "Python 3 with venv",
            Self::Display => "Xvfb and xdotool (the window is tested in a display of its own)",
        }
    }

    /// Whether it is here. Only Linux is asked: elsewhere the system brings the GPU, and Rust's installer the linker.
    pub fn is_met(self) -> bool {
        match self {
            Self::Python => succeeds(Command::new(crate::python::SYSTEM_PYTHON).args(["-c", "import venv, ensurepip"])),
            _ if !cfg!(target_os = "linux") => true,
            Self::Linker => is_on_path("cc"),
            Self::Adapter => adapter::found().is_usable(),
            Self::SoftwareAdapter => adapter::found().is_usable_in_software(),
            Self::Display => ["Xvfb", "xdotool"].into_iter().all(is_on_path),
        }
    }
}

/// A distribution's package manager.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Manager {
    AptGet,
    Dnf,
    Pacman,
    Zypper,
    Apk,
}

impl Manager {
    const ALL: [Self; 5] = [Self::AptGet, Self::Dnf, Self::Pacman, Self::Zypper, Self::Apk];

    fn program(self) -> &'static str {
        match self {
            Self::AptGet => "apt-get",
            Self::Dnf => "dnf",
            Self::Pacman => "pacman",
            Self::Zypper => "zypper",
            Self::Apk => "apk",
        }
    }

    fn of_this_machine() -> Option<Self> {
        Self::ALL.into_iter().find(|manager| is_on_path(manager.program()))
    }

    /// The packages that meet the need. Names from memory of each distribution's archive.
    fn packages(self, need: Need) -> &'static [&'static str] {
        match (need, self) {
            (Need::Linker, Self::AptGet) => &["gcc", "libc6-dev"],
            (Need::Linker, Self::Apk) => &["build-base"],
            (Need::Linker, _) => &["gcc"],
            (Need::Adapter | Need::SoftwareAdapter, Self::AptGet) => &["libvulkan1", "mesa-vulkan-drivers"],
            (Need::Adapter | Need::SoftwareAdapter, Self::Dnf) => &["vulkan-loader", "mesa-vulkan-drivers"],
            (Need::Adapter | Need::SoftwareAdapter, Self::Pacman) => &["vulkan-icd-loader", "vulkan-swrast"],
            (Need::Adapter | Need::SoftwareAdapter, Self::Zypper) => &["libvulkan1", "libvulkan_lvp"],
            (Need::Adapter | Need::SoftwareAdapter, Self::Apk) => &["vulkan-loader", "mesa-vulkan-swrast"],
            (Need::Python, Self::AptGet) => &["python3", "python3-venv"],
            (Need::Python, Self::Pacman) => &["python"],
            (Need::Python, Self::Apk) => &["python3", "py3-pip"],
            (Need::Python, _) => &["python3", "python3-pip"],
            // With what the window loads by name when it opens, so that no package asks for it.
            (Need::Display, Self::AptGet) => {
                &["xvfb", "xdotool", "libxkbcommon-x11-0", "libx11-xcb1", "libxcursor1", "libxi6"]
            }
            (Need::Display, Self::Dnf) => &["xorg-x11-server-Xvfb", "xdotool", "libxkbcommon-x11"],
            (Need::Display, Self::Pacman) => &["xorg-server-xvfb", "xdotool", "libxkbcommon-x11"],
            (Need::Display, Self::Zypper) => &["xorg-x11-server-Xvfb", "xdotool", "libxkbcommon-x11-0"],
            (Need::Display, Self::Apk) => &["xvfb", "xdotool", "libxkbcommon-x11"],
        }
    }

    /// The commands, in order, that install the packages without asking. All but the last may fail:
    /// they only refresh the lists, and a machine without a network may hold the packages already.
    fn commands(self, packages: &[&str]) -> Vec<Vec<String>> {
        let command = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
        let mut install = match self {
            Self::AptGet => command(&["apt-get", "install", "-y", "--no-install-recommends"]),
            Self::Dnf => command(&["dnf", "install", "-y"]),
            Self::Pacman => command(&["pacman", "-S", "--needed", "--noconfirm"]),
            Self::Zypper => command(&["zypper", "--non-interactive", "install"]),
            Self::Apk => command(&["apk", "add"]),
        };
        install.extend(command(packages));
        match self {
            Self::AptGet => vec![command(&["apt-get", "update"]), install],
            _ => vec![install],
        }
    }
}

/// How far we may act on this machine.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Right {
    Root,
    SudoWithoutPassword,
    None,
}

impl Right {
    fn of_this_user() -> Self {
        let id = Command::new("id").arg("-u").output();
        if id.is_ok_and(|output| output.stdout.trim_ascii() == b"0") {
            Self::Root
        } else if succeeds(Command::new("sudo").args(["-n", "true"])) {
            Self::SudoWithoutPassword
        } else {
            Self::None
        }
    }
}

/// Sees to it that the needs are met, installing what is missing where we may.
///
/// # Errors
/// When something is missing and may not or cannot be installed; the message is the exact command to type.
pub fn provide(needs: &[Need]) -> Result<(), Failure> {
    let missing: Vec<Need> = needs.iter().copied().filter(|need| !need.is_met()).collect();
    if missing.is_empty() {
        return Ok(());
    }
    let names = missing.iter().map(|need| need.name()).collect::<Vec<_>>().join(", ");
    println!("Missing: {names}");
    let Some(manager) = Manager::of_this_machine().filter(|_| cfg!(target_os = "linux")) else {
        return Err(Failure::work(format!("install {names}, then run this again")));
    };
    let packages: Vec<&str> = missing.iter().flat_map(|need| manager.packages(*need)).copied().collect();
    let commands = manager.commands(&packages);
    let right = Right::of_this_user();
    if right == Right::None {
        return Err(Failure::work(format!("run this, then this chore again:\n  {}", typed(&commands))));
    }
    install(&commands, right)
        .map_err(|error| Failure::work(format!("{error}; to try by hand:\n  {}", typed(&commands))))?;
    match missing.iter().find(|need| !need.is_met()) {
        None => Ok(()),
        Some(need) => {
            Err(Failure::work(format!("{} is still missing after installing {}", need.name(), packages.join(" "))))
        }
    }
}

fn install(commands: &[Vec<String>], right: Right) -> Result<(), Failure> {
    let mut outcome = Ok(());
    for words in commands {
        let mut command = if right == Right::Root { Command::new("env") } else { Command::new("sudo") };
        if right == Right::SudoWithoutPassword {
            command.args(["-n", "env"]);
        }
        command.arg("DEBIAN_FRONTEND=noninteractive").args(words);
        outcome = finish(&mut command);
    }
    outcome
}

/// The commands as a user without rights types them.
fn typed(commands: &[Vec<String>]) -> String {
    commands.iter().map(|words| format!("sudo {}", words.join(" "))).collect::<Vec<_>>().join(" && ")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_manager_has_packages_for_every_need() {
        for manager in Manager::ALL {
            for need in [Need::Linker, Need::Adapter, Need::SoftwareAdapter, Need::Python, Need::Display] {
                assert!(!manager.packages(need).is_empty(), "{manager:?} {need:?}");
            }
        }
    }

    #[test]
    fn the_printed_command_can_be_typed_as_it_is() {
        let packages = Manager::AptGet.packages(Need::SoftwareAdapter);
        assert_eq!(
            typed(&Manager::AptGet.commands(packages)),
            "sudo apt-get update && \
             sudo apt-get install -y --no-install-recommends libvulkan1 mesa-vulkan-drivers"
        );
        assert_eq!(typed(&Manager::Apk.commands(&["build-base"])), "sudo apk add build-base");
    }
}
