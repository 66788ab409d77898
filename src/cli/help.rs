//! `sutler help`: a topic, the long help of a verb, or the list of both.

use clap::CommandFactory;

use sutler::diagnostics::did_you_mean;
use sutler::help::{TOPICS, topic};

use super::DONE;
use super::args::HelpArgs;
use super::show::{self, Stop};
use super::verbs::Args;

pub(crate) fn run(args: &HelpArgs) -> Result<u8, Stop> {
    let Some(name) = &args.about else {
        show::print(&list())?;
        return Ok(DONE);
    };
    if let Some(topic) = topic(name) {
        show::print(&(topic.text)())?;
        return Ok(DONE);
    }
    let mut command = Args::command();
    if let Some(verb) = command.find_subcommand_mut(name) {
        let named = format!("sutler {name}");
        let mut verb = verb.clone().display_name(&named).bin_name(&named);
        show::print(&verb.render_long_help().to_string())?;
        return Ok(DONE);
    }
    let verbs = command.get_subcommands().map(clap::Command::get_name);
    let names = TOPICS.iter().map(|topic| topic.name).chain(verbs);
    let hint =
        did_you_mean(name, names).unwrap_or_else(|| "`sutler help` lists the topics".to_owned());
    Err(Stop::Said(format!("no topic or verb `{name}`: {hint}")))
}

fn list() -> String {
    let lines = TOPICS.iter();
    let lines = lines.map(|topic| format!("  {:<12}{}\n", topic.name, topic.about));
    format!(
        "Topics, printed by `sutler help TOPIC`:\n{}\n\
         `sutler help VERB` explains a verb; `sutler -h` lists the verbs.\n",
        lines.collect::<String>()
    )
}
