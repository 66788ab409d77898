//! One thing that is not there.

use crate::course::Station;
use crate::packing::Losses;
use crate::plan::Race;

/// One thing that is not there.
#[derive(Clone, Debug, PartialEq)]
pub enum Loss {
    /// The drop bag of a place, by index.
    Bag(usize),
    /// The crew at a place.
    Crew(usize),
    /// The whole crew, everywhere.
    WholeCrew,
    /// The offers of a place.
    Offers(usize),
    /// A food or a piece of gear, by name.
    Item(String),
    /// The largest flask.
    Flask,
}

/// A kind of loss at a place.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum PlaceLoss {
    Bag,
    Crew,
    Offers,
}

impl Loss {
    /// True where it is found out on the day: a bag or crew that is not there. A dry station, a
    /// refused food, a piece of gear and a flask are known before.
    #[must_use]
    pub fn is_found_out(&self) -> bool {
        matches!(self, Loss::Bag(_) | Loss::Crew(_) | Loss::WholeCrew)
    }

    /// As packing takes it.
    pub(super) fn losses(&self, race: &Race) -> Losses {
        let mut losses = Losses {
            unforeseen: self.is_found_out(),
            ..Losses::default()
        };
        match self {
            Loss::Bag(place) => losses.bags.push(*place),
            Loss::Crew(place) => losses.crew.push(*place),
            Loss::WholeCrew => losses.crew = (0..race.course.places.len()).collect(),
            Loss::Offers(place) => losses.offers.push(*place),
            Loss::Item(name) => losses.items.push(name.clone()),
            Loss::Flask => losses.flasks = 1,
        }
        losses
    }

    /// As it is typed after `--without`.
    #[must_use]
    pub fn typed(&self, race: &Race) -> String {
        let place = |place: &usize| &race.course.places[*place].name;
        match self {
            Loss::Bag(at) => format!("bag:{}", place(at)),
            Loss::Crew(at) => format!("crew:{}", place(at)),
            Loss::WholeCrew => "crew".to_owned(),
            Loss::Offers(at) => format!("offers:{}", place(at)),
            Loss::Item(name) => format!("item:{name}"),
            Loss::Flask => "flask".to_owned(),
        }
    }
}

/// True where the organiser has anything at a station, water included.
pub(super) fn has_offers(station: &Station) -> bool {
    station.has_water || !station.offers.is_empty()
}
