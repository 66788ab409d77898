//! The desk as a browser sees it: who may ask, what is written, what is taken away.

mod browser;
mod conflicts;
mod edits;
mod guard;
mod served;
mod takeaways;
