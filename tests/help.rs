//! Topics that a user looks up.

use sutler::help::TOPICS;

use crate::support::case::Case;

#[test]
fn every_topic_is_listed_and_printed() {
    let case = Case::new();
    let list = case.run(&["help"]).exits(0).out;
    for topic in TOPICS {
        assert!(list.contains(topic.name) && list.contains(topic.about));
        let text = case.run(&["help", topic.name]).exits(0).out;
        assert!(text.len() > 400, "{} says hardly anything", topic.name);
    }
}

#[test]
fn verbs_are_explained_and_mistakes_are_answered() {
    let case = Case::new();
    case.run(&["help", "replan"]).exits(0).prints("--seen");
    case.run(&["help", "acuracy"])
        .exits(2)
        .says("did you mean `accuracy`?");
    case.run(&["help", "replann"])
        .exits(2)
        .says("did you mean `replan`?");
}

#[test]
fn the_list_of_verbs_names_every_topic() {
    let help = Case::new().run(&["-h"]).exits(0).out;
    let (_, topics) = help.split_once("A topic to look up").unwrap();
    let topics: String = topics.lines().take(3).collect();
    for topic in TOPICS {
        assert!(topics.contains(topic.name), "{}", topic.name);
    }
}
