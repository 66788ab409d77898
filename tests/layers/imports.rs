//! Who imports whom: the paths that a source file names, resolved to the files they lead to.

use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;

/// A file as a path of modules: `["packing", "gear"]`.
pub type Module = Vec<String>;

/// One source file.
#[derive(Debug, Default)]
struct File {
    /// Paths named, as written, each with its line.
    named: Vec<(usize, Vec<String>)>,
    /// What is passed on under a name: `pub use`.
    passed_on: BTreeMap<String, Vec<String>>,
}

/// Every source file with what it names.
#[derive(Debug, Default)]
pub struct Imports {
    files: BTreeMap<Module, File>,
}

impl Imports {
    /// Reads product files: path below `src`, and text.
    pub fn of<'a>(sources: impl Iterator<Item = (&'a Path, &'a str)> + Clone) -> Imports {
        let modules: BTreeSet<Module> = sources.clone().map(|(path, _)| module(path)).collect();
        let files = sources
            .map(|(path, text)| {
                let own = module(path);
                let children: BTreeSet<String> = modules
                    .iter()
                    .filter(|other| other.len() == own.len() + 1 && other.starts_with(&own))
                    .map(|other| other[own.len()].clone())
                    .collect();
                (own, File::read(text, &children))
            })
            .collect();
        Imports { files }
    }

    /// The files that each file imports from, by line, what is passed on followed to where it
    /// stands. The folder's own face (`mod.rs`) is left out: it names its files, and holds what
    /// they share.
    pub fn edges(&self) -> BTreeMap<Module, BTreeMap<Module, usize>> {
        let mut edges = BTreeMap::new();
        for (own, file) in &self.files {
            let mut to = BTreeMap::new();
            for (line, path) in &file.named {
                if let Some(other) = self.lead(own, path, 0)
                    && !own.starts_with(&other)
                {
                    to.entry(other).or_insert(*line);
                }
            }
            edges.insert(own.clone(), to);
        }
        edges
    }

    /// The file that a path leads to; `None` for what stands in no file of ours.
    fn lead(&self, from: &Module, path: &[String], passed: usize) -> Option<Module> {
        let (mut at, mut rest) = match path.first()?.as_str() {
            "crate" | "sutler" => (Vec::new(), &path[1..]),
            "super" | "self" => (from.clone(), path),
            first => {
                let mut child = from.clone();
                child.push(first.to_owned());
                (self.files.contains_key(&child)).then(|| (from.clone(), path))?
            }
        };
        while let Some((step, after)) = rest.split_first() {
            match step.as_str() {
                "super" => {
                    at.pop();
                }
                "self" => (),
                name => {
                    let mut child = at.clone();
                    child.push(name.to_owned());
                    if !self.files.contains_key(&child) {
                        break;
                    }
                    at = child;
                }
            }
            rest = after;
        }
        // what is passed on may be passed on again, but not for ever
        if let Some((name, after)) = rest.split_first()
            && let Some(on) = self.files.get(&at).and_then(|f| f.passed_on.get(name))
            && passed < 8
        {
            let on: Vec<String> = on.iter().chain(after).cloned().collect();
            return self.lead(&at, &on, passed + 1).or(Some(at));
        }
        self.files.contains_key(&at).then_some(at)
    }
}

impl File {
    fn read(text: &str, children: &BTreeSet<String>) -> File {
        let mut file = File::default();
        let code = without_comments(text);
        let mut line = 1;
        let mut rest = code.as_str();
        while !rest.is_empty() {
            if let Some((public, tree, len)) = use_statement(rest) {
                for (path, name) in leaves(tree) {
                    if public {
                        file.passed_on.insert(name, path);
                    } else {
                        file.named.push((line, path));
                    }
                }
                line += rest[..len].matches('\n').count();
                rest = &rest[len..];
                continue;
            }
            let path = path_at(rest);
            let len = path
                .len()
                .max(rest.chars().next().map_or(1, char::len_utf8));
            let steps: Vec<String> = path.split("::").map(str::to_owned).collect();
            let ours = ["crate", "super", "self", "sutler"].contains(&steps[0].as_str());
            if steps.len() > 1 && (ours || children.contains(&steps[0])) {
                file.named.push((line, steps));
            }
            line += rest[..len].matches('\n').count();
            rest = &rest[len..];
        }
        file
    }
}

/// A path such as `a::b::c` that the text begins with; empty where it begins with none.
fn path_at(text: &str) -> &str {
    let word = |c: char| c.is_alphanumeric() || c == '_';
    let mut end = text.find(|c| !word(c)).unwrap_or(text.len());
    while end > 0 && text[end..].starts_with("::") && text[end + 2..].starts_with(word) {
        let next = &text[end + 2..];
        end += 2 + next.find(|c| !word(c)).unwrap_or(next.len());
    }
    &text[..end]
}

/// A `use` statement that the text begins with: whether it passes on, its tree, its length.
fn use_statement(text: &str) -> Option<(bool, &str, usize)> {
    let after_pub = text.strip_prefix("pub");
    let public = after_pub.is_some();
    let mut rest = after_pub.unwrap_or(text);
    if public && rest.starts_with('(') {
        rest = &rest[rest.find(')')? + 1..];
    }
    let rest = match public {
        true => rest.trim_start().strip_prefix("use ")?,
        false => rest.strip_prefix("use ")?,
    };
    let end = rest.find(';')?;
    Some((public, &rest[..end], text.len() - rest.len() + end + 1))
}

/// Every path of a tree of imports, groups opened, with the name it gets.
pub fn leaves(tree: &str) -> Vec<(Vec<String>, String)> {
    let mut found = Vec::new();
    open(&[], tree, &mut found);
    found
}

fn open(before: &[String], tree: &str, found: &mut Vec<(Vec<String>, String)>) {
    let steps = |text: &str| -> Vec<String> {
        let steps = text.split("::").map(str::trim).filter(|s| !s.is_empty());
        before
            .iter()
            .cloned()
            .chain(steps.map(str::to_owned))
            .collect()
    };
    let Some(group) = tree.find('{') else {
        let (path, name) = tree.split_once(" as ").unwrap_or((tree, ""));
        let path = steps(path);
        let last = path.last().cloned().unwrap_or_default();
        if !last.is_empty() {
            let name = Some(name.trim()).filter(|n| !n.is_empty());
            found.push((path, name.map_or(last, str::to_owned)));
        }
        return;
    };
    let prefix = steps(&tree[..group]);
    let inner = &tree[group + 1..tree.rfind('}').unwrap_or(tree.len())];
    let (mut depth, mut from) = (0, 0);
    for (at, c) in inner.char_indices().chain([(inner.len(), ',')]) {
        match c {
            '{' => depth += 1,
            '}' => depth -= 1,
            ',' if depth == 0 => {
                open(&prefix, &inner[from..at], found);
                from = (at + 1).min(inner.len());
            }
            _ => (),
        }
    }
}

/// The text without comments and without what stands in quotes, lines kept.
fn without_comments(text: &str) -> String {
    let mut code = String::with_capacity(text.len());
    let mut rest = text;
    while let Some(c) = rest.chars().next() {
        let len = match c {
            '/' if rest.starts_with("//") => rest.find('\n').unwrap_or(rest.len()),
            '"' => quoted_len(rest),
            '\'' if rest.starts_with("'\"'") => 3,
            '\'' if rest.starts_with("'\\\"'") => 4,
            _ => 0,
        };
        if len == 0 {
            code.push(c);
            rest = &rest[c.len_utf8()..];
        } else {
            code.extend(rest[..len].chars().filter(|c| *c == '\n'));
            rest = &rest[len..];
        }
    }
    code
}

/// The length of what stands in quotes at the beginning of a text, both quotes counted.
fn quoted_len(text: &str) -> usize {
    let mut escaped = false;
    for (at, c) in text.char_indices().skip(1) {
        match c {
            '"' if !escaped => return at + 1,
            '\\' => escaped = !escaped,
            _ => escaped = false,
        }
    }
    text.len()
}

fn module(path: &Path) -> Module {
    let mut steps: Module = path
        .with_extension("")
        .iter()
        .map(|step| step.to_string_lossy().into_owned())
        .collect();
    if steps
        .last()
        .is_some_and(|last| last == "mod" || last == "lib")
    {
        steps.pop();
    }
    steps
}

/// Every group of files that import each other in a circle.
pub fn circles(edges: &BTreeMap<Module, BTreeMap<Module, usize>>) -> Vec<BTreeSet<Module>> {
    let reach: BTreeMap<&Module, BTreeSet<&Module>> = edges
        .keys()
        .map(|from| {
            let (mut seen, mut next) = (BTreeSet::new(), vec![from]);
            while let Some(at) = next.pop() {
                for to in edges.get(at).into_iter().flat_map(BTreeMap::keys) {
                    if seen.insert(to) {
                        next.push(to);
                    }
                }
            }
            (from, seen)
        })
        .collect();
    let mut circles: Vec<BTreeSet<Module>> = Vec::new();
    for (from, to) in &reach {
        let back = to
            .iter()
            .filter(|other| reach.get(*other).is_some_and(|r| r.contains(from)));
        let circle: BTreeSet<Module> = back.map(|m| (*m).clone()).collect();
        if circle.len() > 1 && !circles.contains(&circle) {
            circles.push(circle);
        }
    }
    circles
}
