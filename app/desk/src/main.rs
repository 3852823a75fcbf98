//! `combgate`: reads the command line, does what it asks, and ends with the right code.

use clap::error::ErrorKind;
use clap::{CommandFactory, Parser};
use combgate_desk::cli::Cli;
use combgate_desk::outcome::Exit;
use std::io::Write;
use std::process::ExitCode;

fn main() -> ExitCode {
    let (out, err, exit) = match Cli::try_parse() {
        Ok(cli) => match combgate_desk::run(cli) {
            Ok(outcome) => (outcome.text, outcome.troubles.concat(), outcome.exit),
            Err(failure) => (String::new(), failure.told(), failure.exit()),
        },
        Err(error) => explain(&error),
    };
    // A reader that went away (such as `| head`) is no failure of the command.
    let _ = std::io::stdout().write_all(out.as_bytes());
    let _ = std::io::stderr().write_all(err.as_bytes());
    ExitCode::from(exit as u8)
}

/// Help goes to standard output; a wrong command line goes to standard error and ends, like every
/// other error, with what to do.
fn explain(error: &clap::Error) -> (String, String, Exit) {
    let text = error.render().to_string();
    if matches!(
        error.kind(),
        ErrorKind::DisplayHelp | ErrorKind::DisplayVersion
    ) {
        return (text, String::new(), Exit::Done);
    }
    let said: Vec<&str> = text
        .lines()
        .filter(|line| !line.is_empty() && !line.starts_with("For more information"))
        .collect();
    let hint = format!(
        "see `{}{} --help`",
        Cli::command().get_name(),
        asked_for().fold(String::new(), |words, word| words + " " + &word)
    );
    (
        String::new(),
        format!("{}\nhint: {hint}\n", said.join("\n")),
        Exit::Unusable,
    )
}

/// The commands named on a command line that could not be read, outermost first.
fn asked_for() -> impl Iterator<Item = String> {
    let mut at = Some(Cli::command());
    std::env::args().skip(1).map_while(move |word| {
        let found = at.as_ref()?.find_subcommand(&word).cloned();
        at.clone_from(&found);
        found.map(|_| word)
    })
}
