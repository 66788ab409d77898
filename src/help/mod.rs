//! Texts that a user looks up: one a topic, embedded here and readable as files beside this one.

/// A topic of `sutler help`.
#[derive(Clone, Copy, Debug)]
pub struct Topic {
    /// Its name, typed after `help`.
    pub name: &'static str,
    /// One line about it.
    pub about: &'static str,
    /// Its text in Markdown.
    pub text: fn() -> String,
}

/// Every topic, in the order a newcomer meets them.
pub const TOPICS: &[Topic] = &[
    Topic {
        name: "files",
        about: "what to write, and the rules for it",
        text: || include_str!("files.md").to_owned(),
    },
    Topic {
        name: "packing",
        about: "food, drink and gear: how they are chosen",
        text: || include_str!("packing.md").to_owned(),
    },
    Topic {
        name: "race-day",
        about: "what to print, and how to plan again on the day",
        text: || include_str!("race-day.md").to_owned(),
    },
    Topic {
        name: "rehearsals",
        about: "long runs: planned, debriefed, and what they teach",
        text: || include_str!("rehearsals.md").to_owned(),
    },
    Topic {
        name: "accuracy",
        about: "how good the numbers are, with figures",
        text: || include_str!("accuracy.md").to_owned(),
    },
    Topic {
        name: "cautions",
        about: "what can hurt you, and who decides",
        text: || include_str!("cautions.md").to_owned(),
    },
    Topic {
        name: "facts",
        about: "every key of the data, for programs that read them",
        text: crate::facts::help,
    },
];

/// The topic of a name.
#[must_use]
pub fn topic(name: &str) -> Option<&'static Topic> {
    TOPICS.iter().find(|topic| topic.name == name)
}
