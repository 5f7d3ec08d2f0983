//! What the lines of a table are about: builds, or loose parts of one kind. Refuses to know what is read.

/// The words a table and its records have for what a line is about.
#[derive(Clone, Copy, PartialEq, Eq, Debug)]
pub(super) struct About {
    /// The column and the key of its name.
    pub(super) name: &'static str,
    /// The column and the key of its day.
    pub(super) day: &'static str,
    /// What it is, in words.
    pub(super) noun: &'static str,
}

impl About {
    /// Builds.
    pub(super) const BUILD: About = About { name: "build", day: "finished", noun: "build" };
    /// Loose parts.
    pub(super) const PART: About = About { name: "tag", day: "measured", noun: "part" };

    /// What its name is called, in words.
    pub(super) fn kind_of_name(self) -> &'static str {
        if self == About::BUILD { "name" } else { self.name }
    }

    /// "name of the build", "tag of the part".
    pub(super) fn named(self) -> String {
        format!("{} of the {}", self.kind_of_name(), self.noun)
    }

    /// The columns that are about it as a whole, and no readings.
    pub(super) fn columns(self) -> [&'static str; 3] {
        [self.name, self.day, "generation"]
    }
}
