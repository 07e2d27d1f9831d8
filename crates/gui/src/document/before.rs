//! What present values are compared with.

use std::collections::BTreeMap;
use std::sync::Arc;

use dragback_scenario::{Parameter, Registry};

use super::Document;
use super::lever::Begun;

/// An input as it was.
#[derive(Clone, Copy)]
pub(super) struct Was<'b> {
    pub parameter: &'b Parameter,
    pub begun: Begun,
    /// Its value as last edited, without what levers did, SI.
    pub edited_si: Option<f64>,
}

/// Inputs as last read, saved or begun, and those that have been added since.
pub(super) struct Before {
    begun: BTreeMap<String, Parameter>,
    /// As last edited, where that is another scenario.
    edited: BTreeMap<String, Parameter>,
    way: Begun,
}

impl Before {
    pub(super) fn of(document: &Document) -> Self {
        let base = &document.content.base;
        let by_path = |scenario| {
            let all = Registry::of(scenario);
            all.iter().map(|p| (p.path.clone(), p.clone())).collect()
        };
        let is_edited = !Arc::ptr_eq(base, &document.begun);
        Self {
            begun: by_path(&document.begun),
            edited: if is_edited {
                by_path(base)
            } else {
                BTreeMap::new()
            },
            way: if document.is_new() {
                Begun::Line
            } else {
                Begun::File
            },
        }
    }

    /// The input at a path as it was.
    pub(super) fn at(&self, path: &str) -> Option<Was<'_>> {
        let edited = self.edited.get(path);
        let had_value = |p: &&Parameter| p.si().is_some();
        let (parameter, begun) = match self.begun.get(path).filter(had_value) {
            Some(before) => (before, self.way),
            None => (edited?, Begun::Added),
        };
        Some(Was {
            parameter,
            begun,
            edited_si: edited.unwrap_or(parameter).si(),
        })
    }
}
