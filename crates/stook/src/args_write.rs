//! `stook write KIND`: flags made from the desk's own definition of what can be written.

use clap::{Arg, ArgAction, ArgMatches, Args, Command, Error, FromArgMatches, error::ErrorKind};
use desk::written::{FORMS, Figures, Given};
use std::path::PathBuf;

/// What is to be written.
#[derive(Debug)]
pub(crate) enum Written {
    /// One entry of a kind, from figures.
    Entry { kind: String, figures: Figures },
    /// Every row of a spreadsheet saved as CSV.
    Sheet { file: PathBuf, strict: bool },
    /// Lines of JSON on standard input.
    Lines { one_by_one: bool },
}

/// `stook write ...`
#[derive(Debug)]
pub(crate) struct WriteTyped {
    /// What.
    pub what: Written,
    /// When it happened; now, if left out.
    pub at: Option<String>,
    /// Who writes.
    pub by: String,
}

fn signed(command: Command) -> Command {
    command
        .arg(
            Arg::new("at")
                .long("at")
                .value_name("TIME")
                .help("When it happened, e.g. \"2026-10-06 16:41\"; now, if left out"),
        )
        .arg(
            Arg::new("by")
                .long("by")
                .value_name("WHO")
                .default_value("owner")
                .help("Who writes"),
        )
}

/// The flag of a figure. Every command has `--why` already, which asks for the working.
fn flag(figure: &'static str) -> &'static str {
    match figure {
        "why" => "because",
        other => other,
    }
}

fn forms(mut command: Command) -> Command {
    for form in FORMS {
        let mut sub = Command::new(form.kind).about(form.help);
        if form.kind == "call_at" {
            sub = sub.visible_alias("call-at");
        }
        for figure in form.figures {
            let flag = flag(figure.name);
            let arg = Arg::new(flag).long(flag).help(figure.help);
            let arg = match figure.given {
                Given::Must => arg.required(true),
                Given::MustMany => arg.required(true).action(ArgAction::Append),
                Given::May => arg,
                Given::Many => arg.action(ArgAction::Append),
                Given::Flag => arg.action(ArgAction::SetTrue),
                Given::File => arg.value_name("FILE"),
                Given::Files => arg.value_name("FILE").action(ArgAction::Append),
            };
            sub = sub.arg(arg.allow_hyphen_values(!matches!(figure.given, Given::Flag)));
        }
        command = command.subcommand(signed(sub));
    }
    let sheet = Command::new("sheet")
        .about(
            "All slips of a spreadsheet saved as CSV: a kind column, at, and one column a figure",
        )
        .arg(
            Arg::new("file")
                .required(true)
                .value_parser(clap::value_parser!(PathBuf))
                .help("CSV file with a header row"),
        )
        .arg(
            Arg::new("strict")
                .long("strict")
                .action(ArgAction::SetTrue)
                .help("Refuse the whole file at the first bad row"),
        );
    let lines = Command::new("lines")
        .about("Entries as JSON, one a line on standard input: {\"kind\":\"note\",\"figures\":{\"text\":\"...\"}}")
        .arg(Arg::new("one-by-one").long("one-by-one").action(ArgAction::SetTrue).help("Write each by itself and print its id as soon as it is safe on disk; without it all or none"));
    command
        .subcommand(signed(sheet))
        .subcommand(signed(lines))
        .subcommand_required(true)
        .arg_required_else_help(true)
}

impl Args for WriteTyped {
    fn augment_args(command: Command) -> Command {
        forms(command)
    }
    fn augment_args_for_update(command: Command) -> Command {
        forms(command)
    }
}

impl FromArgMatches for WriteTyped {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, Error> {
        let Some((kind, sub)) = matches.subcommand() else {
            return Err(Error::raw(
                ErrorKind::MissingSubcommand,
                "stook write needs a kind of entry\n",
            ));
        };
        let what = match kind {
            "sheet" => Written::Sheet {
                file: sub.get_one::<PathBuf>("file").cloned().unwrap_or_default(),
                strict: sub.get_flag("strict"),
            },
            "lines" => Written::Lines {
                one_by_one: sub.get_flag("one-by-one"),
            },
            kind => Written::Entry {
                kind: kind.to_owned(),
                figures: figures(kind, sub),
            },
        };
        Ok(Self {
            what,
            at: sub.get_one::<String>("at").cloned(),
            by: sub.get_one::<String>("by").cloned().unwrap_or_default(),
        })
    }
    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

fn figures(kind: &str, sub: &ArgMatches) -> Figures {
    let mut figures = Figures::default();
    for figure in FORMS
        .iter()
        .filter(|form| form.kind == kind)
        .flat_map(|form| form.figures)
    {
        if figure.given == Given::Flag {
            if sub.get_flag(flag(figure.name)) {
                figures.add(figure.name, "yes");
            }
            continue;
        }
        let texts = sub
            .get_many::<String>(flag(figure.name))
            .into_iter()
            .flatten();
        for text in texts {
            let file = matches!(figure.given, Given::File | Given::Files);
            // a file's text stands for it; anything else is taken as the text itself
            match std::fs::read_to_string(text) {
                Ok(inside) if file => figures.add(figure.name, inside),
                _ => figures.add(figure.name, text.as_str()),
            }
        }
    }
    figures
}

#[cfg(test)]
mod tests {
    use super::*;
    use clap::CommandFactory;

    #[test]
    fn no_figure_takes_the_flag_that_every_command_has() {
        let whole = crate::args::Typed::command();
        let globals: Vec<&str> = whole
            .get_arguments()
            .filter_map(|arg| arg.is_global_set().then(|| arg.get_long()).flatten())
            .collect();
        assert!(globals.contains(&"why"));
        for figure in FORMS.iter().flat_map(|form| form.figures) {
            assert!(!globals.contains(&flag(figure.name)), "{}", figure.name);
        }
    }
}
