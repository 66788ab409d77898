//! Servings counted in the runner's own unit: `half a banana` twice is `2 half bananas`.

use crate::words::folded;

use super::pantry_csv::{Food, FoodKind};

/// One serving of a food, and several.
#[derive(Clone, Debug, PartialEq)]
struct ServingUnit {
    /// The number of units in one serving.
    each: u32,
    one: String,
    /// `None` where no plural can be made of it.
    many: Option<String>,
}

impl Food {
    /// A number of servings in words, such as `2 half bananas` or `1 cup of broth`.
    #[must_use]
    pub fn counted(&self, servings: u32) -> String {
        ServingUnit::of(self).counted(servings)
    }
}

/// Servings of a food by its name, as they are printed.
#[must_use]
pub fn counted(servings: u32, food: &str, pantry: &[Food]) -> String {
    let known = pantry.iter().find(|known| known.name.value == food);
    known.map_or_else(
        || format!("{servings} × {food}"),
        |food| food.counted(servings),
    )
}

impl ServingUnit {
    /// The unit that `unit` says, else the one that `serving` and the name make likely.
    fn of(food: &Food) -> ServingUnit {
        let name = food.name.value.as_str();
        let parts = |text: &str| -> (u32, String) { counted_noun(text) };
        if let Some(unit) = &food.unit {
            let (one, many) = match unit.split_once('/') {
                Some((one, many)) => (one, Some(many.trim().to_owned())),
                None => (unit.as_str(), None),
            };
            let (each, one) = parts(one);
            let many = many.or_else(|| several(&one));
            return ServingUnit { each, one, many };
        }
        let (each, noun) = parts(&food.serving);
        let head = head(&noun);
        if noun.is_empty() || MEASURES.contains(&head) || SERVING.contains(&head) {
            let loose = matches!(food.kind, FoodKind::Drink | FoodKind::Station);
            return match loose || is_plural(name) {
                true => ServingUnit::named(1, format!("serving of {name}")),
                false => ServingUnit::named(1, name.to_owned()),
            };
        }
        let is_in = |word: &str| folded(name).split(' ').any(|part| same_noun(part, word));
        if folded(&noun).contains(&folded(name)) {
            return ServingUnit::named(each, noun);
        }
        if is_in(head) {
            let mut unit = ServingUnit::named(each, name.to_owned());
            if is_plural(name) {
                unit.many = Some(name.to_owned());
            }
            return unit;
        }
        // `10 pieces` is ten of them
        ServingUnit::named(each, format!("{noun} of {name}"))
    }

    fn named(each: u32, one: String) -> ServingUnit {
        let many = several(&one);
        ServingUnit { each, one, many }
    }

    fn counted(&self, servings: u32) -> String {
        let count = self.each.saturating_mul(servings);
        match (&self.many, count) {
            (_, 1) => match self.one.strip_prefix("half ") {
                Some(whole) => format!("half a {whole}"),
                None => format!("1 {}", self.one),
            },
            (Some(many), _) => format!("{count} {many}"),
            (None, _) => format!("{count} × {}", self.one),
        }
    }
}

/// Units of measure, which nobody counts food in.
const MEASURES: [&str; 7] = ["g", "kg", "ml", "l", "oz", "floz", "mg"];
const SERVING: [&str; 4] = ["serving", "servings", "portion", "portions"];

/// The number a description begins with, and the noun with what goes before it; what is only
/// explained, as in `1 cup of 240 ml`, is left out.
fn counted_noun(text: &str) -> (u32, String) {
    let text = text.trim();
    let (first, rest) = text.split_once(' ').unwrap_or((text, ""));
    let (each, noun) = match (first, first.parse::<u32>()) {
        (_, Ok(number)) => (number.max(1), rest.to_owned()),
        ("a" | "an" | "one", _) => (1, rest.to_owned()),
        ("half" | "quarter", _) => {
            let of = rest.strip_prefix("of ").unwrap_or(rest);
            let bare = of.strip_prefix("a ").or_else(|| of.strip_prefix("an "));
            (1, format!("{first} {}", bare.unwrap_or(of)))
        }
        _ => (1, text.to_owned()),
    };
    // `500 ml flask`: a size, not a count
    let noun = noun.trim();
    let starts = noun.split(' ').next().unwrap_or_default();
    let (each, noun) = match MEASURES.contains(&starts) {
        true => (1, starts),
        false => (each, noun),
    };
    let explained = [" with ", " in ", " (", ", ", " à "];
    let mut end = noun.len();
    for mark in explained {
        end = end.min(noun.find(mark).unwrap_or(end));
    }
    let of_size = noun.match_indices(" of ").find(|(at, of)| {
        let after = noun[at + of.len()..].chars().next();
        after.is_some_and(|c| c.is_ascii_digit())
    });
    end = end.min(of_size.map_or(end, |(at, _)| at));
    (each, noun[..end].trim().to_owned())
}

/// The word that takes the plural: the last before ` of `.
fn head(noun: &str) -> &str {
    let before = noun.split(" of ").next().unwrap_or(noun);
    before.rsplit(' ').next().unwrap_or(before)
}

fn is_plural(name: &str) -> bool {
    let head = head(name);
    head.ends_with('s') && !head.ends_with("ss")
}

fn same_noun(one: &str, other: &str) -> bool {
    one == other || several(one).as_deref() == Some(other) || several(other).as_deref() == Some(one)
}

/// The plural of an English noun; `None` for names that are not plain lower-case words, which may
/// be of any language.
fn several(noun: &str) -> Option<String> {
    let at = head(noun);
    if at.is_empty() || !at.chars().all(|c| c.is_ascii_lowercase() || c == '-') {
        return None;
    }
    let start = noun.split(" of ").next().unwrap_or(noun).len() - at.len();
    let ends = |ends: &[&str]| ends.iter().any(|end| at.ends_with(end));
    let many = if is_plural(at) {
        at.to_owned()
    } else if ends(&["half", "loaf"]) {
        format!("{}ves", &at[..at.len() - 1])
    } else if ends(&["s", "x", "ch", "sh", "potato", "tomato"]) {
        format!("{at}es")
    } else if at.ends_with('y') && !ends(&["ay", "ey", "oy", "uy"]) {
        format!("{}ies", &at[..at.len() - 1])
    } else {
        format!("{at}s")
    };
    Some(format!(
        "{}{many}{}",
        &noun[..start],
        &noun[start + at.len()..]
    ))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::diagnostics::Spanned;

    fn said(name: &str, kind: FoodKind, serving: &str, unit: &str, servings: u32) -> String {
        let food = Food {
            name: Spanned::unwritten(name.to_owned()),
            kind,
            serving: serving.to_owned(),
            unit: (!unit.is_empty()).then(|| unit.to_owned()),
            ..Food::default()
        };
        food.counted(servings)
    }

    #[test]
    fn servings_are_counted_as_a_runner_would() {
        use FoodKind::{Drink, Food, Gel, Salt, Station};
        #[rustfmt::skip]
        let rows = [
            ("banana", Food, "half a banana", "", 2, "2 half bananas"),
            ("banana", Food, "half a banana", "", 1, "half a banana"),
            ("broth", Station, "1 cup", "", 1, "1 cup of broth"),
            ("cola", Station, "1 cup of 240 ml", "", 2, "2 cups of cola"),
            ("melon", Station, "1 cup in pieces", "", 1, "1 cup of melon"),
            ("broth", Station, "1 serving", "", 2, "2 servings of broth"),
            ("gel", Gel, "1 gel", "", 3, "3 gels"),
            ("caffeine gel", Gel, "1 gel", "", 2, "2 caffeine gels"),
            ("gel", Gel, "1 serving", "", 1, "1 gel"),
            ("gel", Gel, "40 g", "", 2, "2 gels"),
            ("rice ball", Food, "1 ball", "", 2, "2 rice balls"),
            ("dates", Food, "2 dates", "", 1, "2 dates"),
            ("dates", Food, "2 dates", "", 3, "6 dates"),
            ("dates", Food, "1 serving", "", 2, "2 servings of dates"),
            ("raisins", Food, "1 handful", "", 2, "2 handfuls of raisins"),
            ("honey wrap", Food, "1 small wrap", "", 2, "2 honey wraps"),
            ("salted potato", Food, "1 piece", "", 2, "2 pieces of salted potato"),
            ("salted potato", Food, "1 serving", "", 2, "2 salted potatoes"),
            ("salt capsule", Salt, "1 capsule", "", 2, "2 salt capsules"),
            ("sandwich quarter", Food, "1 quarter with butter", "", 2, "2 sandwich quarters"),
            ("bread", Food, "half", "half loaf/half loaves", 2, "2 half loaves"),
            ("drink mix", Drink, "500 ml flask", "", 2, "2 servings of drink mix"),
            ("drink mix", Drink, "500 ml flask", "scoop of drink mix", 2, "2 scoops of drink mix"),
            ("Riegel", Food, "1 Riegel", "", 2, "2 × Riegel"),
            ("berry", Food, "1 berry", "", 2, "2 berries"),
        ];
        for (name, kind, serving, unit, count, expected) in rows {
            assert_eq!(said(name, kind, serving, unit, count), expected);
        }
    }
}
