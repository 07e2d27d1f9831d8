//! The whole scenario and one loop of it.

use dragback_units::dim::{Concentration, Count};

use super::bath::Bath;
use super::events::Event;
use super::holding::{Collection, Holding};
use super::line::{Section, Still, Visit, Work};
use super::prices::Prices;
use super::site::{Calendar, SaltDef, Site, SpeciesDef, Water};
use super::tower::Tower;
use crate::record::{Input, Map, record};
use crate::variants::Variants;

record! {
    /// A scenario: everything that a run needs to know about a line.
    Scenario {
        version: Input<Count> { "Version of the file format: 1." }
        title: String { "What the scenario is called." }
        description: Option<String> { "What the line is and what the scenario shows." }
        title_block: Option<TitleBlock> { "What stands at the head of a report." }
        site: Site { "Where the line stands." }
        calendars: Map<Calendar> { "Open hours, by key; `always` is built in." }
        waters: Map<Water> { "Water supplies, by key." }
        species: Map<SpeciesDef> { "Species of the scenario's own, by key, besides the built-in ones." }
        salts: Map<SaltDef> { "Chemicals of the scenario's own, by key, besides the built-in ones.", mark Formula }
        loops: Map<Loop> { "Lines with their water loops, by key.", mark Flat }
        events: Vec<Event> { "What happens during the run." }
        prices: Option<Prices> { "What things cost and are worth." }
        variants: Variants { "Variants of the line by name, each told by the paths at which it differs." }
    }
}

record! {
    /// Who hands a report over, when, and for what. Words for people: nothing is worked out from them.
    TitleBlock {
        shop: Option<String> { "The shop that the line stands in." }
        line: Option<String> { "What the shop calls the line." }
        author: Option<String> { "Who answers for the report." }
        date: Option<String> { "Its date, as it is to be written: 2026-05-04." }
        revision: Option<String> { "Its revision: A." }
    }
}

record! {
    /// One bath with its rinses and the equipment that closes their water loop.
    Loop {
        title: Option<String> { "What the loop is called." }
        lead: String { "Species by which rinse quality and losses are judged: `Ni`.", names Species }
        final_limit: Option<Input<Concentration>> {
            "Most of the lead species that may be in the film on the work as it leaves the line.",
            unit "mg/L", allowed 1e-3 => 1e5, usual 5.0 => 50.0
        }
        work: Work { "What passes through." }
        bath: Bath { "The process bath." }
        stills: Map<Still> { "Still rinses, by key." }
        sections: Map<Section> { "Runs of counterflow rinses, by key." }
        route: Vec<Visit> { "Visits of the work, in order; a station may be visited more than once." }
        collection: Option<Collection> { "Tank that collects the recovered rinses." }
        holding_tank: Option<Holding> { "Heated tank that feeds the evaporator." }
        towers: Map<Tower> { "Atmospheric evaporators, by key." }
    }
}
