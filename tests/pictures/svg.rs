//! A picture, read again by an XML parser.

use quick_xml::Reader;
use quick_xml::events::{BytesStart, Event};
use sutler::facts::Facts;
use sutler::pictures::{LIGHT, PICTURES};
use sutler::units::Units;

use crate::support::race::Planned;

/// Its elements in the order they start.
pub struct Svg {
    pub elements: Vec<Element>,
}

/// One element with the words straight inside.
pub struct Element {
    pub name: String,
    pub attributes: Vec<(String, String)>,
    pub text: String,
}

/// A picture on light paper by its name.
pub fn drawn(planned: &Planned, name: &str, units: Units) -> String {
    let picture = PICTURES
        .iter()
        .find(|picture| picture.name == name)
        .unwrap();
    (picture.draw)(&Facts::of(&planned.view(units)), &LIGHT)
}

impl Svg {
    #[track_caller]
    pub fn read(text: &str) -> Svg {
        let mut reader = Reader::from_str(text);
        reader.config_mut().enable_all_checks(true);
        let mut elements: Vec<Element> = Vec::new();
        let mut open: Vec<usize> = Vec::new();
        loop {
            match reader
                .read_event()
                .unwrap_or_else(|e| panic!("{e}:\n{text}"))
            {
                Event::Start(start) => {
                    open.push(elements.len());
                    elements.push(element(&start));
                }
                Event::Empty(start) => elements.push(element(&start)),
                Event::End(_) => {
                    open.pop();
                }
                Event::Text(words) => {
                    if let Some(index) = open.last() {
                        elements[*index].text += &*words;
                    }
                }
                Event::GeneralRef(entity) => {
                    let name: &str = &entity;
                    let c = match entity.resolve_char_ref().unwrap() {
                        Some(c) => c.to_string(),
                        None => quick_xml::escape::resolve_predefined_entity(name)
                            .unwrap()
                            .to_owned(),
                    };
                    elements[*open.last().unwrap()].text += &c;
                }
                Event::Eof => break,
                other => panic!("{other:?} in a picture"),
            }
        }
        assert!(open.is_empty());
        Svg { elements }
    }

    pub fn attributes(&self) -> impl Iterator<Item = (&str, &str)> {
        let all = self.elements.iter().flat_map(|element| &element.attributes);
        all.map(|(key, value)| (key.as_str(), value.as_str()))
    }

    /// All values of one attribute.
    pub fn all_of<'a>(&'a self, key: &'a str) -> impl Iterator<Item = &'a str> {
        let found = self.attributes().filter(move |(own, _)| *own == key);
        found.map(|(_, value)| value)
    }

    /// Everything that is written in the picture.
    pub fn texts(&self) -> impl Iterator<Item = &Element> {
        self.elements
            .iter()
            .filter(|element| element.name == "text")
    }

    /// Elements of a class.
    pub fn of_class<'a>(&'a self, class: &'a str) -> impl Iterator<Item = &'a Element> {
        let all = self.elements.iter();
        all.filter(move |element| element.get("class") == Some(class))
    }
}

impl Element {
    pub fn get(&self, key: &str) -> Option<&str> {
        let found = self.attributes.iter().find(|(own, _)| own == key);
        found.map(|(_, value)| value.as_str())
    }

    #[track_caller]
    pub fn num(&self, key: &str) -> f64 {
        let value = self
            .get(key)
            .unwrap_or_else(|| panic!("no {key} in <{}>", self.name));
        value.parse().unwrap()
    }

    /// The points of a path that has only straight lines.
    pub fn points(&self) -> Vec<(f64, f64)> {
        let d = self.get("d").unwrap().trim_end_matches('Z');
        let parts = d.split(['M', 'L']).filter(|part| !part.is_empty());
        parts
            .map(|part| {
                let (x, y) = part.split_once(' ').unwrap();
                (x.parse().unwrap(), y.parse().unwrap())
            })
            .collect()
    }
}

fn element(start: &BytesStart<'_>) -> Element {
    let attributes = start.attributes().map(|attribute| {
        let attribute = attribute.unwrap();
        let key = attribute.key.0.to_owned();
        let raw = attribute.value.to_string();
        (key, quick_xml::escape::unescape(&raw).unwrap().into_owned())
    });
    Element {
        name: start.name().0.to_owned(),
        attributes: attributes.collect(),
        text: String::new(),
    }
}
