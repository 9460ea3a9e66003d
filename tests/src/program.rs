//! Runs the program as a user does: arguments, standard input, environment; standard output, standard error, exit code.
//!
//! The program is the one that `GREYWRIGHT_BINARY` names, else the one in the target folder that holds this test.

use std::ffi::OsString;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Stdio};
use std::thread;

use serde_json::Value;

/// Variables that change what the program does; a run has them only if it says so.
const OWN: [&str; 2] = ["GREYWRIGHT_TILE", "GREYWRIGHT_LOSE_DEVICE"];

/// Where the program lies.
///
/// # Panics
/// It is not there.
pub fn binary() -> PathBuf {
    let path = std::env::var_os("GREYWRIGHT_BINARY").map_or_else(beside_this_test, PathBuf::from);
    assert!(path.is_file(), "{}: no program; build it first: cargo build -p greywright", path.display());
    path
}

fn beside_this_test() -> PathBuf {
    let test = std::env::current_exe().expect("a test knows where it lies");
    let profile = test.parent().and_then(Path::parent).expect("tests lie in target/<profile>/deps");
    profile.join(format!("greywright{}", std::env::consts::EXE_SUFFIX))
}

/// A run of the program, to be started.
#[derive(Debug, Clone, Default)]
pub struct Run {
    arguments: Vec<OsString>,
    environment: Vec<(&'static str, OsString)>,
    input: String,
    /// Most kibibytes of address space, if limited.
    address_space: Option<u64>,
}

/// What a run gave.
#[derive(Debug, Clone)]
pub struct Answer {
    /// The command line, for messages.
    pub what: String,
    /// Exit code; -1 where a signal ended the program.
    pub code: i32,
    /// Results.
    pub stdout: String,
    /// Messages.
    pub stderr: String,
}

/// A run with these arguments, split at blanks; paths and chains are added by [`Run::with`].
pub fn greywright(arguments: &str) -> Run {
    Run { arguments: arguments.split_whitespace().map(OsString::from).collect(), ..Run::default() }
}

impl Run {
    /// One more argument, blanks and all.
    #[must_use]
    pub fn with(mut self, argument: impl Into<OsString>) -> Self {
        self.arguments.push(argument.into());
        self
    }

    /// A chain.
    #[must_use]
    pub fn chain(self, chain: &str) -> Self {
        self.with("--chain").with(chain)
    }

    /// An environment variable.
    #[must_use]
    pub fn env(mut self, name: &'static str, value: impl Into<OsString>) -> Self {
        self.environment.push((name, value.into()));
        self
    }

    /// No more address space than this, in kibibytes; where there is a shell with `ulimit -v`, as on Linux.
    #[must_use]
    pub fn within(mut self, kibibytes: u64) -> Self {
        self.address_space = Some(kibibytes);
        // Each thread of its own would set aside far more than it uses.
        self.env("MALLOC_ARENA_MAX", "2")
    }

    /// What standard input says.
    #[must_use]
    pub fn input(mut self, text: impl Into<String>) -> Self {
        self.input = text.into();
        self
    }

    /// Starts the program and leaves it running.
    ///
    /// # Panics
    /// It cannot be started.
    pub fn start(&self) -> Child {
        let mut command = match self.address_space {
            None => Command::new(binary()),
            Some(kibibytes) => {
                let mut shell = Command::new("sh");
                shell.args(["-c", "ulimit -v \"$0\" && exec \"$@\""]).arg(kibibytes.to_string()).arg(binary());
                shell
            }
        };
        command.args(&self.arguments).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
        for name in OWN {
            command.env_remove(name);
        }
        command.envs(self.environment.iter().map(|(name, value)| (name, value)));
        command.spawn().unwrap_or_else(|error| panic!("{}: {error}", binary().display()))
    }

    /// Runs the program to its end.
    ///
    /// # Panics
    /// It cannot be started, or it panicked, which no input may bring about.
    pub fn go(&self) -> Answer {
        let mut child = self.start();
        let pipe = child.stdin.take();
        let input = self.input.clone();
        // Beside the reading, or a long answer and a long input would wait for each other.
        let writer = thread::spawn(move || {
            // A program that does not read its input closes it, which is no fault.
            pipe.is_some_and(|mut pipe| pipe.write_all(input.as_bytes()).is_ok())
        });
        let answer = finish(child, self.words());
        writer.join().expect("the writing thread has come to its end");
        answer
    }

    /// Runs the program and expects exit code 0.
    ///
    /// # Panics
    /// As [`Run::go`], or any other code.
    pub fn done(&self) -> Answer {
        let answer = self.go();
        assert_eq!(answer.code, 0, "{answer}");
        answer
    }

    /// Runs the program and expects this exit code and all of these words in its message.
    ///
    /// # Panics
    /// As [`Run::go`], or another code or message.
    pub fn fails(&self, code: i32, words: &[&str]) -> Answer {
        let answer = self.go();
        assert_eq!(answer.code, code, "{answer}");
        for word in words {
            assert!(answer.stderr.contains(word), "no '{word}' in: {answer}");
        }
        answer
    }

    fn words(&self) -> String {
        let words = self.arguments.iter().map(|argument| argument.to_string_lossy().into_owned());
        words.collect::<Vec<_>>().join(" ")
    }
}

/// Waits for a program that was started.
///
/// # Panics
/// It panicked.
pub fn finish(child: Child, what: String) -> Answer {
    let output = child.wait_with_output().unwrap_or_else(|error| panic!("{what}: {error}"));
    let text = |bytes: &[u8]| String::from_utf8_lossy(bytes).into_owned();
    let code = output.status.code().unwrap_or(-1);
    let answer = Answer { what, code, stdout: text(&output.stdout), stderr: text(&output.stderr) };
    assert!(!answer.stderr.contains("panicked"), "{answer}");
    answer
}

impl std::fmt::Display for Answer {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let Self { what, code, stdout, stderr } = self;
        let head: String = stdout.chars().take(2000).collect();
        write!(f, "greywright {what}\nexit code {code}\n--- output\n{head}\n--- messages\n{stderr}")
    }
}

impl Answer {
    /// The output as JSON.
    ///
    /// # Panics
    /// It is none.
    pub fn json(&self) -> Value {
        serde_json::from_str(&self.stdout).unwrap_or_else(|error| panic!("{error}: {self}"))
    }

    /// The output as rows of three numbers.
    ///
    /// # Panics
    /// It is something else.
    pub fn rows(&self) -> Vec<[f64; 3]> {
        self.stdout.lines().map(|line| row(line).unwrap_or_else(|| panic!("'{line}' is no row: {self}"))).collect()
    }

    /// The messages that are the program's own, without those of a graphics driver and the word that there is none.
    pub fn messages(&self) -> Vec<&str> {
        let own = self.stderr.lines().filter_map(|line| line.strip_prefix("greywright: "));
        own.filter(|message| !message.starts_with("no graphics adapter")).collect()
    }
}

fn row(line: &str) -> Option<[f64; 3]> {
    let values: Vec<f64> = line.split(',').map(|value| value.parse().ok()).collect::<Option<_>>()?;
    values.try_into().ok()
}

/// Rows of numbers through a chain, by the executor named; as many rows come back.
///
/// # Panics
/// The program fails, or gives another count of rows.
pub fn eval(executor: &str, chain: &str, rows: &[[f64; 3]]) -> Vec<[f64; 3]> {
    let input: String = rows.iter().map(|[r, g, b]| format!("{r:e},{g:e},{b:e}\n")).collect();
    let answer = greywright("eval --executor").with(executor).chain(chain).input(input).done();
    let out = answer.rows();
    assert_eq!(out.len(), rows.len(), "{chain}: as many rows come out as go in");
    out
}

/// The Python that has the reference libraries. Without one the caller's test is skipped with a printed reason.
pub fn python() -> Option<PathBuf> {
    let python = std::env::var_os("GREYWRIGHT_PYTHON").map(PathBuf::from);
    if python.is_none() {
        println!("skipped: GREYWRIGHT_PYTHON names no Python with the reference libraries");
    }
    python
}

/// The standard output of a script in `tests/reference`.
///
/// # Panics
/// The script fails.
pub fn reference(python: &Path, script: &str, arguments: &[&str]) -> String {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("reference");
    let mut command = Command::new(python);
    // No compiled files beside the scripts.
    command.arg("-B").arg(folder.join(script)).args(arguments);
    let output = command.output().unwrap_or_else(|error| panic!("{}: {error}", python.display()));
    assert!(output.status.success(), "{script}: {}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8(output.stdout).expect("the script writes text")
}
