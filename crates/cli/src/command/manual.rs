//! `springline completions` and `springline man`.

use std::path::Path;

use clap::CommandFactory as _;
use clap_complete::Shell;
use springline_review::{Error, may_write, write_whole};

use crate::Ended;
use crate::args::{Cli, Man};
use crate::failure::Failure;
use crate::output::print;

pub(crate) fn completions(shell: Shell) -> Result<Ended, Failure> {
    let mut text = Vec::new();
    clap_complete::generate(shell, &mut Cli::command(), "springline", &mut text);
    print(&String::from_utf8_lossy(&text))?;
    Ok(Ended::Done)
}

pub(crate) fn run(args: &Man) -> Result<Ended, Failure> {
    let mut command = Cli::command();
    command.build();
    let Some(folder) = &args.out else {
        print(&String::from_utf8_lossy(&page(&command)?.1))?;
        return Ok(Ended::Done);
    };
    let mut pages = Vec::new();
    collect(&command, &mut pages)?;
    write(folder, &pages, args.force)?;
    let mut text = String::new();
    for (name, _) in &pages {
        text.push_str(&format!("wrote {}\n", folder.join(name).display()));
    }
    print(&text)?;
    Ok(Ended::Done)
}

fn write(folder: &Path, pages: &[(String, Vec<u8>)], force: bool) -> Result<(), Failure> {
    std::fs::create_dir_all(folder).map_err(|source| Error::Write {
        path: folder.to_owned(),
        source,
    })?;
    for (name, _) in pages {
        may_write(&folder.join(name), force)?;
    }
    for (name, bytes) in pages {
        write_whole(&folder.join(name), bytes, force)?;
    }
    Ok(())
}

/// The page of a command and of every command inside it.
fn collect(command: &clap::Command, pages: &mut Vec<(String, Vec<u8>)>) -> Result<(), Failure> {
    pages.push(page(command)?);
    for inside in command.get_subcommands().filter(|inside| inside.get_name() != "help") {
        collect(inside, pages)?;
    }
    Ok(())
}

fn page(command: &clap::Command) -> Result<(String, Vec<u8>), Failure> {
    let name = command
        .get_display_name()
        .unwrap_or_else(|| command.get_name())
        .to_owned();
    let mut bytes = Vec::new();
    clap_mangen::Man::new(command.clone())
        .title(name.clone())
        .render(&mut bytes)
        .map_err(|error| Failure::new(format!("manual page: cannot be written: {error}")))?;
    Ok((format!("{name}.1"), bytes))
}
