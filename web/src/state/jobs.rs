//! The demonstration jobs, which come with the app.

/// A job as it is on file.
pub struct Demonstration {
    /// What it is called where one is chosen.
    pub name: &'static str,
    /// The text of its file.
    pub text: &'static str,
}

/// Every demonstration job; the first is shown when the page opens.
pub static ALL: &[Demonstration] = &[
    Demonstration { name: "Flatbed", text: include_str!("../../../fixtures/jobs/apiary-flatbed.json") },
    Demonstration {
        name: "Flatbed, as bought",
        text: include_str!("../../../fixtures/jobs/apiary-flatbed-as-bought.json"),
    },
    Demonstration {
        name: "Truck switched on the earth side",
        text: include_str!("../../../fixtures/jobs/switched-earth-donor.json"),
    },
    Demonstration {
        name: "Honey stall trailer",
        text: include_str!("../../../fixtures/jobs/honey-stall-trailer.json"),
    },
    Demonstration { name: "Dark lamps", text: include_str!("../../../fixtures/jobs/dark-lamps.json") },
];
