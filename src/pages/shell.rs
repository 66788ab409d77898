//! The frame of every page: head, policy, styles, scripts. Nothing leaves the page: the policy
//! inside it allows the styles and scripts that stand in it, by their digests, and nothing else.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use maud::{DOCTYPE, Markup, PreEscaped, html};
use sha2::{Digest, Sha256};

/// A page before it is text.
#[derive(Debug)]
pub struct Shell<'a> {
    /// The page's name, as tabs and printed files have it.
    pub title: &'a str,
    /// The width that a phone takes the page to be.
    pub viewport: &'a str,
    /// Stylesheets in order; a later one wins.
    pub styles: &'a [&'a str],
    /// Scripts, run in order when the body is there.
    pub scripts: &'a [&'a str],
    /// The contents.
    pub body: Markup,
}

/// The width of a sheet and a little more, for pages that are paper on any screen.
pub const PAPER_WIDTH: &str = "width=820";
/// The width of the device, for pages that fit any.
pub const ANY_WIDTH: &str = "width=device-width, initial-scale=1";

impl Shell<'_> {
    /// The page as text.
    #[must_use]
    pub fn write(self) -> String {
        let styles: Vec<String> = self.styles.iter().map(|style| inside(style)).collect();
        let scripts: Vec<String> = self.scripts.iter().map(|script| inside(script)).collect();
        let page = html! {
            (DOCTYPE)
            html lang="en" {
                head {
                    meta charset="utf-8";
                    meta http-equiv="Content-Security-Policy" content=(policy(&styles, &scripts));
                    meta name="viewport" content=(self.viewport);
                    meta name="referrer" content="no-referrer";
                    title { (self.title) }
                    @for style in &styles { style { (PreEscaped(style)) } }
                }
                body {
                    (self.body)
                    @for script in &scripts { script { (PreEscaped(script)) } }
                }
            }
        };
        page.into_string() + "\n"
    }
}

/// Rights of a browser on the page.
fn policy(styles: &[String], scripts: &[String]) -> String {
    let digests = |texts: &[String]| {
        let all: Vec<String> = texts.iter().map(|text| digest(text)).collect();
        if all.is_empty() {
            "'none'".to_owned()
        } else {
            all.join(" ")
        }
    };
    format!(
        "default-src 'none'; img-src data:; style-src {}; script-src {}; base-uri 'none'; \
         form-action 'none'",
        digests(styles),
        digests(scripts)
    )
}

fn digest(text: &str) -> String {
    format!("'sha256-{}'", STANDARD.encode(Sha256::digest(text)))
}

/// A style or script as it may stand in a page: it cannot close its own element, and a browser
/// reads the very bytes that the digest is of.
fn inside(text: &str) -> String {
    text.replace("\r\n", "\n")
        .replace('\r', "\n")
        .replace('\0', "\u{fffd}")
        .replace("</", "<\\/")
        .replace("<!--", "<\\!--")
}
