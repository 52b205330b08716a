//! The frame of a page: who is signed in and where the navigation stands.

use crate::people::model::{Person, Role};
use crate::web::files;

/// One place of the navigation.
#[derive(Debug, Clone)]
pub struct NavItem {
    /// Its address.
    pub href: &'static str,
    /// Its name.
    pub label: &'static str,
}

/// What the layout needs.
#[derive(Debug, Clone)]
pub struct Shell {
    /// The name of the person who is signed in.
    pub person: Option<String>,
    /// The address of the current place of the navigation, or empty.
    pub nav: &'static str,
    /// The places this person can go to.
    pub items: Vec<NavItem>,
    /// The style sheet.
    pub css_href: String,
    /// The script.
    pub js_href: String,
}

impl Shell {
    /// The frame for a signed-in person.
    #[must_use]
    pub fn of(person: &Person, nav: &'static str) -> Self {
        let mut items = vec![
            NavItem { href: "/sites", label: "Sites" },
            NavItem { href: "/instruments", label: "Instruments" },
        ];
        if person.role == Role::Manager {
            items.push(NavItem { href: "/people", label: "People" });
        }
        Self { person: Some(person.name.clone()), nav, items, ..Self::bare() }
    }

    /// The frame when somebody may be signed in.
    #[must_use]
    pub fn maybe(person: Option<&Person>) -> Self {
        person.map_or_else(Self::bare, |person| Self::of(person, ""))
    }

    /// The frame when nobody is signed in.
    #[must_use]
    pub fn bare() -> Self {
        Self {
            person: None,
            nav: "",
            items: Vec::new(),
            css_href: files::address("standmast.css"),
            js_href: files::address("standmast.js"),
        }
    }
}
