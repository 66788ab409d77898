//! The files of a race by what they are for. The page names files by their part and never by a
//! path.

/// The purpose of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub(super) enum Role {
    Plan,
    Course,
    Route,
    Stations,
    Surfaces,
    Runner,
    Pantry,
    Gear,
    Weather,
    Crew,
    Record,
    Seen,
}

impl Role {
    pub(super) const ALL: [Role; 12] = [
        Role::Plan,
        Role::Course,
        Role::Route,
        Role::Stations,
        Role::Surfaces,
        Role::Runner,
        Role::Pantry,
        Role::Gear,
        Role::Weather,
        Role::Crew,
        Role::Record,
        Role::Seen,
    ];

    /// Its name on the page: its file without folder and ending.
    pub(super) fn name(self) -> &'static str {
        let file = self.file().rsplit('/').next().unwrap_or_default();
        file.split('.').next().unwrap_or_default()
    }

    /// The part with this name.
    pub(super) fn named(name: &str) -> Option<Role> {
        Role::ALL.into_iter().find(|role| role.name() == name)
    }

    /// The file's name where nobody gives another.
    pub(super) fn file(self) -> &'static str {
        match self {
            Role::Plan => "plan.toml",
            Role::Course => "course.toml",
            Role::Route => "route.gpx",
            Role::Stations => "stations.csv",
            Role::Surfaces => "surfaces.csv",
            Role::Runner => "runner.toml",
            Role::Pantry => "pantry.csv",
            Role::Gear => "gear.csv",
            Role::Weather => "weather.csv",
            Role::Crew => "crew.toml",
            Role::Record => "long-runs/record.toml",
            Role::Seen => "seen.csv",
        }
    }

    /// True where it lies in the course folder.
    pub(super) fn is_of_course(self) -> bool {
        matches!(
            self,
            Role::Course | Role::Route | Role::Stations | Role::Surfaces
        )
    }

    /// True where the page changes it: not the route, nor what debriefs have written.
    pub(super) fn is_edited(self) -> bool {
        !matches!(self, Role::Route | Role::Record)
    }

    /// True where it is a table.
    pub(super) fn is_table(self) -> bool {
        self.file().ends_with(".csv")
    }
}
