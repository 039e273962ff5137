//! Look-ups in tables.
//!
//! In: keys sought. Out: a cell, or why there is none.
//! Never: guesses outside the table; a value that may fall on several rows gives all of them.

use super::machine::{Machine, Worked};
use super::number::{NOISE, Number};
use super::operator::{Arithmetic, Comparison};
use super::plan::Search;
use super::status::{Reason, Status};
use crate::sheet::function::OfTable;

impl<N: Number> Machine<N> {
    pub(super) fn search(&self, search: &Search, row: usize) -> Worked<N> {
        let keys: Vec<(u32, Worked<N>)> =
            search.keys.iter().map(|(column, value)| (*column, self.fetch(*value, row))).collect();
        let status = keys.iter().fold(Status::WORKED, |status, (_, (_, other))| status.or(*other));
        if !status.is_worked() {
            return (N::exactly(0.0), status);
        }
        let made = match (search.function, keys.as_slice()) {
            (OfTable::Lookup, keys) => self.lookup(search, keys),
            (OfTable::NextSize, [(column, (value, _)), ..]) => self.next_size(search, *column, value.ends()),
            (OfTable::Interpolate, [(column, (value, _)), ..]) => {
                self.interpolate(search, *column, value.ends())
            }
            (OfTable::NextSize | OfTable::Interpolate, []) => Err(Reason::NoSuchRow),
        };
        match made {
            Ok(worked) => worked,
            Err(reason) => (N::exactly(0.0), Status::unworkable(reason)),
        }
    }

    /// Returns the first and the last row that a search takes its value from, by the keys as they stand.
    pub(super) fn rows_taken(&self, search: &Search, keys: &[(u32, Worked<N>)]) -> Option<(u32, u32)> {
        let (column, (value, _)) = keys.first()?;
        let (low, high) = value.ends();
        let first = |value| self.first_at_or_above(*column, search.rows, value);
        match search.function {
            OfTable::Lookup => {
                let mut fitting = (0..search.rows).filter(|row| self.fits(search, keys, *row) != Some(false));
                let first = fitting.next()?;
                Some((first, fitting.last().unwrap_or(first)))
            }
            OfTable::NextSize => Some((first(low)?, first(high)?)),
            OfTable::Interpolate => {
                let (above, last) = (first(low)?, first(high)?);
                let met = N::compare(Comparison::Equal, false, self.at(column + above).0, N::exactly(low))
                    == Some(true);
                Some((if met { above } else { above.checked_sub(1)? }, last))
            }
        }
    }

    /// Returns whether a row has every key sought, or nothing where it may.
    fn fits(&self, search: &Search, keys: &[(u32, Worked<N>)], row: u32) -> Option<bool> {
        let mut fits = Some(true);
        for (column, (value, _)) in keys {
            let (key, status) = self.at(column + row);
            let equal = if status.is_worked() {
                N::compare(Comparison::Equal, search.exact, key, *value)
            } else {
                Some(false)
            };
            fits = match (fits, equal) {
                (Some(false), _) | (_, Some(false)) => Some(false),
                (Some(true), Some(true)) => Some(true),
                _ => None,
            };
        }
        fits
    }

    fn lookup(&self, search: &Search, keys: &[(u32, Worked<N>)]) -> Result<Worked<N>, Reason> {
        let mut found: Option<Worked<N>> = None;
        let mut sure = 0;
        for row in 0..search.rows {
            let fits = self.fits(search, keys, row);
            if fits == Some(false) {
                continue;
            }
            sure += u32::from(fits == Some(true));
            let cell = self.at(search.column + row);
            found = Some(found.map_or(cell, |(value, status)| (value.hull(cell.0), status.or(cell.1))));
        }
        match (found, sure) {
            (_, 2..) => Err(Reason::TwoRows),
            (Some(found), 1) => Ok(found),
            _ => Err(Reason::NoSuchRow),
        }
    }

    fn key(&self, column: u32, row: u32) -> f64 {
        self.at(column + row).0.ends().0
    }

    /// Returns the first row whose key is at or above a value.
    fn first_at_or_above(&self, column: u32, rows: u32, value: f64) -> Option<u32> {
        let above = |key: f64| key >= value || value - key <= NOISE * key.abs().max(value.abs());
        (0..rows).find(|row| above(self.key(column, *row)))
    }

    fn next_size(&self, search: &Search, column: u32, (low, high): (f64, f64)) -> Result<Worked<N>, Reason> {
        let first = self.first_at_or_above(column, search.rows, low).ok_or(Reason::BeyondTable)?;
        let last = self.first_at_or_above(column, search.rows, high).ok_or(Reason::BeyondTable)?;
        let mut made = self.at(search.column + first);
        for row in first..=last {
            let cell = self.at(search.column + row);
            made = (made.0.hull(cell.0), made.1.or(cell.1));
        }
        Ok(made)
    }

    /// Within the range the result may be, at its ends and at every key between.
    fn interpolate(
        &self,
        search: &Search,
        column: u32,
        (low, high): (f64, f64),
    ) -> Result<Worked<N>, Reason> {
        let mut made = self.between(search, column, low)?;
        if low != high {
            let end = self.between(search, column, high)?;
            made = (made.0.hull(end.0), made.1.or(end.1));
            for row in 0..search.rows {
                if (low..=high).contains(&self.key(column, row)) {
                    let cell = self.at(search.column + row);
                    made = (made.0.hull(cell.0), made.1.or(cell.1));
                }
            }
        }
        Ok(made)
    }

    fn between(&self, search: &Search, column: u32, value: f64) -> Result<Worked<N>, Reason> {
        let above = self.first_at_or_above(column, search.rows, value).ok_or(Reason::BeyondTable)?;
        let key = self.key(column, above);
        let near = (key - value).abs() <= NOISE * key.abs().max(value.abs());
        if near {
            return Ok(self.at(search.column + above));
        }
        if above == 0 {
            return Err(Reason::BeyondTable);
        }
        let (before, share) =
            (above - 1, (value - self.key(column, above - 1)) / (key - self.key(column, above - 1)));
        let ((left, a), (right, b)) = (self.at(search.column + before), self.at(search.column + above));
        let status = a.or(b);
        if !status.is_worked() {
            return Ok((left, status));
        }
        let rise = N::arithmetic(Arithmetic::Subtract, right, left)?;
        let part = N::arithmetic(Arithmetic::Multiply, rise, N::exactly(share))?;
        Ok((N::arithmetic(Arithmetic::Add, left, part)?, Status::WORKED))
    }
}
