//! The machines of a book set alike: the figures, the same without what nobody confirmed, the spreads.
//!
//! In: a value, a day. Out: all machines on it, with what it reaches worked.
//! Never: leaves one machine on another value, text or day than the others.

use crate::engine::{Interval, Machine, Number, Texts, literal};
use crate::notebook::book::Book;
use crate::notebook::load::assemble::set_day;
use crate::sheet::statement::Literal;
use crate::unit::Tolerance;

/// A value for a slot, in SI; none is open.
#[derive(Clone, Copy)]
pub(in crate::notebook) struct SlotValue {
    pub(in crate::notebook) value: Option<f64>,
    pub(in crate::notebook) tolerance: Option<Tolerance>,
    /// Whether it is a default that nobody confirmed.
    pub(in crate::notebook) is_default: bool,
}

impl Book {
    /// Sets a slot in every machine, and works what it reaches.
    pub(in crate::notebook) fn set(&mut self, slot: u32, to: SlotValue) {
        self.slopes = None;
        set(&mut self.point, slot, to.value);
        if let Some(confirmed) = &mut self.confirmed {
            set(confirmed, slot, to.value.filter(|_| !to.is_default));
        }
        if let Some(spread) = &mut self.spread {
            let ends = |value| to.tolerance.map_or((value, value), |tolerance| tolerance.spread(value));
            set(spread, slot, to.value.map(ends).map(|(low, high)| Interval::between(low, high)));
        }
    }

    /// Returns a value as the machines hold it: all of them must know a text by the same number.
    pub(in crate::notebook) fn number_of(&mut self, value: &Literal) -> f64 {
        let Literal::Text(text) = value else { return literal(value, &mut Texts::default()) };
        if let Some(confirmed) = &mut self.confirmed {
            confirmed.text_number(text);
        }
        if let Some(spread) = &mut self.spread {
            spread.text_number(text);
        }
        self.point.text_number(text)
    }

    /// Sets every machine to a day, and works what depends on it.
    pub(in crate::notebook) fn stand_on(&mut self, day: f64) {
        fn set<N: Number>(machine: &mut Machine<N>, day: f64) {
            set_day(machine, day);
            machine.work();
        }
        self.slopes = None;
        set(&mut self.point, day);
        self.confirmed.iter_mut().for_each(|machine| set(machine, day));
        self.spread.iter_mut().for_each(|machine| set(machine, day));
    }
}

fn set<N: Number>(machine: &mut Machine<N>, slot: u32, value: Option<N>) {
    machine.set(slot, value);
    machine.work();
}
