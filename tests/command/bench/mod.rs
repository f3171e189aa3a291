//! A folder of its own for each test, and the command run in it.
#![allow(dead_code, clippy::unwrap_used)]

use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};

/// A fresh folder in which the command is run.
pub struct Bench {
    folder: tempfile::TempDir,
}

/// What came out of a run.
#[derive(Debug)]
pub struct Run {
    pub code: i32,
    pub stdout: String,
    pub stderr: String,
}

/// The bytes of a demo attempt.
pub fn demo(name: &str) -> Vec<u8> {
    let path = root().join(format!("fixtures/demo/{name}.json"));
    std::fs::read(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

/// The top of the source tree.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..")
}

impl Bench {
    pub fn new() -> Self {
        Self {
            folder: tempfile::tempdir().unwrap(),
        }
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn put(&self, name: &str, bytes: &[u8]) {
        let path = self.path(name);
        std::fs::create_dir_all(path.parent().unwrap()).unwrap();
        std::fs::write(path, bytes).unwrap();
    }

    pub fn get(&self, name: &str) -> String {
        std::fs::read_to_string(self.path(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
    }

    /// Names in the folder, sorted, hidden ones too.
    pub fn names(&self) -> Vec<String> {
        names_in(self.folder.path())
    }

    /// The command, to be run in the folder.
    pub fn command(&self, arguments: &[&str]) -> Command {
        let mut command = Command::new(env!("CARGO_BIN_EXE_springline"));
        command
            .args(arguments)
            .current_dir(self.folder.path())
            .env_remove("NO_COLOR")
            .stdin(Stdio::null());
        command
    }

    pub fn run(&self, arguments: &[&str]) -> Run {
        Run::of(self.command(arguments).output().unwrap())
    }

    /// Stdout goes to a file or device.
    pub fn run_into(&self, target: &str, arguments: &[&str]) -> Run {
        let target = std::fs::OpenOptions::new().write(true).open(target).unwrap();
        Run::of(
            self.command(arguments)
                .stdout(target)
                .stderr(Stdio::piped())
                .spawn()
                .unwrap()
                .wait_with_output()
                .unwrap(),
        )
    }

    /// Stdout is a pipe that nobody reads.
    pub fn run_into_closed_pipe(&self, arguments: &[&str]) -> Run {
        let (reader, writer) = std::io::pipe().unwrap();
        drop(reader);
        let mut command = self.command(arguments);
        let child = command.stdout(writer).stderr(Stdio::piped()).spawn().unwrap();
        drop(command);
        Run::of(child.wait_with_output().unwrap())
    }
}

impl Run {
    pub fn of(output: Output) -> Self {
        Self {
            code: output.status.code().unwrap_or(-1),
            stdout: String::from_utf8(output.stdout).unwrap(),
            stderr: String::from_utf8(output.stderr).unwrap(),
        }
    }

    #[track_caller]
    pub fn ended(&self, code: i32) -> &Self {
        assert_eq!(self.code, code, "stdout: {}\nstderr: {}", self.stdout, self.stderr);
        self
    }

    /// Nothing on stderr.
    #[track_caller]
    pub fn quiet(&self) -> &Self {
        assert_eq!(self.stderr, "");
        self
    }

    /// Exit code 2, nothing on stdout, exactly this on stderr.
    #[track_caller]
    pub fn failed(&self, stderr: &str) -> &Self {
        assert_eq!((self.code, self.stdout.as_str(), self.stderr.as_str()), (2, "", stderr));
        self
    }
}

/// Names in a folder, sorted, hidden ones too.
pub fn names_in(folder: &Path) -> Vec<String> {
    let mut names: Vec<String> = std::fs::read_dir(folder)
        .unwrap()
        .map(|entry| entry.unwrap().file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}
