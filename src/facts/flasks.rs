//! Flasks in words, as a hand fills them.

use crate::inputs::{Food, counted};
use crate::packing::{Flask, Pickup, Source};
use crate::units::Units;

use super::value::Measure;

/// Less than a sip is not worth a flask, millilitres.
pub(super) const SIP_ML: f64 = 5.0;
/// A glass of difference is rounding of the drinks, not another fill, millilitres.
const GLASS_ML: f64 = 20.0;

/// Fills of the flasks on leaving, in words; nothing where there is nothing to say.
pub(super) fn flasks_words(pickup: &Pickup, units: Units, pantry: &[Food]) -> Option<String> {
    if pickup.fluid_ml < SIP_ML {
        return None;
    }
    if !pickup.flasks.is_empty() {
        return Some(each_flask(pickup, units, pantry));
    }
    let show = |ml: f64| Measure::volume(units, ml).text;
    let (fluid_ml, water_ml) = (pickup.fluid_ml, pickup.water_ml);
    Some(if water_ml > fluid_ml - GLASS_ML {
        format!("{} of water", show(fluid_ml))
    } else if water_ml < SIP_ML {
        format!("{}, no plain water", show(fluid_ml))
    } else {
        format!("{}, of it {} plain water", show(fluid_ml), show(water_ml))
    })
}

/// Flasks of the same content together, such as `1 full of drink mix (500 ml: 1 scoop), 1 full and
/// 1 quarter full of water, 1 empty`.
fn each_flask(pickup: &Pickup, units: Units, pantry: &[Food]) -> String {
    let flasks = &pickup.flasks;
    let one_size = flasks
        .windows(2)
        .all(|two| two[0].size_ml == two[1].size_ml);
    let size = |ml: f64| match one_size {
        true => String::new(),
        false => format!(" {} flask", Measure::volume(units, ml).text),
    };
    let mut heaps: Vec<(String, Vec<(String, usize)>)> = Vec::new();
    for flask in flasks {
        let (holds, fill) = match &flask.drink {
            Some((name, 0)) => (
                format!("of leftover {name}"),
                format!("{}{}", size(flask.size_ml), filled(flask)),
            ),
            Some((name, servings)) => {
                let mixed = counted(*servings, name, pantry);
                let short = mixed.strip_suffix(&format!(" of {name}")).unwrap_or(&mixed);
                let ml = Measure::volume(units, flask.fluid_ml).text;
                let full = format!("{} full", size(flask.size_ml));
                let from = poured_from(pickup, name);
                (format!("of {name} ({ml}: {short} each{from})"), full)
            }
            None if flask.fluid_ml >= SIP_ML => (
                "of water".to_owned(),
                format!("{}{}", size(flask.size_ml), filled(flask)),
            ),
            None => (String::new(), format!("{} empty", size(flask.size_ml))),
        };
        let at = heaps.iter().position(|(other, _)| *other == holds);
        let at = at.unwrap_or_else(|| {
            heaps.push((holds, Vec::new()));
            heaps.len() - 1
        });
        let fills = &mut heaps[at].1;
        match fills.iter_mut().find(|(other, _)| *other == fill) {
            Some((_, count)) => *count += 1,
            None => fills.push((fill, 1)),
        }
    }
    heaps.sort_by_key(|(holds, _)| (holds.is_empty(), holds == "of water"));
    let texts = heaps.into_iter().map(|(holds, fills)| {
        let single = fills.len() == 1 && fills[0].1 == 1;
        let fills = fills.iter().map(|(fill, count)| format!("{count}{fill}"));
        let holds = match single {
            true => holds.replace(" each", ""),
            false => holds,
        };
        let fills = fills.collect::<Vec<_>>().join(" and ");
        format!("{fills} {holds}").trim_end().to_owned()
    });
    texts.collect::<Vec<_>>().join(", ")
}

/// Whose servings go into a flask, where they are not the runner's at the start.
fn poured_from(pickup: &Pickup, drink: &str) -> &'static str {
    let poured = pickup.take.iter().find(|serving| serving.food == drink);
    poured.map_or("", |serving| match serving.source {
        _ if serving.at < pickup.station => ", from the pockets",
        Source::Start => "",
        Source::Station => ", the station's",
        Source::Bag => ", from the bag",
        Source::Crew => ", from the crew",
    })
}

/// Quarters that a flask with something in it is filled to, as a hand pours it: 1 to 4.
fn quarters(flask: &Flask) -> usize {
    let quarters = flask.fluid_ml / flask.size_ml.max(1.0) * 4.0;
    quarters.round().clamp(1.0, 4.0) as usize
}

fn filled(flask: &Flask) -> &'static str {
    [
        " quarter full",
        " half full",
        " three-quarters full",
        " full",
    ][quarters(flask) - 1]
}

/// The same in as few letters as may be.
pub(super) fn fill_mark(flask: &Flask) -> &'static str {
    ["¼", "½", "¾", "full"][quarters(flask) - 1]
}
